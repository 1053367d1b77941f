"""The square piece: a large rectangle. Its sides tell the scale of the axes, its diagonals how square they stand."""

from __future__ import annotations

import math

import numpy as np

from kerfproof.coupon.make_program import check_pierce, finish, margin_of, plan_contours, plate_words, rounded_process
from kerfproof.coupon.piece import Coupon, CouponKind, CouponRequest, CouponResult, Facts, ShopChange
from kerfproof.coupon.readings import Asked, Readings, mistyped
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.geom.path import Path
from kerfproof.sentence import mm, option, say
from kerfproof.units import format_length

SHARE = 0.5
"""Size of the rectangle as a share of the travel."""
SCATTER = 0.5
"""A reading this far from the fit may still belong: a tape over an edge of a cut."""
APPLY = (
    "apply",
    "by your choice, at the control and the gantry, then cut the piece again; programs are never bent to suit a table",
)
KERF_DOUBT = 0.1
"""How well the kerf is known (common practice, no source); it adds to every side."""


def make(bench: CouponRequest) -> Coupon:
    """Return the rectangle."""
    check_pierce(bench)
    p, m = rounded_process(bench), bench.machine
    margin = margin_of(bench)
    step = 25.4 if m.inches else 50.0
    room = [m.travel_x - 2 * margin, m.travel_y - 2 * margin]
    sides = list(bench.sizes) or [max(step, math.floor(min(r, 600.0, SHARE * r + 100) / step) * step) for r in room]
    if len(sides) == 1:
        sides *= 2
    if len(sides) != 2:
        raise KerfproofError("a rectangle has two sizes", advice=say("{sizes} 400,300 mm", sizes=option("sizes")))
    w, h = sides
    if min(w, h) < 100:
        raise KerfproofError(
            say("{side} is too small to see anything on", side=mm(min(w, h), "g")),
            advice=say("{least} at least, 300 are better", least=mm(100)),
        )
    path = Path.rectangle(margin, margin, margin + w, margin + h)
    plate = (0.0, 0.0, w + 2 * margin, h + 2 * margin)
    _parts, cuts, found = plan_contours([path], plate, bench)
    facts = {"width": w, "height": h, "kerf": p.kerf, "inches": m.inches}
    guide = (
        f"Cut on flat plate of at least {plate_words(plate)}; mark X on it before you take it out.",
        "Measure width (along X) at both ends and height (along Y) at both ends, then both diagonals:",
        "d1 from the lower left corner to the upper right one, d2 from the lower right corner to the upper left one.",
    )
    return finish("square", bench, cuts, plate, facts, guide, drawn=[path], found=found)


def asks(facts: Facts) -> tuple[Asked, ...]:
    """Return the readings: sides, diagonals, and by choice the kerf and the steps of the axes."""
    w, h = facts["width"], facts["height"]
    diagonal = math.hypot(w, h)
    drawn = [format_length(side, bool(facts["inches"])) for side in (w, h)]
    return (
        Asked(name="width", text=f"width, along X, drawn {drawn[0]}", expected=w),
        Asked(name="height", text=f"height, along Y, drawn {drawn[1]}", expected=h),
        Asked(name="d1", text="diagonal, lower left to upper right", expected=diagonal, required=True),
        Asked(name="d2", text="diagonal, lower right to upper left", expected=diagonal, required=True),
        Asked(name="kerf", text="kerf, if you measured it since"),
        Asked(name="steps_x", text="steps per unit of X as the control has them now", quantity=None),
        Asked(name="steps_y", text="steps per unit of Y as the control has them now", quantity=None),
    )


def solve(facts: Facts, readings: Readings) -> CouponResult:
    """Return how far the axes are from square, and the scale of each."""
    w, h = facts["width"], facts["height"]
    expected = {"width": w, "height": h, "d1": math.hypot(w, h), "d2": math.hypot(w, h)}
    findings, rows = [], []
    for name, should in expected.items():
        for value in readings.get(name, ()):
            wrong = mistyped(name, value, should, expected, reach=max(5.0, 0.02 * should))
            if wrong is not None:
                findings.append(wrong)
            else:
                rows.append((name, value))
    if not {"d1", "d2"} <= {n for n, _ in rows}:
        findings.append(Finding("diagonal-missing", Severity.ERROR, "both diagonals are needed", "measure them again"))
        return CouponResult(values={}, lines=(), findings=tuple(findings))
    if not {"width", "height"} <= {n for n, _ in rows}:
        return _square_only(facts, dict(rows), findings)
    (a, b, lean), residuals, std = side_fit(rows, (w, h, 0.0))
    findings += _strangers(rows, residuals)
    kerf = readings.get("kerf", (facts["kerf"],))[0]
    scale_x, scale_y = (a + kerf) / (w + facts["kerf"]), (b + kerf) / (h + facts["kerf"])
    doubt = math.hypot(std, KERF_DOUBT if "kerf" not in readings else 0.03)
    values = {
        "lean_deg": round(math.degrees(lean), 5), "scale_x": round(scale_x, 6), "scale_y": round(scale_y, 6),
        "width": round(a, 3), "height": round(b, 3), "spread": round(std, 4),
    }  # fmt: skip
    lines = [_lean_line(lean, h)]
    for axis, scale, side in (("X", scale_x, w), ("Y", scale_y, h)):
        sure = abs(scale - 1) * side > 2 * doubt
        lines.append((f"scale {axis}", _scale_line(scale, doubt / side, sure, readings.get(f"steps_{axis.lower()}"))))
    note = f"square piece {w:g} x {h:g} mm: {math.degrees(lean):+.3f} deg, scale {scale_x:.5f} {scale_y:.5f}"
    return CouponResult(
        values=values, lines=(*lines, APPLY), findings=tuple(findings), changes=_kept(note), note=note,
    )  # fmt: skip


def _kept(note: str) -> tuple[ShopChange, ...]:
    """Return what can be kept of the measurement: a note, as programs are never bent to suit a table."""
    return (ShopChange(file="machine", place=("table", "square_note"), value=note),)


def side_fit(
    rows: list[tuple[str, float]], guess: tuple[float, float, float]
) -> tuple[tuple[float, float, float], np.ndarray, float]:
    """Return width, height and lean (radians, + where the angle at the lower left is under 90 degrees) that fit best.

    With the lean q the diagonals are the roots of w2 + h2 +- 2 w h sin q. Gauss-Newton from the drawn sides; also
    returned are the residuals (n,) and their standard deviation.
    """
    x = np.array(guess)
    measured = np.array([value for _, value in rows])
    for _ in range(20):
        w, h, q = x.tolist()
        d1, d2 = (math.sqrt(w * w + h * h + sign * 2 * w * h * math.sin(q)) for sign in (1, -1))
        table = {
            "width": (w, (1.0, 0.0, 0.0)),
            "height": (h, (0.0, 1.0, 0.0)),
            "d1": (d1, ((w + h * math.sin(q)) / d1, (h + w * math.sin(q)) / d1, w * h * math.cos(q) / d1)),
            "d2": (d2, ((w - h * math.sin(q)) / d2, (h - w * math.sin(q)) / d2, -w * h * math.cos(q) / d2)),
        }
        model = np.array([table[name][0] for name, _ in rows])
        slopes = np.array([table[name][1] for name, _ in rows])
        change, *_ = np.linalg.lstsq(slopes, measured - model, rcond=None)
        x = x + change
        if np.abs(change).max() < 1e-10:
            break
    residuals = measured - model
    std = float(np.sqrt((residuals**2).sum() / max(1, len(rows) - 3)))
    return (float(x[0]), float(x[1]), float(x[2])), residuals, std


def _strangers(rows: list[tuple[str, float]], residuals: np.ndarray) -> list[Finding]:
    """Return the worst reading if it is too far off: with so few, one slip bends the others too."""
    worst = int(np.argmax(np.abs(residuals)))
    if abs(residuals[worst]) <= SCATTER:
        return []
    name, value = rows[worst]
    message = say(
        "{name} = {value} does not fit the others by {residuals}",
        name=name,
        value=mm(value, "g"),
        residuals=mm(residuals[worst], "+.2f"),
    )
    return [
        Finding("reading-outlier", Severity.ERROR, message, "measure sides and diagonals again; one of them is a slip")
    ]


def _square_only(facts: Facts, rows: dict[str, float], findings: list[Finding]) -> CouponResult:
    """Return the lean from the diagonals alone: d1^2 - d2^2 = 4 w h sin q."""
    w, h = facts["width"], facts["height"]
    lean = math.asin(max(-1.0, min(1.0, (rows["d1"] ** 2 - rows["d2"] ** 2) / (4 * w * h))))
    note = f"square piece {w:g} x {h:g} mm: {math.degrees(lean):+.3f} deg"
    return CouponResult(
        values={"lean_deg": round(math.degrees(lean), 5)}, lines=(_lean_line(lean, h), APPLY),
        findings=tuple(findings), changes=_kept(note), note=note,
    )  # fmt: skip


def _lean_line(lean: float, height: float) -> tuple[str, str]:
    way = "right" if lean > 0 else "left"
    off = abs(height * math.tan(lean))
    if off < 0.05:
        return "squareness", f"square within {format_length(off, decimals=2)} over {format_length(height, decimals=0)}"
    move = "left" if lean > 0 else "right"
    return (
        "squareness",
        f"Y leans {format_length(off, decimals=2)} to the {way} over {format_length(height, decimals=0)} "
        f"({math.degrees(lean):+.3f} deg): square the gantry so that the far end of Y comes that much to the {move}",
    )


def _scale_line(scale: float, doubt: float, sure: bool, steps: tuple[float, ...] | None) -> str:
    text = f"{scale:.5f} +-{doubt:.5f}"
    if not sure:
        return f"{text}: right, as far as this piece can tell"
    text += f": multiply the steps per unit by {1 / scale:.5f}"
    return f"{text}, {steps[0]:g} becomes {steps[0] / scale:.4f}" if steps else text


COUPON = CouponKind(
    name="square", title="a large rectangle: squareness and scale of the axes", make=make, asks=asks, solve=solve
)
