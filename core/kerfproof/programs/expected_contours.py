"""The drawn contours that a program must leave, where its heading says that they lie."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kerfproof.drawing.settings import ReadSettings
from kerfproof.errors import Finding, Severity
from kerfproof.job.inspect_drawing import Inspection, inspect, joining, nothing_to_cut
from kerfproof.job.job import DrawingUse, Job
from kerfproof.job.reading import unit_question
from kerfproof.job.write_header import digest
from kerfproof.parts.bridges import bridge_width
from kerfproof.parts.classify.choices import DrillKind, PageFrames
from kerfproof.parts.model.contour import Contour
from kerfproof.parts.model.part import Feature, drawn_contours, inside_of
from kerfproof.plan.holes import holes_to_drill, may_be_drilled
from kerfproof.programs.drawing_lookup import DrawingAtHand, FindDrawing, matched, no_drawing
from kerfproof.programs.read_header import Claims, DrawingClaim
from kerfproof.sentence import option, say
from kerfproof.shop.chart import Process

SAME_PLACE = 0.05
ROUNDED = 0.01
"""Places this near are one, mm: programs round."""


@dataclass(frozen=True, slots=True)
class ExpectedContours:
    """The contours that a program must leave, and what to say of where they came from."""

    contours: tuple[Contour, ...] | None
    slits: tuple[Contour, ...]
    names: tuple[str, ...]
    findings: tuple[Finding, ...]
    placed: bool = True
    """Whether it is known where they lie in the program."""
    counts: tuple[tuple[int, int], ...] = ()
    """How many contours and slits each drawing has."""
    looked: tuple[Finding, ...] = ()
    """What was found in the drawings themselves, as a plan of them would tell it."""
    shifts: tuple[tuple[str, tuple[float, float]], ...] = ()
    """Name and shift of each drawing of known place, in order."""


def with_choices(claims: Claims, job: Job) -> Claims:
    """Return what a heading says of reading its drawings, overruled by what the person at hand chose."""
    usual = Job(drawings=(), machine="", chart="", material="", thickness=1.0)
    return replace(
        claims,
        layers=job.layers or claims.layers,
        window=claims.window if job.window is None else job.window,
        roles=job.roles or claims.roles,
        contour_roles=job.contour_roles or claims.contour_roles,
        join=claims.join if job.join_tolerance == usual.join_tolerance else job.join_tolerance,
        page=claims.page if job.page is PageFrames.AUTO else job.page,
        drill_marks=claims.drill_marks if job.drill_marks is DrillKind.NONE else job.drill_marks,
        drill_below=claims.drill_below if job.drill_marks is DrillKind.NONE else job.drill_below,
        bridges=math.inf if job.bridges else claims.bridges,
    )


def expected_contours(
    claims: Claims,
    given: Sequence[DrawingAtHand],
    find: FindDrawing = no_drawing,
    *,
    at: tuple[float, float] | None = None,
    advice: str = "",
    process: Process | None = None,
) -> ExpectedContours:
    """Return the drawn contours in program coordinates; none if no drawing is at hand.

    Drawings that the heading names and nobody gave are looked for by `find`. `at` is where the drawing's zero lies
    in a program that says nothing, `advice` what to do about one that is missing. Holes that the heading leaves out
    count as left out only where the `process` leaves them to the drill.

    Raises
    ------
    KerfproofError
        If a drawing can't be read or does not say its unit.
    """
    width = claims.bridges  # a heading can't make them wider than usual
    if process is not None:
        width = min(width, bridge_width(process.thickness))
    wanted = list(claims.drawings)
    at_hand: Sequence[DrawingAtHand | None]
    if given and not wanted:  # a program that says nothing: the proof finds where the drawing lies
        wanted = [DrawingClaim(name=one.name, digest="", shift=at or (0.0, 0.0)) for one in given]
        at_hand = given  # each as often as it was given, whatever its name
    else:
        at_hand = matched(wanted, given, find)
    used = {digest(one.data) for one in at_hand if one is not None}
    placed = bool(claims.drawings or at is not None)
    if placed:
        wanted, at_hand = _once(wanted, at_hand)
    contours: list[Contour] = []
    slits: list[Contour] = []
    counts: list[tuple[int, int]] = []
    names: list[str] = []
    findings: list[Finding] = []
    seen: dict[tuple[object, ...], Inspection] = {}
    left: list[Feature] = []
    left_widths: list[float] = []
    for claim, found in zip(wanted, at_hand, strict=True):
        if found is None:
            message = f"the drawing {claim.name} is not at hand, so nothing was compared with it"
            if given:
                message = f"the heading names {claim.name} too, which was not given, so nothing was compared"
                advice = f"{advice}, too"
            findings.append(Finding("drawing-missing", Severity.WARNING, message, advice))
            return ExpectedContours(None, (), (), tuple(findings), looked=_looked(seen))
        if claim.digest and claim.digest != digest(found.data):
            message = f"{found.name} is not the drawing as it was when the program was written"
            findings.append(Finding("drawing-changed", Severity.WARNING, message, "write the program again"))
        key = (claim.name, id(found.data), claim.turn_deg, claim.mirror)
        look = seen.get(key) or _look(found, claim, claims, width)
        seen[key] = look
        parts = look.parts.moved(*claim.shift)
        drilled = [f for f in parts.features if _is_left_out(f, claims)]
        if process is not None:
            holes, widths = may_be_drilled(drilled, process)
            left += holes
            left_widths += widths
            drilled = [*holes, *inside_of(parts.features, [f.number for f in holes])]
        closed, open_ones = drawn_contours(parts, drilled)
        counts.append((len(closed), len(open_ones)))
        contours += closed
        slits += open_ones
        names.append(found.name)
    for one in given:
        if digest(one.data) not in used:
            message = f"the heading does not name {one.name}, so it was not compared"
            findings.append(Finding("drawing-missing", Severity.WARNING, message, "prove without it"))
    return ExpectedContours(
        tuple(contours) or None,
        tuple(slits),
        tuple(names),
        (*dict.fromkeys(findings), *holes_to_drill(left, left_widths)),
        placed,
        tuple(counts),
        _looked(seen),
        tuple((claim.name, claim.shift) for claim in wanted) if placed else (),
    )


def _once(
    claims: Sequence[DrawingClaim], at_hand: Sequence[DrawingAtHand | None]
) -> tuple[list[DrawingClaim], list[DrawingAtHand | None]]:
    """Return each drawing once that is said to lie at one place twice, as on two sheets cut alike."""
    kept: list[tuple[DrawingClaim, DrawingAtHand | None]] = []
    for claim, found in zip(claims, at_hand, strict=True):
        if not any(_lies_on(claim, found, *other) for other in kept):
            kept.append((claim, found))
    return [claim for claim, _ in kept], [found for _, found in kept]


def _lies_on(one: DrawingClaim, found: DrawingAtHand | None, other: DrawingClaim, held: DrawingAtHand | None) -> bool:
    """Return whether two claims are of one drawing at one place within rounding."""
    if math.dist(one.shift, other.shift) > ROUNDED or replace(one, shift=other.shift) != other:
        return False
    return found is held or (found is not None and held is not None and found.data == held.data)


def _looked(seen: Mapping[tuple[object, ...], Inspection]) -> tuple[Finding, ...]:
    """Return what was found in the drawings, each once, and that one has no outline to compare with."""
    out: list[Finding] = []
    for (name, *_), look in seen.items():
        found = list(look.findings)
        if not look.parts.parts and all(f.severity is not Severity.ERROR for f in found):
            why = nothing_to_cut(look.drawing, look.contours, look.findings)
            found.append(Finding("nothing-to-cut", Severity.ERROR, why.problem, why.remedy))
        out += [replace(f, drawing=str(name)) for f in found]
    return tuple(dict.fromkeys(out))


def _look(given: DrawingAtHand, claim: DrawingClaim, claims: Claims, bridges: float) -> Inspection:
    """Return a drawing looked at as the heading says."""
    scale = given.mm_per_unit
    if scale is None and given.is_of(claim) and claim.unit_given:
        scale = claim.mm_per_unit
    use = DrawingUse(name=claim.name, turn_deg=claim.turn_deg, mirror=claim.mirror)
    said = Job(
        drawings=(use,), machine="", chart="", material="", thickness=1.0, roles=claims.roles,
        contour_roles=claims.contour_roles, drill_marks=claims.drill_marks, drill_below=claims.drill_below,
        page=claims.page,
    )  # fmt: skip
    join = joining(said if claims.join is None else replace(said, join_tolerance=claims.join), use)
    join = replace(join, bridges=bridges)
    reading = ReadSettings(scale, claims.layers, claims.window)
    found = inspect(given.data, given.name, reading, join, use=use)
    if found.drawing.units.mm_per_unit is None and claim.mm_per_unit is not None:  # another one that does not say it
        found = inspect(given.data, given.name, replace(reading, mm_per_unit=claim.mm_per_unit), join, use=use)
    if found.drawing.units.mm_per_unit is None:
        raise unit_question(found.drawing)
    return found if math.isinf(claims.bridges) else _by_heading_alone(found)


def _by_heading_alone(found: Inspection) -> Inspection:
    """Return a drawing looked at with what is said of its bridges as a warning: nobody at hand asked for them."""
    advice = say("look at them; {bridges} says that you asked for them", bridges=option("bridges"))
    told = (replace(f, severity=Severity.WARNING, remedy=advice) if f.rule == "bridges" else f for f in found.findings)
    return replace(found, findings=tuple(told))


def _is_left_out(feature: Feature, claims: Claims) -> bool:
    x0, y0, x1, y1 = feature.contour.path.bounds()
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    return any(
        feature.label == label and math.dist(middle, place) <= SAME_PLACE
        for label, place in zip(claims.left_names, claims.left_out, strict=True)
    )
