"""The kerf piece: squares with a round hole, cut with a known offset; calipers tell what the arc really takes.

The paths are known, so each outline is a measured path less a kerf, each hole a path and a kerf more. All are fitted at
once for kerf, slack and scale (`joint_fit`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from kerfproof.coupon.joint_fit import JointFit, joint_fit
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
STRANGE = 0.4
"""The same among readings of all kinds, of which the fit knows less."""
SLACK = 0.075
"""More slack (mm) than this is told."""
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
    """Return kerf, scale and slack with their errors, and the kerf for the chart."""
    cut: Mapping[str, Mapping[str, float]] = facts["cut"]
    findings, good = sorted_out(cut, readings)
    if not good:
        return CouponResult(values={}, lines=(), findings=tuple(findings))
    paths = np.array([cut[name]["path"] for name, _ in good])
    whole = joint_fit(paths, np.array([v for _, v in good]), [name[0] == "H" for name, _ in good], STRANGE)
    findings += [*outsiders(good, whole.fit), *_unseen(whole, good), *_sense(whole)]
    kerf = round(whole.kerf.value, 3)
    values = {"kerf": kerf, "kerf_error": round(whole.kerf.error, 4), "spread": round(whole.fit.std, 4)}
    used, count = int(whole.fit.used.sum()), len(good)
    in_inches, meant = format_length(kerf, True), mm(facts["kerf"], "g")
    lines: list[tuple[str, Phrase]] = [
        (
            "kerf",
            say(
                "{kerf} ({in_inches}), +-{error} from {used} of {count} readings; the piece was cut with {meant}",
                kerf=mm(kerf, ".3f"),
                in_inches=in_inches,
                error=mm(whole.kerf.error, ".3f"),
                used=used,
                count=count,
                meant=meant,
            ),
        ),
        ("scatter", say("{std} of single readings", std=mm(whole.fit.std, ".3f"))),
    ]
    if whole.slack.seen:
        values |= {"slack": round(whole.slack.value, 4), "slack_error": round(whole.slack.error, 4)}
        slack = say("{slack}, +-{error}", slack=mm(whole.slack.value, "+.3f"), error=mm(whole.slack.error, ".3f"))
        lines.append(("slack", slack))
    if whole.scale.seen:
        values |= {"scale": round(whole.scale.value, 6), "scale_error": round(whole.scale.error, 6)}
        lines.append(("scale", f"{whole.scale.value:+.2%}, +-{whole.scale.error:.2%}"))
    return CouponResult(
        values=values,
        lines=tuple(lines),
        findings=tuple(findings),
        changes=(ShopChange(file="chart", place=("kerf",), value=kerf, quantity=LENGTH),),
        note=f"kerf by test piece, {count} readings, +-{whole.kerf.error:.2f} mm, at {facts['feed']:.0f} mm/min",
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
    return fit, outsiders(rows, fit)


def outsiders(rows: Sequence[tuple[str, float]], fit: Fit) -> list[Finding]:
    """Return a finding for each reading that does not belong, and what to say of too few or too scattered ones."""
    findings = [
        Finding(
            "reading-outlier", Severity.WARNING,
            say(
                "{name} = {value} does not fit the others: {off} off",
                name=rows[k][0], value=mm(rows[k][1], "g"), off=mm(fit.residuals[k], "+.2f"),
            ),
            "left out of the fit; measure it again",
        )
        for k in np.flatnonzero(~fit.used).tolist()
    ]  # fmt: skip
    used, unknown = int(fit.used.sum()), len(fit.values)
    if used < unknown + 2:
        text = f"only {used} reading{'s' if used > 1 else ''} for {unknown} unknown: no typing mistake would be noticed"
        findings.append(Finding("few-readings", Severity.WARNING, text, "measure more of them, each two times"))
    elif fit.std > SCATTER:
        findings.append(
            Finding(
                "kerf-scatters", Severity.WARNING,
                say("the readings scatter by {by}, {usual} are usual", by=mm(fit.std, ".2f"), usual=mm_span(0.1, 0.2)),
                "measure again on clean edges; look at tip, height and slack in the axes",
            )
        )  # fmt: skip
    return findings


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


def _unseen(whole: JointFit, good: Sequence[tuple[str, float]]) -> list[Finding]:
    """Return what readings of one kind or one size can't see."""
    out = []
    if not whole.slack.seen:
        mine, other = ("squares", "holes") if good[0][0][0] == "S" else ("holes", "squares")
        what = f"{mine} alone can't tell a wide kerf from slack in an axis"
        out.append(Finding("kerf-one-kind", Severity.WARNING, what, f"measure the {other}, too"))
    if not whole.scale.seen:
        what = "sizes so near each other can't tell the kerf from a wrong scale of the axes"
        out.append(Finding("kerf-one-size", Severity.WARNING, what, "measure the smallest and the largest, too"))
    return out


def _sense(whole: JointFit) -> list[Finding]:
    """Return what looks wrong in kerf, slack and scale."""
    out = []
    if not NARROWEST <= whole.kerf.value <= WIDEST:
        what = say("a kerf of {kerf} is none of a small torch", kerf=mm(whole.kerf.value, ".2f"))
        advice = "were the readings in the right unit, and of this piece?"
        out.append(Finding("kerf-impossible", Severity.ERROR, what, advice))
    if whole.slack.seen and abs(whole.slack.value) > max(SLACK, 2 * whole.slack.error):
        what = say(
            "outlines and holes both come out {less} smaller than their paths and the kerf: slack in an axis, or bevel "
            "that the calipers meet on one side only",
            less=mm(whole.slack.value, "+.2f"),
        )
        out.append(Finding("kerf-by-kind", Severity.WARNING, what, "look for slack first; the kerf is without it"))
    if whole.scale.seen and abs(whole.scale.value) > max(SCALE, 3 * whole.scale.error):
        grows = (
            f"sizes come out {whole.scale.value:+.2%} off, growing with size: that is no kerf but the scale of the axes"
        )
        advice = "cut the test piece `square`, put the scale right, repeat"
        out.append(Finding("scale-off", Severity.WARNING, grows, advice))
    return out


COUPON = CouponKind(
    name="kerf",
    title="squares with round holes in three sizes: the width of the cut",
    make=make,
    asks=asks,
    solve=solve,
)
