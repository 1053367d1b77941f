"""The unit of a drawing: what the file says, what the person says, and what speaks against it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.drawing.drawing import Entity, Units
from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Bundle, Floats
from kerfproof.sentence import Phrase, mm, option, say

INSUNITS: dict[int, tuple[str, float]] = {
    1: ("inch", 25.4),
    2: ("foot", 304.8),
    3: ("mile", 1_609_344.0),
    4: ("mm", 1.0),
    5: ("cm", 10.0),
    6: ("m", 1_000.0),
    7: ("km", 1e6),
    8: ("microinch", 25.4e-6),
    9: ("mil", 0.0254),
    10: ("yard", 914.4),
    11: ("angstrom", 1e-7),
    12: ("nm", 1e-6),
    13: ("micron", 1e-3),
    14: ("dm", 100.0),
    15: ("dam", 1e4),
    16: ("hm", 1e5),
    17: ("Gm", 1e12),
    18: ("astronomical unit", 149_597_870_700e3),
    19: ("light year", 9_460_730_472_580_800e3),
    20: ("parsec", 3.085677581491367e19),
    21: ("US survey foot", 1_200_000 / 3_937),
    22: ("US survey inch", 100_000 / 3_937),
    23: ("US survey yard", 3_600_000 / 3_937),
    24: ("US survey mile", 5_280 * 1_200_000 / 3_937),
}
"""Name and millimetres of each value of $INSUNITS (DXF reference, header variables); 0 is no unit."""

_ENGLISH = frozenset({1, 2, 3, 8, 9, 10, 21, 22, 23, 24})
_ASTRAY = say("if that is wrong, give the right unit with {units} mm, cm or in", units=option("units"))


def header_units(code: int | None) -> Units:
    """Return the unit that $INSUNITS means; unknown for None, 0 and values that the reference does not list."""
    if code not in INSUNITS:
        return Units(None, "unknown", "unknown")
    name, mm_per_unit = INSUNITS[code]
    return Units(mm_per_unit, name, "header")


def given_units(mm_per_unit: float) -> Units:
    """Return the unit that a person gave."""
    names = {length: name for name, length in INSUNITS.values()}
    return Units(mm_per_unit, names.get(mm_per_unit, f"{mm_per_unit:g} mm"), "given")


def unit_findings(
    entities: Sequence[Entity], units: Units, code: int | None, measurement: int | None
) -> tuple[Finding, ...]:
    """Return what there is to say about the unit: missing, contradicted, or unlikely for the size drawn."""
    size = _size(entities)
    found = []
    if units.source == "unknown" and entities:
        found.append(_unknown(entities, size, code))
    if units.source == "given" and code in INSUNITS and abs(INSUNITS[code][1] / (units.mm_per_unit or 1) - 1) > 1e-6:
        name, own = INSUNITS[code]
        asked = f"The file says {name}, but {units.name} was asked for: it was read in {units.name}."
        if size is not None:
            right = in_both(*(own * side / (units.mm_per_unit or 1) for side in size))
            asked = (
                f"The file says {name}, which makes it {right}. It was read in {units.name} as asked: {in_both(*size)}."
            )
        found.append(Finding("units-given", Severity.WARNING, asked, "check the size before you cut"))
    if units.source == "header" and measurement in (0, 1) and (measurement == 0) == (code not in _ENGLISH):
        other = "English" if measurement == 0 else "metric"
        marked = f"The file says {units.name}, but is marked as {other} ($MEASUREMENT){_reads(size, units)}."
        found.append(Finding("units-contradict", Severity.WARNING, marked, _ASTRAY))
    if units.source == "header" and size is not None and (doubt := _doubt(entities, units, max(size))):
        message = say("The unit of the file may be wrong: {doubt}{size}.", doubt=doubt, size=_reads(size, units))
        found.append(Finding("units-doubtful", Severity.WARNING, message, _ASTRAY))
    return tuple(found)


def in_both(width: float, height: float) -> str:
    """Return a size (mm) in mm and in inches."""
    return f"{width:.1f} x {height:.1f} mm ({width / 25.4:.2f} x {height / 25.4:.2f} in)"


def _reads(size: tuple[float, float] | None, units: Units) -> str:
    return "" if size is None else f"; the drawing measures {in_both(*size)}"


def _unknown(entities: Sequence[Entity], size: tuple[float, float] | None, code: int | None) -> Finding:
    said = "no unit" if code in (None, 0) else f"a unit that does not exist (number {code})"
    message = f"The file says {said}."
    if size is not None:
        width, height = size
        message = (
            f"The file says {said}: {width:.6g} x {height:.6g} drawn units would be {in_both(width, height)} in mm, "
            f"or {in_both(width * 25.4, height * 25.4)} in inches"
        )
        guess = _by_holes(_diameters(entities))
        message += f"; the hole sizes look like {guess}." if guess else "."
    return Finding(
        "units-unknown", Severity.ERROR, message, say("give the unit with {units} mm, cm or in", units=option("units"))
    )


def _doubt(entities: Sequence[Entity], units: Units, largest: float) -> Phrase:
    """Return what speaks against the unit, empty if nothing does."""
    unit = units.mm_per_unit or 1.0
    if units.name == "inch" and largest > 1_500:
        return "in inches the drawing is larger than 1.5 m"
    if largest > 6_000:
        return f"in {units.name} the drawing is larger than any plate"
    if largest < 5:
        return say("in {name} all of the drawing is smaller than {least}", name=units.name, least=mm(5))
    diameters = _diameters(entities) / unit
    guess = _by_holes(diameters)
    listed = ", ".join(f"{d:.4g}" for d in diameters[:4])
    if units.name == "inch" and guess == "mm":
        return f"holes of {listed} inches are unusual, of as many mm usual"
    if (units.name in ("mm", "cm") and guess == "inch") or (units.name == "mm" and guess == "cm"):
        return f"holes of {listed} {units.name} are unusual, of as many {'inches' if guess == 'inch' else guess} usual"
    return ""


def _by_holes(diameters: Floats) -> str:
    """Return the unit in which the hole diameters (drawn units) are usual sizes, empty if that is not clear."""
    if not len(diameters):
        return ""
    metric = _multiple(diameters, 0.1) | _multiple(diameters, 0.25)
    only_metric = metric & (diameters >= 2) & ~_multiple(diameters, 1 / 16)
    large = bool(len(diameters) > 1 and diameters.min() >= 2)
    if metric.mean() >= 0.6 and (only_metric.any() or large):
        return "mm"
    sixtyfourth, tenth = _multiple(diameters, 1 / 64), _multiple(diameters, 0.01)
    inches = (sixtyfourth | (_multiple(diameters, 0.005) & ~tenth)) & (diameters < 1)
    if inches.mean() >= 0.6 and np.median(diameters) < 1:
        return "inch"
    if (tenth & ~sixtyfourth & (diameters >= 0.2) & (diameters < 2)).mean() >= 0.6:
        return "cm"  # whole tenths of a millimetre
    return ""


def _multiple(values: Floats, step: float) -> np.typing.NDArray[np.bool_]:
    return np.asarray(np.abs(values / step - np.round(values / step)) * step < 2e-4)


def _diameters(entities: Sequence[Entity]) -> Floats:
    """Return the different diameters of the full circles drawn, ascending."""
    found = [
        abs(e.path.vertices[0, 0] - e.path.vertices[1, 0])
        for e in entities
        if e.path is not None and e.path.closed and len(e.path.vertices) == 2 and abs(e.path.vertices[:, 2]).min() == 1
    ]
    return np.unique(np.round(np.array(found, dtype=np.float64), 6))


def _size(entities: Sequence[Entity]) -> tuple[float, float] | None:
    """Return width and height of all that is drawn, None if there is nothing."""
    paths = [e.path for e in entities if e.path is not None]
    if not paths:
        return None
    boxes = Bundle.of(paths).segments().boxes()
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return float(high[0] - low[0]), float(high[1] - low[1])
