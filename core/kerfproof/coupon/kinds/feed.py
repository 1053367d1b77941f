"""The feed ladder: straight cuts at rising feed, each with its number cut beside it.

A cut that is too slow hangs with heavy, loose dross; one that is too fast with fine, hard dross and drag lines that
lean far back; between lies the feed that lets go clean.
"""

from __future__ import annotations

import numpy as np

from kerfproof.coupon.digits import WIDTH, digit, least_height
from kerfproof.coupon.make_program import (
    beside_of,
    check_pierce,
    finish,
    line_cut,
    margin_of,
    path_cut,
    pitch_of,
    plate_words,
)
from kerfproof.coupon.piece import Coupon, CouponKind, CouponRequest, CouponResult, Facts, ShopChange
from kerfproof.coupon.readings import Asked, Readings
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.sentence import mm_min, option, say
from kerfproof.units import FEED, format_feed

LOW, HIGH = 0.7, 1.3
"""First and last rung as shares of the chart's feed."""
STEADY = 40.0
"""Length cut at the full feed of a rung."""


def make(bench: CouponRequest) -> Coupon:
    """Return the ladder."""
    check_pierce(bench)
    count = 7 if bench.count is None else bench.count
    if not 3 <= count <= 9:
        raise KerfproofError(f"a ladder has 3 to 9 rungs, not {count}")
    p, m = bench.process, bench.machine
    feeds = [float(round(f)) for f in np.linspace(LOW, HIGH, count) * p.feed_mm_min]
    fastest = feeds[-1] / 60.0
    length = float(np.ceil(STEADY + fastest * fastest / m.acceleration_mm_s2))
    height = least_height(p.kerf)
    pitch = max(pitch_of(bench), height + beside_of(bench))
    margin = margin_of(bench)
    x = margin + WIDTH * height + max(pitch_of(bench), 2 * m.tip_face_radius)
    cuts = []
    for k, feed in enumerate(feeds):
        y = margin + k * pitch
        label = f"rung {k + 1} at {feed:.0f} mm per min"
        cuts.append(path_cut(2 * k, f"number {k + 1}", digit(str(k + 1), margin, y, height), bench))
        middle = y + height / 2
        cuts.append(line_cut(2 * k + 1, label, (x, middle), (x + length, middle), bench, feed_mm_min=feed))
    plate = (0.0, 0.0, x + length + margin, margin + (count - 1) * pitch + height + margin)
    facts = {
        "feeds": feeds, "material": p.material, "thickness": p.thickness, "amps": p.amps, "feed": p.feed_mm_min,
        "inches": m.inches, "reached": _reached(length, m.acceleration_mm_s2, fastest),
    }  # fmt: skip
    guide = (
        f"Cut on plate of at least {plate_words(plate)}. Rungs are numbered 1 to {count}, slow to fast.",
        "Look at the middle of each rung, from below: cut through, least dross, drag lines that lean 5 to 15 degrees.",
        "Say the best one or two that lie side by side: best = 4, or best = 3 4. Or give each rung a mark, 0 to 10.",
    )
    return finish("feed", bench, cuts, plate, facts, guide)


def _reached(length: float, acceleration: float, feed_mm_s: float) -> bool:
    return feed_mm_s * feed_mm_s / acceleration < length


def asks(facts: Facts) -> tuple[Asked, ...]:
    """Return the readings: the best rungs, or a mark for each."""
    numbers = {str(k + 1): float(k + 1) for k in range(len(facts["feeds"]))}
    return (
        Asked(name="best", text="the best rung, or the best that lie side by side", quantity=None, names=numbers),
        *(
            Asked(
                name=f"R{k}",
                text=f"mark from 0 to 10 for rung {k}, {format_feed(f, bool(facts.get('inches')))}",
                quantity=None,
            )
            for k, f in enumerate(facts["feeds"], 1)
        ),
    )


def solve(facts: Facts, readings: Readings) -> CouponResult:
    """Return the feed between the best rungs, or at the top of the marks."""
    feeds = np.array(facts["feeds"])
    step = float(feeds[1] - feeds[0])
    findings: list[Finding] = []
    if "best" in readings:
        feed, spread = _between(feeds, sorted({int(v) for v in readings["best"]}), step, findings)
    else:
        feed, spread = _top(feeds, readings, step, findings)
    feed = float(round(feed))
    return CouponResult(
        values={"feed_mm_min": feed, "spread_mm_min": round(spread, 1)},
        lines=(
            (
                "feed",
                say(
                    "{feed} ({in_inches}), give or take {spread}",
                    feed=format_feed(feed),
                    in_inches=format_feed(feed, True),
                    spread=mm_min(spread),
                ),
            ),
            ("chart had", format_feed(facts["feed"])),
        ),
        findings=tuple(findings),
        changes=(ShopChange(file="chart", place=("feed",), value=feed, quantity=FEED),),
        note=f"feed by ladder {feeds[0]:.0f} to {feeds[-1]:.0f} mm/min, +-{spread:.0f} mm/min",
    )


def _between(feeds: np.ndarray, best: list[int], step: float, findings: list[Finding]) -> tuple[float, float]:
    if best[-1] - best[0] >= len(best):
        findings.append(
            Finding(
                "rungs-apart", Severity.ERROR,
                f"the best rungs {_listed(best)} do not lie side by side: one of them is a slip, or dross changed kind",
                "look again and name neighbours",
            )
        )  # fmt: skip
    if best[0] == 1 or best[-1] == len(feeds):
        findings.append(_at_end("the first rung" if best[0] == 1 else "the last rung"))
    return float(feeds[[b - 1 for b in best]].mean()), step * max(1, len(best)) / 2


def _top(feeds: np.ndarray, readings: Readings, step: float, findings: list[Finding]) -> tuple[float, float]:
    """Return the top of a parabola through all marks, and its uncertainty."""
    rows = [(int(name[1:]), value) for name, values in readings.items() for value in values]
    for number, mark in rows:
        if not 0 <= mark <= 10:
            findings.append(
                Finding("reading-impossible", Severity.ERROR, f"R{number} = {mark:g} is no mark from 0 to 10")
            )
    if len({n for n, _ in rows}) < 4:
        raise KerfproofError(
            f"{len({n for n, _ in rows})} marks are too few", advice="mark at least 4 rungs, or name the best"
        )
    x = np.array([feeds[n - 1] for n, _ in rows])
    y = np.array([mark for _, mark in rows])
    middle, half = float(feeds.mean()), float(np.ptp(feeds)) / 2
    a, b, _c = np.polyfit((x - middle) / half, y, 2)
    if a >= -1e-9:
        findings.append(
            Finding(
                "marks-without-top", Severity.ERROR, "the marks do not rise and fall, so they have no best feed",
                "look again, or cut a ladder farther out",
            )
        )  # fmt: skip
        return float(x[np.argmax(y)]), step
    top = -b / (2 * a)
    if abs(top) > 1.0:
        findings.append(_at_end("the first rung" if top < 0 else "the last rung"))
        top = float(np.clip(top, -1.0, 1.0))
    left = y - np.polyval([a, b, _c], (x - middle) / half)
    spread = half * np.sqrt(max(float((left**2).mean()), 0.01) / -a)
    return middle + half * top, float(min(max(spread, step / 2), half))


def _at_end(where: str) -> Finding:
    return Finding(
        "ladder-too-short", Severity.WARNING, f"the best feed lies at {where} or beyond",
        say("cut another ladder around this feed ({feed})", feed=option("feed")),
    )  # fmt: skip


def _listed(numbers: list[int]) -> str:
    return " and ".join(map(str, numbers))


COUPON = CouponKind(
    name="feed",
    title="a ladder of straight cuts at rising feed, numbered: the best feed",
    make=make,
    asks=asks,
    solve=solve,
)
