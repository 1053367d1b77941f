"""The pierce row: the same short cut again and again, the pierce delay rising, until it is through from the start."""

from __future__ import annotations

import numpy as np

from kerfproof.coupon.digits import WIDTH, digit, least_height
from kerfproof.coupon.make_program import (
    beside_of,
    check_pierce,
    finish,
    given_of,
    line_cut,
    margin_of,
    path_cut,
    pitch_of,
    plate_words,
)
from kerfproof.coupon.piece import Coupon, CouponKind, CouponRequest, CouponResult, Facts, ShopChange
from kerfproof.coupon.readings import Asked, Readings
from kerfproof.cut_plan import StartTrial
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.shop.profile import StartKind, TouchOff
from kerfproof.units import TIME, format_time

SPAN = 2.0
"""The longest delay tried, as a multiple of the chart's."""
LEAST_SPAN = 0.4
"""The longest delay tried where the chart has almost none, s."""
DASH = 8.0
"""Length of the cut after each pierce: it shows whether the arc was through."""
MEANT = ("no-pierce-delay",)
"""Rules that the piece breaks on purpose."""


def make(bench: CouponRequest) -> Coupon:
    """Return the row."""
    check_pierce(bench)
    count = 7 if bench.count is None else bench.count
    if not 3 <= count <= 9:
        raise KerfproofError(f"a row has 3 to 9 pierces, not {count}")
    p = bench.process
    shortest = least_delay(bench)
    longest = max(SPAN * p.pierce_delay_s, shortest + LEAST_SPAN)
    delays = [round(float(d), 3) for d in np.linspace(shortest, longest, count)]
    height = least_height(p.kerf)
    margin = margin_of(bench)
    pitch = max(pitch_of(bench), WIDTH * height + beside_of(bench))
    y = margin + height + max(pitch_of(bench), 2 * bench.machine.tip_face_radius)
    cuts = []
    for k, delay in enumerate(delays):
        x = margin + k * pitch
        number = digit(str(k + 1), x, margin, height)
        middle = x + WIDTH / 2 * height
        cuts.append(path_cut(2 * k, f"number {k + 1}", number, bench))
        trial = StartTrial(pierce_delay_s=delay)
        label = f"pierce {k + 1}, delay {delay:.2f} s"
        cuts.append(line_cut(2 * k + 1, label, (middle, y), (middle, y + DASH), bench, trial=trial))
    plate = (0.0, 0.0, margin + (count - 1) * pitch + WIDTH * height + margin, y + DASH + margin)
    facts = {
        "delays": delays,
        "material": p.material,
        "thickness": p.thickness,
        "amps": p.amps,
        "delay": p.pierce_delay_s,
    }
    guide = (
        f"Cut on plate of at least {plate_words(plate)}; short delays spit upwards.",
        "Hold the plate against the light, or look from below: which dashes are cut through from their very beginning?",
        f"Say all that are, for example: through = {' '.join(str(n) for n in range(count // 2 + 1, count + 1))}",
    )
    return finish("pierce", bench, cuts, plate, facts, guide, meant=MEANT)


def least_delay(bench: CouponRequest) -> float:
    """Return the time that the rise from light-up alone takes: no pierce is shorter on this machine."""
    given = given_of(bench)
    if bench.machine.start is StartKind.PILOT:
        return 0.0
    lit_at = -given.preload if bench.machine.touch_off is TouchOff.FLOAT else 0.0
    return given.rise_time((given.pierce_height or bench.process.cut_height) - lit_at)


def asks(facts: Facts) -> tuple[Asked, ...]:
    """Return the reading: which pierces were through."""
    names = {str(k + 1): float(k + 1) for k in range(len(facts["delays"]))} | {"none": 0.0}
    return (Asked(name="through", text="numbers that are through, or none", quantity=None, names=names, required=True),)


def solve(facts: Facts, readings: Readings) -> CouponResult:
    """Return the shortest delay from which on all are through, and half a step more."""
    delays = np.array(facts["delays"])
    through = np.zeros(len(delays), dtype=np.bool_)
    through[[int(v) - 1 for v in readings["through"] if v > 0]] = True
    step = float(delays[1] - delays[0])
    missed = np.flatnonzero(~through)
    first = int(missed[-1]) + 1 if len(missed) else 0
    findings = _sense(through, first)
    if first == len(delays):
        return CouponResult(values={}, lines=(("pierce delay", "not found"),), findings=tuple(findings))
    delay = round(float(delays[first]) + step / 2, 2)
    shortest = format_time(float(delays[first]))
    return CouponResult(
        values={"pierce_delay_s": delay, "shortest_s": float(delays[first])},
        lines=(
            ("pierce delay", f"{format_time(delay)}: number {first + 1} is through ({shortest}), half a step more is "
             "for a cold tip"),
            ("chart had", format_time(facts["delay"])),
        ),
        findings=tuple(findings),
        changes=(ShopChange(file="chart", place=("pierce_delay",), value=delay, quantity=TIME),),
        note=f"pierce delay by test row, through from {delays[first]:.2f} s on in steps of {step:.2f} s",
    )  # fmt: skip


def _sense(through: np.ndarray, first: int) -> list[Finding]:
    numbers = [int(k) + 1 for k in np.flatnonzero(through[:first]).tolist()]
    out = []
    if not through.any():
        return [
            Finding(
                "never-through", Severity.ERROR, "no pierce is through: delays too short, or plate too thick",
                "raise the chart's pierce_delay and cut the row again; look at air and tip",
            )
        ]  # fmt: skip
    if first == len(through):
        out.append(
            Finding(
                "last-not-through", Severity.ERROR, "the longest delay is not through", "raise it and cut the row again"
            )
        )
    if numbers:
        out.append(
            Finding(
                "pierces-mixed", Severity.WARNING if first < len(through) else Severity.ERROR,
                f"number {' and '.join(map(str, numbers))} is through and a longer one is not: a slip, or a dirty spot",
                "what counts is from where on all are through; cut the row again to be sure",
            )
        )  # fmt: skip
    if through.all():
        out.append(
            Finding("all-through", Severity.NOTE, "even the shortest delay is through", "the rise alone is enough")
        )
    return out


COUPON = CouponKind(
    name="pierce",
    title="a row of pierces with rising delay: the pierce delay",
    make=make,
    asks=asks,
    solve=solve,
    meant=MEANT,
)
