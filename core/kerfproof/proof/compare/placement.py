"""Drawings put where the program cuts them, where nobody said how they lie."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.compare.align import STRAIGHT
from kerfproof.proof.compare.assigned_drawings import placings
from kerfproof.proof.compare.compare import Comparison
from kerfproof.proof.compare.laid_down import borne_out, lying_over, on_sheets, parts_of
from kerfproof.proof.evidence.evidence import Against, Evidence
from kerfproof.proof.evidence.kept_metal import kept_of
from kerfproof.proof.evidence.placed import Placing
from kerfproof.sentence import Phrase, mm_at, option, say


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """One drawing: its closed contours and its slits, and the places where it was found."""

    drawn: tuple[Contour, ...]
    slits: tuple[Contour, ...]
    places: tuple[Placing, ...] = ()
    wrong: Phrase = ""
    """How it fits where it fits only mirrored or scaled."""


def sheets_of(against: Against) -> tuple[Sheet, ...]:
    """Return the drawings apart, by how many contours and slits each has; without that all are one drawing."""
    drawn, slits = against.drawn or (), against.slits
    if len(against.counts) < 2:
        return (Sheet(drawn, slits),)
    out = []
    for some, open_ones in against.counts:
        out.append(Sheet(drawn[:some], slits[:open_ones]))
        drawn, slits = drawn[some:], slits[open_ones:]
    return tuple(out)


def found(evidence: Evidence, sheets: tuple[Sheet, ...]) -> tuple[Sheet, ...]:
    """Return the drawings with their places in the program; none where one fits nowhere or only mirrored or scaled."""
    if evidence.kept is None:
        return sheets
    closed = [number for number, sheet in enumerate(sheets) if sheet.drawn]
    kept = [evidence.kept] if len(sheets) == 1 else [kept_of(sheets[number].drawn) for number in closed]
    out = list(sheets)
    stock = evidence.stock
    plates = np.concatenate([stock.plate_of[stock.loose_run], stock.plate_of])
    for number, places in zip(closed, placings(kept, evidence.path, stock.loose, plates), strict=True):
        wrong = [place for place in places if place.rule not in STRAIGHT]
        once = tuple(p for k, p in enumerate(places) if not any(p.same(before) for before in places[:k]))
        out[number] = replace(sheets[number], places=() if wrong else once, wrong=wrong[0].message if wrong else "")
    return tuple(out)


def moved(against: Against, sheets: tuple[Sheet, ...]) -> Against:
    """Return what to compare with when the drawings lie at their places; one of several that has none is left out.

    What lies at the same place on several sheets is laid down once: each sheet is compared with it by itself.
    """
    pairs: list[tuple[Placing, Sheet]] = []
    for sheet in sheets:
        for place in sheet.places:
            if not any(place.same(other) and _same(sheet, held) for other, held in pairs):
                pairs.append((place, sheet))
    return replace(
        against,
        drawn=tuple(contour for place, sheet in pairs for contour in place.moved(sheet.drawn)),
        slits=tuple(slit for place, sheet in pairs for slit in place.moved(sheet.slits)),
        counts=tuple((len(sheet.drawn), len(sheet.slits)) for _, sheet in pairs),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """What to compare with, laid down where it was found, and the drawings with their places."""

    against: Against
    sheets: tuple[Sheet, ...]


def laid_down(evidence: Evidence, against: Against) -> Laid:
    """Return what to compare with where it lies: as it is given if that is known, else where the cuts tell."""
    if against.placed:
        return Laid(against, ())
    sheets = found(evidence, sheets_of(against))
    places = tuple(place for sheet in sheets for place in sheet.places)
    if any(place.rule for place in places) or (places and len(sheets) > 1):
        return Laid(moved(against, sheets), sheets)
    return Laid(against, sheets)


def believed(apart: Evidence, laid: Laid, doubted: frozenset[int]) -> frozenset[int]:
    """Return the rows of stops that bring another sheet, for what is cut behind lies over what was cut before.

    `apart` is the evidence as if each of the stops did.
    """
    drawn, slits = laid.against.drawn or (), laid.against.slits
    parts = parts_of(drawn, slits, laid.against.counts)
    over = lying_over(parts, drawn)
    sheet_of, rows = apart.stock.plate_of, apart.stock.changes
    lies = on_sheets(parts, drawn, slits, apart.path, sheet_of, over)
    said = borne_out(lies, over, [row in doubted for row in rows])
    return frozenset(row for row, is_so in zip(rows, said, strict=True) if is_so)


def nowhere(sheets: tuple[Sheet, ...], compared: Comparison) -> bool:
    """Return whether a drawing of unknown place was found neither in the program nor at the program's zero."""
    if len(sheets) != 1 or sheets[0].places or compared.misplaced or compared.made_for is not None:
        return False
    return not any(part.comes_free or part.holes_cut for part in compared.parts)


NOT_FOUND = Finding(
    "feature-not-cut",
    Severity.ERROR,
    "the drawing is found nowhere in the program: nothing was compared",
    say("say where it lies with {at}, or give the drawing it was made from", at=option("at")),
)


def told(sheets: tuple[Sheet, ...]) -> list[Finding]:
    """Return notes on where the drawings were found, and errors on those of several that were not."""
    out = []
    for number, sheet in enumerate(sheets, 1):
        which = "the drawing's zero" if len(sheets) == 1 else f"the zero of drawing {number}"
        for place in sheet.places:
            x, y = float(place.shift[0]), float(place.shift[1])
            message = say(
                "{which} lies at {at}{turn}: found from the cut",
                which=which,
                at=mm_at(x, y, ".3f"),
                turn=say(", {how}", how=place.how) if place.rule == "turned" else "",
            )
            out.append(Finding("drawing-found", Severity.NOTE, message, "", None, x, y))
        if len(sheets) > 1 and not sheet.places:
            out.append(_missing(sheet, f"drawing {number} of {len(sheets)}", sheets[: number - 1]))
    return out


def _missing(sheet: Sheet, which: str, before: tuple[Sheet, ...]) -> Finding:
    """Return what to say of a drawing of several that has no place; `which` names it."""
    if not sheet.drawn:
        message = f"{which} has no closed contour, so its place can't be found: it was not compared"
        return Finding(
            "not-compared",
            Severity.WARNING,
            message,
            say("give it alone, and say where it lies with {at}", at=option("at")),
        )
    if sheet.wrong:
        only = say("{which} is found only so: {how}", which=which, how=sheet.wrong)
        return Finding("feature-not-cut", Severity.ERROR, only, "cut it as drawn, or compare without it")
    again = " once more" if any(_same(sheet, other) for other in before) else ""
    message = f"{which} is found nowhere in the program{again}"
    return Finding("feature-not-cut", Severity.ERROR, message, "cut it, or compare without it")


def _same(one: Sheet, other: Sheet) -> bool:
    """Return whether two drawings hold the same contours and slits."""
    if (len(one.drawn), len(one.slits)) != (len(other.drawn), len(other.slits)):
        return False
    pairs = zip(one.drawn + one.slits, other.drawn + other.slits, strict=True)
    return all(np.array_equal(a.path.vertices, b.path.vertices) for a, b in pairs)
