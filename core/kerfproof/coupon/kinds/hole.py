"""The hole piece: small holes at their slow feed, over-burn 0 to 3 mm; what they come out at, and which closes best."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kerfproof.coupon.kinds.kerf import kerf_fit, sorted_out, told
from kerfproof.coupon.make_program import (
    check_pierce,
    finish,
    margin_of,
    plan_contours,
    plate_words,
    round_size,
    rounded_process,
)
from kerfproof.coupon.piece import Coupon, CouponKind, CouponRequest, CouponResult, Facts, ShopChange
from kerfproof.coupon.readings import Asked, Readings
from kerfproof.cut_plan import Cut
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.geom.path import Path
from kerfproof.sentence import Phrase, mm, mm_span, option, say
from kerfproof.units import LENGTH, format_length

OVER_BURNS = (0.0, 1.0, 2.0, 3.0)
LETTERS = "ABCDEF"
MEANT = ("cut-may-hang",)
"""Rules that the piece breaks on purpose: holes without over-burn."""


def make(bench: CouponRequest) -> Coupon:
    """Return the piece: a blank with rows of holes, one row a size, the over-burn rising from left to right."""
    check_pierce(bench)
    p, m = rounded_process(bench), bench.machine
    sizes = sorted(bench.sizes) or [round_size(p.min_hole * f, m.inches) for f in (1.0, 1.4, 2.0)]
    sizes = sorted({s for s in sizes})
    _check(sizes, bench)
    margin = margin_of(bench)
    pitch = sizes[-1] + max(p.web, 2 * p.crater_radius, m.tip_face_radius + 2.0)
    edge = margin + pitch / 2 + p.web
    paths: list[Path] = []
    cut = {}
    for r, size in enumerate(sizes):
        for c, over in enumerate(OVER_BURNS):
            center = (edge + c * pitch, edge + r * pitch)
            paths.append(Path.circle(center, size / 2))
            kerf = p.kerf if p.hole_kerf is None else p.hole_kerf
            cut[f"{LETTERS[r]}{c + 1}"] = {"size": round(size, 4), "path": round(size - kerf, 4), "over_burn": over}
    w, h = edge + (len(OVER_BURNS) - 1) * pitch + pitch / 2 + p.web, edge + (len(sizes) - 1) * pitch + pitch / 2 + p.web
    paths.append(Path.rectangle(margin, margin, w, h))
    plate = (0.0, 0.0, w + margin, h + margin)
    _parts, cuts, found = plan_contours(paths, plate, bench)
    cuts = [_over_burnt(c, list(cut.items())) for c in cuts]
    feeds = sorted({round(c.feed_mm_min) for c in cuts if c.kind == "hole"})
    facts = {
        "cut": cut, "kerf": p.kerf if p.hole_kerf is None else p.hole_kerf, "feeds": feeds, "material": p.material,
        "thickness": p.thickness, "amps": p.amps, "inches": m.inches,
    }  # fmt: skip
    guide = (
        f"Cut on plate of at least {plate_words(plate)}. Rows count from below: "
        f"{', '.join(f'{LETTERS[r]} {format_length(s, m.inches)}' for r, s in enumerate(sizes))}.",
        say(
            "In each row hole 1 has no over-burn, then 1, {span}. Measure both ways, clear of the place it closed.",
            span=mm_span(2, 3, between=" and "),
        ),
        "Say which hole of each row closed best (no step, no divot): best = A2 B3. One whose slug hangs is not best.",
    )
    return finish("hole", bench, cuts, plate, facts, guide, drawn=paths, found=found, meant=MEANT)


def _check(sizes: list[float], bench: CouponRequest) -> None:
    p = bench.process
    if len(sizes) > len(LETTERS):
        raise KerfproofError(f"at most {len(LETTERS)} sizes, not {len(sizes)}")
    if sizes[0] < p.min_hole - 1e-6:
        raise KerfproofError(
            f"the smallest hole of the chart is {format_length(p.min_hole)}, {format_length(sizes[0])} is less",
            advice="drill smaller ones",
        )
    if sizes[-1] >= p.slow_hole_below:
        raise KerfproofError(
            say(
                "holes from {slow_hole_below} up run at full feed, they have no kerf of their own",
                slow_hole_below=mm(p.slow_hole_below, "g"),
            ),
            advice="use the test piece `kerf` for them",
        )


def _over_burnt(cut: Cut, wanted: list[tuple[str, dict[str, float]]]) -> Cut:
    """Return a hole's cut with the over-burn it tries and its name on the piece."""
    if cut.kind != "hole":
        return cut
    name, facts = wanted[cut.feature]
    length = min(facts["over_burn"], cut.contour.length() / 2)
    burn = cut.contour.opened().part(0.0, length) if length > 0 else None
    return replace(
        cut,
        over_burn=burn,
        label=f"{name} {cut.label}, over-burn {length:g} mm",
    )


def asks(facts: Facts) -> tuple[Asked, ...]:
    """Return the readings: diameters, and the best closures."""
    return (*_diameters(facts), _best(facts))


def _diameters(facts: Facts) -> list[Asked]:
    return [
        Asked(
            name=name,
            text=say(
                "diameter, drawn {size}, over-burn {over_burn}",
                size=format_length(h["size"], facts["inches"]),
                over_burn=mm(h["over_burn"], "g"),
            ),
            expected=h["size"],
        )
        for name, h in facts["cut"].items()
    ]


def _best(facts: Facts) -> Asked:
    names = {name: float(k) for k, name in enumerate(facts["cut"])}
    return Asked(name="best", text="holes that closed best, one of each row", quantity=None, names=names)


def solve(facts: Facts, readings: Readings) -> CouponResult:
    """Return the holes' own kerf and the over-burn that closes best."""
    cut = facts["cut"]
    values: dict[str, float] = {}
    lines: list[tuple[str, Phrase]] = []
    changes: list[ShopChange] = []
    findings, good = sorted_out(cut, {name: v for name, v in readings.items() if name != "best"})
    notes = []
    if good:
        fit, strangers = kerf_fit(cut, good, facts["kerf"])
        findings += strangers
        kerf = round(float(fit.values[0]), 3)
        values |= {"hole_kerf": kerf, "spread": round(fit.std, 4)}
        lines += [("hole kerf", told(fit)), ("cut with", format_length(facts["kerf"]))]
        lines += _by_size(cut, good, fit.used.tolist())
        changes.append(ShopChange(file="chart", place=("hole_kerf",), value=kerf, quantity=LENGTH))
        notes.append(f"hole kerf by test piece, {int(fit.used.sum())} readings, +-{fit.std:.2f} mm")
    if "best" in readings:
        over = _closure(facts, readings, findings)
        values["over_burn"] = over
        once = f'{option("set").told(False)} job.leads.over_burn_hole="{over:g} mm"'
        lines.append(("over-burn", f"{format_length(over)}; for one job: {once}"))
        changes.append(ShopChange(file="chart", place=("hole_over_burn",), value=over, quantity=LENGTH))
        notes.append(f"closes best with {over:g} mm over-burn")
    return CouponResult(
        values=values, lines=tuple(lines), findings=tuple(findings), changes=tuple(changes), note=", ".join(notes)
    )


def _by_size(cut: Facts, good: list[tuple[str, float]], used: list[bool]) -> list[tuple[str, Phrase]]:
    """Return how each size came out."""
    out: list[tuple[str, Phrase]] = []
    for letter in sorted({name[0] for name, _ in good}):
        rows = [(n, v) for (n, v), u in zip(good, used, strict=True) if u and n[0] == letter]
        if rows:
            off = float(np.mean([v - cut[n]["size"] for n, v in rows]))
            out.append(
                (
                    f"row {letter}",
                    say(
                        "{off} on {size}",
                        off=mm(off, "+.3f"),
                        size=format_length(cut[rows[0][0]]["size"]),
                    ),
                )
            )
    return out


def _closure(facts: Facts, readings: Readings, findings: list[Finding]) -> float:
    """Return the mean over-burn of the best holes; told where the rows disagree or two of one row are named."""
    names = list(facts["cut"])
    best = [names[int(v)] for v in readings["best"]]
    rows = [name[0] for name in best]
    for row in sorted({r for r in rows if rows.count(r) > 1}):
        message = f"row {row} has {rows.count(row)} best holes"
        findings.append(Finding("reading-twice", Severity.WARNING, message, "name one of each row"))
    burns = [facts["cut"][name]["over_burn"] for name in best]
    if max(burns) - min(burns) > 1.5:
        apart = say("the rows disagree: best are over-burns of {burns}", burns=mm_span(min(burns), max(burns), "g"))
        findings.append(Finding("closures-disagree", Severity.WARNING, apart, "look again; small holes may want less"))
    return round(float(np.mean(burns)), 1)


COUPON = CouponKind(
    name="hole",
    title=say("small holes with over-burn {burns}: their own kerf and the best closure", burns=mm_span(0, 3)),
    make=make, asks=asks, solve=solve,
    meant=MEANT,
)  # fmt: skip
