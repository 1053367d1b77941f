"""The kerf piece: squares with a round hole, cut with a known offset; calipers tell what the arc really takes.

The paths are known, so each outline is a measured path less a kerf, each hole a path and a kerf more. Both kinds are
fitted by least squares, apart, because a bevelled edge or slack in an axis shows in one of them only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from kerfproof.coupon.least_squares import Fit, least_squares
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
from kerfproof.coupon.readings import Asked, Readings, mistyped
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.geom.path import Path
from kerfproof.sentence import Phrase, Sentence, mm, mm_span, say
from kerfproof.units import LENGTH, format_length

SCATTER = 0.25
"""A reading this far from the fit may still belong: kerf scatters by 0.1 to 0.2 mm (common practice, no source)."""
APART = 0.15
"""Outlines and holes whose kerfs differ by more than this are told."""
NARROWEST, WIDEST = 0.3, 6.0
"""No kerf of a small torch lies outside (1.3 to 3 mm are usual, thin sheet and fine tips lie below)."""
NEGATIVE_SEEN = 3.0
"""Down to so many mm below nothing a kerf is called negative, beyond that the reading is a slip."""
SCALE = 0.002
"""A size error that grows by more than this share of the size is told."""


def make(bench: CouponRequest) -> Coupon:
    """Return the piece: a row of squares, each with a round hole."""
    check_pierce(bench)
    p = rounded_process(bench)
    holes = sorted(bench.sizes) or _hole_sizes(bench)
    if holes[0] <= p.slow_hole_below - 1e-9:
        raise KerfproofError(
            say(
                "holes under {slow_hole_below} are slowed and have a kerf of their own",
                slow_hole_below=mm(p.slow_hole_below, "g"),
            ),
            advice="use the test piece `hole` for them",
        )
    squares = [round_size(d + 2 * _frame(bench), bench.machine.inches) for d in holes]
    margin = margin_of(bench)
    gap = max(p.web + 2 * max(p.lead_radius, p.lead_straight) + p.crater_radius, 2 * bench.machine.tip_face_radius)
    x, paths, cut = margin, list[Path](), dict[str, dict[str, float]]()
    for k, (hole, side) in enumerate(zip(holes, squares, strict=True), 1):
        paths.append(Path.rectangle(x, margin, x + side, margin + side))
        paths.append(Path.circle((x + side / 2, margin + side / 2), hole / 2))
        cut[f"S{k}"] = {"size": round(side, 4), "path": round(side + p.kerf, 4)}
        cut[f"H{k}"] = {"size": round(hole, 4), "path": round(hole - p.kerf, 4)}
        x += side + gap
    plate = (0.0, 0.0, x - gap + margin, 2 * margin + squares[-1])
    parts, cuts, found = plan_contours(paths, plate, bench)
    del parts
    facts = {
        "cut": cut, "kerf": p.kerf, "feed": p.feed_mm_min, "material": p.material, "thickness": p.thickness,
        "amps": p.amps, "inches": bench.machine.inches,
    }  # fmt: skip
    names = ", ".join(f"S{k}" for k in range(1, len(holes) + 1))
    guide = (
        f"Cut on plate of at least {plate_words(plate)}, with the tip and at the height you will cut at.",
        "Knock off the dross. Measure each square across both ways in the middle of its sides, on the top edge.",
        f"From small to large they are {names}; the holes in them H1 to H{len(holes)}, measured across both ways.",
    )
    return finish("kerf", bench, cuts, plate, facts, guide, drawn=paths, found=found)


def _hole_sizes(bench: CouponRequest) -> list[float]:
    least = max(20.0, 1.1 * bench.process.slow_hole_below)
    return [round_size(least * factor, bench.machine.inches) for factor in (1.0, 1.5, 2.0)]


def _frame(bench: CouponRequest) -> float:
    """Return the metal left beside the hole."""
    return max(8.0, bench.process.web)


def asks(facts: Facts) -> tuple[Asked, ...]:
    """Return the readings: the size of each square and hole."""
    return tuple(
        Asked(
            name=name,
            text=f"{'square' if name[0] == 'S' else 'hole'} drawn {format_length(size['size'], facts['inches'])}",
            expected=size["size"],
        )
        for name, size in facts["cut"].items()
    )


def solve(facts: Facts, readings: Readings) -> CouponResult:
    """Return the kerf by kind of feature and for the chart."""
    cut: Mapping[str, Mapping[str, float]] = facts["cut"]
    findings, good = sorted_out(cut, readings)
    values: dict[str, float] = {}
    lines: list[tuple[str, Phrase]] = []
    fits: dict[str, Fit] = {}
    for kind, letter in (("outlines", "S"), ("holes", "H")):
        rows = [(name, v) for name, v in good if name[0] == letter]
        if not rows:
            continue
        fit, strangers = kerf_fit(cut, rows, facts["kerf"])
        fits[letter] = fit
        findings += strangers
        values[f"kerf_{kind}"], values[f"spread_{kind}"] = round(float(fit.values[0]), 4), round(fit.std, 4)
        lines.append((kind, told(fit)))
    findings += _scale(cut, good, fits)
    if not fits:
        return CouponResult(values=values, lines=tuple(lines), findings=tuple(findings))
    kerf = round(float(np.mean([fit.values[0] for fit in fits.values()])), 3)
    values["kerf"] = kerf
    values["spread"] = round(max(fit.std for fit in fits.values()), 4)
    findings += _sense(fits, kerf)
    lines.append(
        (
            "kerf",
            say(
                "{kerf} ({in_inches}); the piece was cut with {meant}",
                kerf=format_length(kerf),
                in_inches=format_length(kerf, True),
                meant=mm(facts["kerf"], "g"),
            ),
        )
    )
    count = sum(int(fit.used.sum()) for fit in fits.values())
    return CouponResult(
        values=values,
        lines=tuple(lines),
        findings=tuple(findings),
        changes=(ShopChange(file="chart", place=("kerf",), value=kerf, quantity=LENGTH),),
        note=f"kerf by test piece, {count} readings, +-{values['spread']:.2f} mm, at {facts['feed']:.0f} mm/min",
    )


def sorted_out(
    cut: Mapping[str, Mapping[str, float]], readings: Readings
) -> tuple[list[Finding], list[tuple[str, float]]]:
    """Return what is impossible among the readings, and the others."""
    sizes = {name: size["size"] for name, size in cut.items()}
    findings, good = [], []
    for name in (n for n in cut if n in readings):
        for value in readings[name]:
            sign = 1.0 if name[0] == "S" else -1.0
            kerf = sign * (cut[name]["path"] - value)
            if -NEGATIVE_SEEN <= kerf <= 0:
                wrong: Finding | None = _negative(name, value, kerf, cut[name]["path"])
            else:
                wrong = mistyped(name, value, sizes[name], sizes, reach=1.5)
            if wrong is not None:
                findings.append(wrong)
            else:
                good.append((name, value))
    return findings, good


def _negative(name: str, value: float, kerf: float, path: float) -> Finding:
    message = say(
        "{name} = {value} would mean a kerf of {kerf}: the path itself was {path}",
        name=name,
        value=mm(value, "g"),
        kerf=mm(kerf, ".2f"),
        path=mm(path, ".2f"),
    )
    return Finding("kerf-negative", Severity.ERROR, message, "measure it again; was it cut from this program?")


def kerf_fit(
    cut: Mapping[str, Mapping[str, float]], rows: Sequence[tuple[str, float]], kerf: float
) -> tuple[Fit, list[Finding]]:
    """Return the kerf of readings of one kind, and a finding for each that does not belong."""
    taken = np.array([(cut[n]["path"] - v) * (1.0 if n[0] == "S" else -1.0) for n, v in rows])
    fit = least_squares(np.ones((len(rows), 1)), taken, SCATTER)
    findings = [
        Finding(
            "reading-outlier", Severity.WARNING,
            say(
                "{name} = {value} does not fit the others: {off} of kerf",
                name=rows[k][0], value=mm(rows[k][1], "g"), off=mm(fit.residuals[k], "+.2f"),
            ),
            "left out of the fit; measure it again",
        )
        for k in np.flatnonzero(~fit.used).tolist()
    ]  # fmt: skip
    used = int(fit.used.sum())
    if used < 3:
        text = f"only {used} reading{'s' if used > 1 else ''} of this kind: no typing mistake would be noticed"
        findings.append(Finding("few-readings", Severity.WARNING, text, "measure three or more"))
    elif fit.std > SCATTER:
        findings.append(
            Finding(
                "kerf-scatters", Severity.WARNING,
                say("the readings scatter by {by}, {usual} are usual", by=mm(fit.std, ".2f"), usual=mm_span(0.1, 0.2)),
                "measure again on clean edges; look at tip, height and slack in the axes",
            )
        )  # fmt: skip
    return fit, findings


def told(fit: Fit) -> Sentence:
    """Return a kerf with its spread."""
    used = int(fit.used.sum())
    return say(
        "{kerf}, +-{error} from {used} of {count}, spread {std}",
        kerf=mm(fit.values[0], ".3f"),
        error=mm(fit.errors[0], ".3f"),
        used=used,
        count=len(fit.used),
        std=mm(fit.std, ".3f"),
    )


def _sense(fits: Mapping[str, Fit], kerf: float) -> list[Finding]:
    out = []
    if not NARROWEST <= kerf <= WIDEST:
        out.append(
            Finding(
                "kerf-impossible", Severity.ERROR,
                say("a kerf of {kerf} is none of a small torch", kerf=mm(kerf, ".2f")),
                "were the readings in the right unit, and of this piece?",
            )
        )  # fmt: skip
    if len(fits) == 2:
        apart = float(fits["H"].values[0] - fits["S"].values[0])
        if abs(apart) > max(APART, 2 * float(np.hypot(fits["S"].errors[0], fits["H"].errors[0]))):
            out.append(
                Finding(
                    "kerf-by-kind", Severity.WARNING,
                    say(
                        "holes have {apart} more kerf than outlines: slack in an axis, or bevel that the calipers "
                        "meet on one side only",
                        apart=mm(apart, "+.2f"),
                    ),
                    "the mean goes to the chart; look for slack first",
                )
            )  # fmt: skip
    return out


def _scale(
    cut: Mapping[str, Mapping[str, float]], good: Sequence[tuple[str, float]], fits: Mapping[str, Fit]
) -> list[Finding]:
    """Return a note if errors grow with size, which no kerf does: then the axes' scale is off."""
    used = {letter: iter(fit.used.tolist()) for letter, fit in fits.items()}
    kept = [(n, v) for n, v in good if next(used[n[0]])]
    if len({n for n, _ in kept}) < 4:
        return []
    model: Any = [[cut[n]["path"], -1.0 if n[0] == "S" else 1.0] for n, _ in kept]
    fit = least_squares(np.array(model), np.array([v for _, v in kept]), SCATTER)
    off = float(fit.values[0] - 1.0)
    if abs(off) < max(SCALE, 3 * float(fit.errors[0])):
        return []
    message = f"sizes come out {off:+.2%} off, growing with size: that is no kerf but the scale of the axes"
    return [Finding("scale-off", Severity.WARNING, message, "cut the test piece `square`, put the scale right, repeat")]


COUPON = CouponKind(
    name="kerf",
    title="squares with round holes in three sizes: the width of the cut",
    make=make,
    asks=asks,
    solve=solve,
)
