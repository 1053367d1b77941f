"""The start rows: ten starts each at other settings; the person counts how many lit.

The first row is as the machine file says; every other row changes one thing: the light delay, the preload, the feed
of the rise, the height it rises to. Ten of a row say little about nine of another: Fisher's exact test says how
little.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict
from typing import Any

from kerfproof.coupon.make_program import check_pierce, finish, line_cut, margin_of, pitch_of, plate_words
from kerfproof.coupon.piece import Coupon, CouponKind, CouponRequest, CouponResult, Facts, ShopChange
from kerfproof.coupon.readings import Asked, Readings
from kerfproof.cut_plan import Cut, StartTrial
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.sentence import option, say
from kerfproof.shop.profile import StartKind, TouchOff
from kerfproof.units import FEED, LENGTH, TIME, Kind, format_feed, format_length, format_time

STARTS = 10
DASH = 6.0
"""Length of the cut after each start: what did not light leaves none."""
MEANT = (
    "light-delay-short", "no-pierce-delay", "contact-start-off-plate", "cut-height-out-of-band", "pierce-too-high",
)  # fmt: skip
"""Rules that the piece breaks on purpose."""
SURE = 0.05
"""Chance by which a difference may be luck and is still believed."""

Spec = tuple[str, str, tuple[str, ...], Kind, Callable[..., str]]
VARIED: dict[str, Spec] = {
    "light-delay": ("light_delay_s", "machine", ("torch", "light_delay"), TIME, format_time),
    "preload": ("preload", "machine", ("torch", "preload"), LENGTH, format_length),
    "rise-feed": ("rise_feed_mm_min", "machine", ("torch", "rise_feed"), FEED, format_feed),
    "pierce-height": ("pierce_height", "chart", ("pierce_height",), LENGTH, format_length),
}
"""What may be varied: the field tried, the file and key it belongs to, how it is told."""


def make(bench: CouponRequest) -> Coupon:
    """Return the rows, the first one as machine and chart say."""
    check_pierce(bench)
    wanted = bench.vary or _possible(bench)
    for name in wanted:
        if name not in _possible(bench):
            raise KerfproofError(f"{name!r} can't be varied here", advice=f"one of {', '.join(_possible(bench))}")
    rows = [("as it is", StartTrial())]
    for name in wanted:
        rows += [(f"{name} {_written(name, value, bench)}", _trial(name, value)) for value in _values(name, bench)]
    count = STARTS if bench.count is None else bench.count
    if not 3 <= count <= 30:
        raise KerfproofError(f"a row has 3 to 30 starts, not {count}")
    margin, pitch = margin_of(bench), pitch_of(bench)
    deep = pitch + DASH
    cuts: list[Cut] = []
    for r, (label, trial) in enumerate(rows):
        for k in range(count):
            x, y = margin + k * pitch, margin + r * deep
            text = f"row {r + 1} start {k + 1}, {label}"
            cuts.append(line_cut(len(cuts), text, (x, y), (x, y + DASH), bench, trial=trial))
    plate = (0.0, 0.0, 2 * margin + (count - 1) * pitch, 2 * margin + (len(rows) - 1) * deep + DASH)
    p, m = bench.process, bench.machine
    facts = {
        "rows": [{"label": label, **_named(trial)} for label, trial in rows], "starts": count,
        "base": {"light-delay": m.light_delay_s, "preload": m.preload, "rise-feed": m.rise_feed_mm_min},
        "material": p.material, "thickness": p.thickness, "amps": p.amps,
    }  # fmt: skip
    guide = (
        f"Cut on plate of at least {plate_words(plate)}; it takes {len(cuts)} starts.",
        f"Rows count from below: row 1 is as the machine file says, then {', '.join(lb for lb, _ in rows[1:])}.",
        f"Count the dashes in each row: one that is missing did not light. A1 = 10 A2 = 9 ... to A{len(rows)}.",
    )
    return finish("start", bench, cuts, plate, facts, guide, meant=MEANT, found=_tip(bench, len(cuts)))


def _possible(bench: CouponRequest) -> tuple[str, ...]:
    contact = bench.machine.start is StartKind.CONTACT
    names = [] if bench.machine.arc_wait else ["light-delay"]
    names += ["preload"] if contact and bench.machine.touch_off is TouchOff.FLOAT else []
    names += ["rise-feed", "pierce-height"] if contact else ["pierce-height"]
    return tuple(names)


def _values(name: str, bench: CouponRequest) -> tuple[float, ...]:
    """Return what is tried besides the value that the machine has."""
    m, p = bench.machine, bench.process
    match name:
        case "light-delay":
            return round(0.5 * m.light_delay_s, 3), round(1.5 * m.light_delay_s, 3)
        case "preload":
            return 0.5 * m.preload, min(2.0 * m.preload, m.float_travel / 3)
        case "rise-feed":
            return tuple(min(f, m.z_rapid_mm_min) for f in (0.6 * m.rise_feed_mm_min, 1.5 * m.rise_feed_mm_min))
        case _:
            base = p.pierce_height or 2 * p.cut_height
            return (base * 1.5,) if base <= 2 * p.cut_height else (2 * p.cut_height,)


def _written(name: str, value: float, bench: CouponRequest) -> str:
    """Return what is tried for people; in inches first where the machine's programs are."""
    told = VARIED[name][4]
    mm = told(value)
    return f"{told(value, True)} = {mm}" if bench.machine.inches and told is not format_time else mm


def _trial(name: str, value: float) -> StartTrial:
    return StartTrial(**{VARIED[name][0]: round(value, 3)})


def _named(trial: StartTrial) -> dict[str, float]:
    fields = {spec[0]: name for name, spec in VARIED.items()}
    return {fields[field]: value for field, value in asdict(trial).items() if value is not None}


def _tip(bench: CouponRequest, starts: int) -> list[Finding]:
    lasts = bench.process.starts_per_tip
    if not lasts or starts <= 0.5 * lasts:
        return []
    message = f"the piece takes {starts} starts, a tip lasts about {lasts} on this plate"
    return [
        Finding(
            "tip-life",
            Severity.WARNING,
            message,
            say("begin with a new tip, or vary one thing at a time ({vary})", vary=option("vary")),
        )
    ]


def asks(facts: Facts) -> tuple[Asked, ...]:
    """Return the readings: how many of each row lit."""
    return tuple(
        Asked(name=f"A{k}", text=f"how many of {facts['starts']} lit, {row['label']}", quantity=None)
        for k, row in enumerate(facts["rows"], 1)
    )


def solve(facts: Facts, readings: Readings) -> CouponResult:
    """Return which settings light more or less often than the machine's own, and how sure that is."""
    starts = int(facts["starts"])
    lit, findings = _tallies(readings, starts)
    rows: list[dict[str, Any]] = facts["rows"]
    lines = [
        (f"row {k}", f"{lit[k]} of {starts}, {_share(lit[k], starts)}, {row['label']}")
        for k, row in enumerate(rows, 1)
        if k in lit
    ]
    if 1 not in lit:
        findings.append(
            Finding("row-missing", Severity.ERROR, "the tally of row 1 is missing: nothing to compare with")
        )
        return CouponResult(values={}, lines=tuple(lines), findings=tuple(findings))
    changes = []
    for k, row in enumerate(rows[1:], 2):
        if k not in lit:
            continue
        luck = by_luck(lit[k], lit[1], starts)
        if luck > SURE:
            continue
        name = next(n for n in VARIED if n in row)
        better = lit[k] > lit[1]
        word = "better" if better else "worse"
        lines.append((name, f"{row['label']} lights {word}; that is luck in {luck:.1%} of cases"))
        if better:
            _, file, place, quantity, _told = VARIED[name]
            changes.append((lit[k], ShopChange(file=file, place=place, value=float(row[name]), quantity=quantity)))
    if not changes:
        lines.append(("advice", _nothing(lit[1], starts)))
    best = {c.place: c for _, c in sorted(changes, key=lambda pair: pair[0])}
    return CouponResult(
        values={f"lit_{k}": float(v) for k, v in sorted(lit.items())},
        lines=tuple(lines),
        findings=tuple(findings),
        changes=tuple(best.values()),
        note=f"start rows of {starts}: {lit[1]} lit as it was, {max(lit.values())} at best",
    )


def _tallies(readings: Readings, starts: int) -> tuple[dict[int, int], list[Finding]]:
    lit: dict[int, int] = {}
    findings = []
    for name, values in readings.items():
        if len(values) > 1:
            findings.append(
                Finding("reading-twice", Severity.ERROR, f"{name} is given {len(values)} times", "once each")
            )
        for value in values[:1]:
            if not 0 <= value <= starts or value != int(value):
                message = say(
                    "{name} = {value:g} is no count of {starts} starts", name=name, value=value, starts=starts
                )
                findings.append(Finding("reading-impossible", Severity.ERROR, message, "a whole number from 0"))
            else:
                lit[int(name[1:])] = int(value)
    return lit, findings


def _nothing(base: int, starts: int) -> str:
    if base == starts:
        return f"all {starts} of row 1 lit and no row differs beyond luck: leave it as it is"
    return "no row differs beyond luck; look at air, tip, clamp and plate, then cut the rows again"


def _share(lit: int, starts: int) -> str:
    low, high = wilson(lit, starts)
    return f"so {low:.0%} to {high:.0%} of starts light"


def wilson(lit: int, starts: int) -> tuple[float, float]:
    """Return the shares between which the true one lies, 19 times of 20 (Wilson 1927)."""
    z, share = 1.959964, lit / starts
    middle = (share + z * z / (2 * starts)) / (1 + z * z / starts)
    half = z / (1 + z * z / starts) * math.sqrt(share * (1 - share) / starts + z * z / (4 * starts * starts))
    return max(0.0, middle - half), min(1.0, middle + half)


def by_luck(a: int, b: int, n: int) -> float:
    """Return how often equal rows of `n` differ as much as `a` and `b` do (Fisher's exact test, two sides)."""
    total, whole = a + b, math.comb(2 * n, a + b)
    chance = [math.comb(n, k) * math.comb(n, total - k) / whole for k in range(max(0, total - n), min(n, total) + 1)]
    seen = math.comb(n, a) * math.comb(n, b) / whole
    return min(1.0, sum(c for c in chance if c <= seen * (1 + 1e-9)))


COUPON = CouponKind(
    name="start",
    title="rows of ten starts at other settings: how surely the arc lights",
    make=make,
    asks=asks,
    solve=solve,
    meant=MEANT,
)
