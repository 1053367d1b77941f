"""Which row of a cut chart serves a plate."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import replace

from kerfproof.errors import KerfproofError
from kerfproof.sentence import Phrase, joined_phrases, mm, say
from kerfproof.shop.chart import CutChart, PierceRating, Process
from kerfproof.shop.energy import estimate, feed_between
from kerfproof.shop.material import CUTS_LIKE, material_key
from kerfproof.shop.profile import Machine
from kerfproof.units import format_length

SAME_THICKNESS = 0.05
SAME_AMPS = 0.05
_RANK = {PierceRating.NO: 0, PierceRating.LAST_RESORT: 1, PierceRating.LIMIT: 2, PierceRating.YES: 3}


def select_process(chart: CutChart, material: str, thickness: float, amps: float | None, machine: Machine) -> Process:
    """Return the row of `chart` for a plate, or values between two rows, marked as estimated.

    `thickness` mm (rows within 0.05 mm count as exact), `amps` A. Slightly beyond the rows the balance of energy
    gives an estimate, never beyond what the torch pierces. Without `amps` the best pierce rating wins,
    then the highest current that torch and supply of `machine` give. Values are estimated between two rows of
    one current; without `amps`, where no current has rows on both sides, between the best rows on both sides.

    Raises
    ------
    KerfproofError
        If the chart lacks the material, the thickness or the current, with what it has; or if every row that
        fits needs more current than the machine gives.
    """
    rows = _of_material(chart, material)
    if amps is not None and amps > machine.max_amps + SAME_AMPS:
        raise KerfproofError(
            f"{amps:g} A is more than torch and supply give ({machine.max_amps:g} A)",
            where=machine.name,
            advice=_at_most(_allowed(rows, machine), thickness, machine.max_amps),
        )
    wanted = [row for row in rows if amps is None or abs(row.amps - amps) <= SAME_AMPS]
    if not wanted:
        raise KerfproofError(
            f"no row for {material} at {amps:g} A",
            where=chart.name,
            advice=f"it has {_list(sorted({row.amps for row in rows}))} A",
        )
    allowed = _allowed(wanted, machine)
    measured = [row for row in allowed if not row.estimated]
    found = _exact(allowed, thickness) or _between(measured, thickness, chart.name)
    if found is None and amps is None:
        found = _between_neighbours(measured, thickness, chart.name)
    found = found or _beyond(measured, thickness, amps, chart.name)
    return found or _refuse(chart, wanted, allowed, material, thickness, amps, machine)


def _beyond(rows: list[Process], thickness: float, amps: float | None, chart: str) -> Process | None:
    """Return an estimate slightly beyond the rows, by the balance of energy."""
    if not rows or min(r.thickness for r in rows) <= thickness <= max(r.thickness for r in rows):
        return None
    try:
        return estimate(rows, thickness, amps, chart)
    except KerfproofError:
        return None


def _of_material(chart: CutChart, material: str) -> list[Process]:
    name = material_key(material)
    rows = [row for row in chart.rows if material_key(row.material) == name]
    if rows:
        return rows
    like = CUTS_LIKE.get(name)
    rows = [replace(row, material=name) for row in chart.rows if material_key(row.material) == like]
    if rows:
        return rows
    names = sorted({row.material for row in chart.rows})
    near = difflib.get_close_matches(material_key(material), [material_key(name) for name in names], n=1)
    advice = f"did you mean {near[0]}?" if near else f"it has {', '.join(names)}"
    raise KerfproofError(f'no row for "{material}"', where=chart.name, advice=advice)


def _allowed(rows: Iterable[Process], machine: Machine) -> list[Process]:
    return [row for row in rows if row.amps <= machine.max_amps + SAME_AMPS]


def _preference(row: Process) -> tuple[int, float]:
    return _RANK[row.pierce], row.amps


def _exact(rows: list[Process], thickness: float) -> Process | None:
    near = [row for row in rows if abs(row.thickness - thickness) <= SAME_THICKNESS + 1e-9]
    if not near:
        return None
    least = min(round(abs(row.thickness - thickness), 6) for row in near)
    return max((row for row in near if round(abs(row.thickness - thickness), 6) == least), key=_preference)


def _between(rows: list[Process], thickness: float, chart: str) -> Process | None:
    """Return the best estimate between two neighbouring rows of one current."""
    estimates = []
    for amps in sorted({row.amps for row in rows}):
        pair = _neighbours([row for row in rows if row.amps == amps], thickness)
        if pair:
            estimates.append(_estimate(*pair, thickness, chart))
    return max(estimates, key=_preference, default=None)


def _between_neighbours(rows: list[Process], thickness: float, chart: str) -> Process | None:
    """Return the estimate between the best row below and the best row above, whatever their currents."""
    pair = _neighbours(rows, thickness)
    return _estimate(*pair, thickness, chart) if pair else None


def _neighbours(rows: list[Process], thickness: float) -> tuple[Process, Process] | None:
    below = [row for row in rows if row.thickness < thickness]
    above = [row for row in rows if row.thickness > thickness]
    if not below or not above:
        return None
    under = max(below, key=lambda row: (row.thickness, *_preference(row)))
    over = min(above, key=lambda row: (row.thickness, *(-value for value in _preference(row))))
    return under, over


def _estimate(under: Process, over: Process, thickness: float, chart: str) -> Process:
    """Return values between two rows: the feed by the balance of energy, all else straight by thickness.

    In doubt it is the value of the thicker row.
    """
    share = (thickness - under.thickness) / (over.thickness - under.thickness)

    def mid(a: float, b: float, decimals: int) -> float:
        return round(a + share * (b - a), decimals)

    def height(a: float, b: float) -> float:
        return mid(a, b, 2) if a and b else b

    amps = float(int(mid(under.amps, over.amps, 6)))
    kerf = mid(under.kerf, over.kerf, 3)
    pierce = min(under.pierce, over.pierce, key=_RANK.__getitem__)
    delay = mid(under.pierce_delay_s, over.pierce_delay_s, 2)
    both = under.hole_kerf is not None and over.hole_kerf is not None
    burns = (under.hole_over_burn, over.hole_over_burn)
    at = f"{under.amps:g} A" if under.amps == over.amps else f"{under.amps:g} and {over.amps:g} A"
    lengths = f"{format_length(under.thickness)} and {format_length(over.thickness)}"
    return replace(
        over,
        thickness=float(thickness),
        amps=amps,
        feed_mm_min=float(round(feed_between(under, over, thickness, kerf, amps))),
        kerf=kerf,
        cut_height=mid(under.cut_height, over.cut_height, 2),
        pierce_height=height(under.pierce_height, over.pierce_height),
        pierce_delay_s=over.pierce_delay_s if pierce is PierceRating.NO else delay,
        pierce=pierce,
        min_hole=mid(under.min_hole, over.min_hole, 2),
        lead_radius=mid(under.lead_radius, over.lead_radius, 2),
        lead_straight=mid(under.lead_straight, over.lead_straight, 2),
        starts_per_tip=int(mid(under.starts_per_tip, over.starts_per_tip, 6)),
        hole_kerf=mid(under.hole_kerf or 0.0, over.hole_kerf or 0.0, 3) if both else None,
        hole_feed_share=mid(under.hole_feed_share, over.hole_feed_share, 3),
        hole_over_burn=None if burns[0] is None or burns[1] is None else mid(burns[0], burns[1], 2),
        source=f"estimated between {lengths} at {at} of {chart}" + (f"; {over.source}" if over.source else ""),
        estimated=True,
    )


def _refuse(
    chart: CutChart,
    wanted: list[Process],
    allowed: list[Process],
    material: str,
    thickness: float,
    amps: float | None,
    machine: Machine,
) -> Process:
    """Raise the reason why no row serves."""
    both = f"{format_length(thickness)} ({format_length(thickness, inches=True)})"
    plate = say(
        "{material} of {thickness}", material=material, thickness=both if machine.inches else mm(thickness, "~3")
    )
    over = _exact(wanted, thickness) or _between(wanted, thickness, chart.name)
    if over is None and amps is None:
        over = _between_neighbours(wanted, thickness, chart.name)
    if over is not None:
        raise KerfproofError(
            say(
                "{plate} needs {needed} A, more than torch and supply give ({most} A)",
                plate=plate,
                needed=f"{over.amps:g}",
                most=f"{machine.max_amps:g}",
            ),
            where=chart.name,
            advice=_offered(allowed, thickness),
        )
    at = "" if amps is None else f" at {amps:g} A"
    raise KerfproofError(
        say("no row for {plate}{at}", plate=plate, at=at), where=chart.name, advice=_offered(allowed, thickness)
    )


def _at_most(rows: list[Process], thickness: float, most: float) -> Phrase:
    """Return the limit on the current and what the chart has for this plate within it, else the nearest plates."""
    currents = sorted({row.amps for row in rows if abs(row.thickness - thickness) <= SAME_THICKNESS + 1e-9})
    if not currents:
        return _offered(rows, thickness)
    return f"at most {most:g} A; the chart has {_list(currents)} A for this plate"


def _offered(rows: list[Process], thickness: float) -> Phrase:
    """Return the thicknesses and currents nearest to `thickness` that the machine can cut."""
    nearest = sorted({(round(abs(row.thickness - thickness), 6), row.thickness) for row in rows})[:2]
    if not nearest:
        return "no row of this material stays within what torch and supply give"
    texts = []
    for _distance, t in sorted(nearest, key=lambda pair: pair[1]):
        currents = sorted({row.amps for row in rows if row.thickness == t})
        texts.append(say("{thickness} ({currents} A)", thickness=mm(t, "~3"), currents=_list(currents)))
    return say("nearest are {rows}", rows=joined_phrases(texts, " and "))


def _list(values: Iterable[float]) -> str:
    return ", ".join(f"{value:g}" for value in values)
