"""Materials under the names that shops give them, and sheet gauges."""

from __future__ import annotations

import math
import re

from kerfproof.errors import KerfproofError
from kerfproof.units import parse_length

_NAMES = {
    "mild steel": ("steel", "ms", "carbon steel", "black steel", "hot rolled", "cold rolled", "a36", "s235"),
    "stainless steel": ("stainless", "ss", "inox", "304", "304l", "316", "316l"),
    "aluminium": ("aluminum", "aluminium", "alu", "al", "3003", "5052", "5083", "5754", "6061", "6082"),
    "galvanised steel": ("galvanized steel", "galvanised", "galvanized", "galv", "galvanneal", "zinc coated steel"),
    "weathering steel": ("corten", "cor ten", "weathering", "a588", "a606", "a242"),
}
CUTS_LIKE = {"galvanised steel": "mild steel", "weathering steel": "mild steel"}
"""Materials that are cut with the rows of another where a chart has none of theirs (common practice, no source)."""
_ALIASES = {alias: name for name, aliases in _NAMES.items() for alias in (name, *aliases)}

# Weight in lb/ft2 by gauge of the standard gauge for sheet and plate iron and steel, 15 U.S.C. 206.
_WEIGHTS = {
    3: 10.0, 4: 9.375, 5: 8.75, 6: 8.125, 7: 7.5, 8: 6.875, 9: 6.25, 10: 5.625, 11: 5.0, 12: 4.375, 13: 3.75,
    14: 3.125, 15: 2.8125, 16: 2.5, 17: 2.25, 18: 2.0, 19: 1.75, 20: 1.5, 21: 1.375, 22: 1.25, 23: 1.125,
    24: 1.0, 25: 0.875, 26: 0.75, 27: 0.6875, 28: 0.625, 29: 0.5625, 30: 0.5,
}  # fmt: skip
_SHEET_WEIGHT = 41.82
"""lb/ft2 per inch of steel sheet: the Manufacturers' Standard Gauge (common practice)."""
_STATUTE_WEIGHT = 40.0
"""lb/ft2 per inch in the statute's own thickness column, used for stainless (common practice)."""
_ZINC = 2.5 / 16
"""lb/ft2 of zinc on galvanised sheet, 2.5 oz (common practice, from memory)."""
_GAUGE = re.compile(r"\s*#?\s*(\d{1,2})\s*(?:ga|gauge|gage)\.?\s*", re.IGNORECASE)


_DENSITY = {
    "mild steel": 7850.0, "galvanised steel": 7850.0, "weathering steel": 7850.0,
    "stainless steel": 7900.0, "304": 8000.0, "304l": 8000.0,
    "aluminium": 2700.0, "1100": 2710.0, "3003": 2730.0, "5052": 2680.0, "5083": 2660.0, "6061": 2700.0,
    "6063": 2700.0, "copper": 8930.0, "brass": 8530.0,
}  # fmt: skip
"""kg/m3, handbook values; stainless 7480 to 8000 by grade."""


def density(material: str) -> float | None:
    """Return the density of a material in kg/m3, of an alloy where it is named by its number; None if unknown."""
    plain = " ".join(material.lower().replace("-", " ").replace("_", " ").split())
    return _DENSITY.get(plain, _DENSITY.get(material_key(material)))


def material_key(material: str) -> str:
    """Return the one name of a material, for comparing: ``"Steel"`` and ``"mild steel"`` are the same.

    >>> material_key("Aluminum")
    'aluminium'
    """
    plain = " ".join(material.lower().replace("-", " ").replace("_", " ").split())
    return _ALIASES.get(plain, plain)


def gauge_thickness(gauge: int, material: str) -> float:
    """Return the thickness in mm of a sheet gauge; it means another thickness for each material.

    Steel: Manufacturers' Standard Gauge; stainless: 15 U.S.C. 206; aluminium: Brown & Sharpe.

    Raises
    ------
    KerfproofError
        If there is no such gauge, or none is known for the material.

    >>> gauge_thickness(16, "steel")
    1.518
    """
    if gauge not in _WEIGHTS:
        raise KerfproofError(f"there is no {gauge} gauge, only 3 to 30")
    weight = _WEIGHTS[gauge]
    inches = {
        "mild steel": weight / _SHEET_WEIGHT,
        "weathering steel": weight / _SHEET_WEIGHT,
        "galvanised steel": (weight + _ZINC) / _SHEET_WEIGHT,
        "stainless steel": weight / _STATUTE_WEIGHT,
        "aluminium": 0.005 * math.exp(math.log(92) * (36 - gauge) / 39),
    }.get(material_key(material))
    if inches is None:
        raise KerfproofError(f"no gauge is known for {material}", advice="measure it and give it in mm or in")
    return round(float(inches) * 25.4, 3)


def parse_thickness(text: str, material: str, default: str | None = None) -> float:
    """Return a thickness in mm, given as a length or as a gauge such as ``"16 ga"``.

    Raises
    ------
    KerfproofError
        If `text` is neither, or no thickness above zero.
    """
    gauge = _GAUGE.fullmatch(text)
    thickness = gauge_thickness(int(gauge[1]), material) if gauge else parse_length(text, default)
    if thickness <= 0:
        raise KerfproofError(f'"{text.strip()}" is no thickness, it must be more than 0')
    return thickness
