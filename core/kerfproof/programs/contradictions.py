"""A heading that says another thing than the words below it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Finding, Severity
from kerfproof.gcode.trace import Step, Trace
from kerfproof.geom.path import Bools, Ints
from kerfproof.programs.plain_head import plain_contradictions
from kerfproof.programs.read_header import Claims
from kerfproof.proof.proof import Proof
from kerfproof.sentence import Phrase, mm, mm_at, mm_min, mm_size, option, say
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine

RULE = "heading-contradicted"
FEED_OFF = 0.02
SAME_THICKNESS, OTHER_KERF = 0.01, 0.05
SLOWEST = 0.59
"""Holes are slowed to six tenths of the feed, so the fastest cut of a program may be that slow."""
LONG_RUN = 1.5
"""A run this many times longer than the largest slowed hole's circumference is none, if it is wide, too."""
WIDE = 2.1
"""A contour this many times wider than the widest slowed hole (four times its area by its length, which is at most
twice the width of the largest circle inside) is none."""


def contradictions(
    claims: Claims, proof: Proof, machine: Machine, process: Process, row: Process
) -> tuple[Finding, ...]:
    """Return what the heading of a program claims and its words contradict: unit, kerf, feed, plate, joining.

    What its plain comments say to people is compared with heading, machine and row as well.
    `row` is the chart's for the plate that the proof is for, as it stands there. What the mode claims is judged by the
    rule dry-run-not-dry, and another machine is told by its fingerprint.
    """
    said: list[tuple[Severity, Phrase, Phrase, int | None]] = [
        (Severity.WARNING, f"the heading can't be read where it says {what}", "write the program again", None)
        for what in claims.damaged
    ]
    said += [*_units(claims, proof, machine), *_kerf(claims, proof)]
    said += [*_other_plate(claims, process), *_off_row(claims, row)] if claims.drawings else []
    said += [*_feed(claims, proof, process), *_plate(claims, proof), *_join(claims, process)]
    said += [(Severity.WARNING, *told) for told in plain_contradictions(claims, proof.trace.comments, machine, row)]
    return tuple(Finding(RULE, severity, what, advice, line) for severity, what, advice, line in said)


Said = Iterator[tuple[Severity, Phrase, Phrase, int | None]]


def _units(claims: Claims, proof: Proof, machine: Machine) -> Said:
    words = proof.trace.changes.of("units")
    expected = "G20" if machine.inches else "G21"
    if claims.machine == machine.name and words and words[0].word != expected:
        unit = "inches" if machine.inches else "millimetres"
        what = f"the heading names {claims.machine}, whose programs are in {unit}, but the words say {words[0].word}"
        yield Severity.ERROR, what, "write it again for the right machine", words[0].line


def _join(claims: Claims, process: Process) -> Said:
    if claims.join is not None and claims.join > process.kerf:
        what = say(
            "the heading closes gaps of up to {join} in the drawing, wider than the kerf", join=mm(claims.join, "g")
        )
        yield Severity.WARNING, what, "look whether the drawing is read as it was meant, or mend it", None


def _kerf(claims: Claims, proof: Proof) -> Said:
    if claims.kerf is not None and proof.made_for is not None and abs(claims.kerf - proof.made_for) > OTHER_KERF:
        what = say(
            "the heading says kerf {kerf}, but the path was made for {made_for}",
            kerf=mm(claims.kerf, ".3f"),
            made_for=mm(proof.made_for, ".3f"),
        )
        line = proof.runs[0].light_line if proof.runs else None
        yield Severity.ERROR, what, "a kerf is changed by writing the program again, not in its heading", line


def same_plate(claims: Claims, process: Process) -> bool:
    """Return whether a process is for the plate that a heading names, or it names none."""
    if claims.material is None or claims.thickness is None:
        return True
    return claims.material == process.material and abs(claims.thickness - process.thickness) < SAME_THICKNESS


def _other_plate(claims: Claims, process: Process) -> Said:
    if not same_plate(claims, process):
        what = say(
            "the heading says {material} {thickness}, this is the proof for {other} {other_thickness}",
            material=claims.material,
            thickness=mm(claims.thickness or 0.0, "g"),
            other=process.material,
            other_thickness=mm(process.thickness, "g"),
        )
        yield Severity.WARNING, what, "write it again for that plate", None


def _off_row(claims: Claims, row: Process) -> Said:
    if not same_plate(claims, row):
        return
    for name, said, chosen, usual, quantity, slug in (
        ("kerf", claims.kerf, claims.kerf_chosen, row.kerf, mm, "kerf"),
        ("feed", claims.feed_mm_min, claims.feed_chosen, row.feed_mm_min, mm_min, "feed"),
    ):
        if said is not None and not chosen and abs(said / usual - 1) > FEED_OFF:
            what = say(
                "the heading says {name} {said}, the chart has {usual} for its plate, and no one chose another",
                name=name,
                said=quantity(said, "g"),
                usual=quantity(usual, "g"),
            )
            yield (
                Severity.WARNING,
                what,
                say("write it again with this chart, or with {option}", option=option(slug)),
                None,
            )


def _feed(claims: Claims, proof: Proof, process: Process) -> Said:
    trace = proof.trace
    rows = np.flatnonzero(trace.torch & np.isin(trace.kind, (Step.FEED, Step.ARC)) & _in_plane(proof))
    if claims.feed_mm_min is None or not len(rows):
        return
    row = int(rows[trace.feed[rows].argmax()])
    feed = float(trace.feed[row])
    if feed > claims.feed_mm_min * (1 + FEED_OFF) or feed < claims.feed_mm_min * SLOWEST:
        what = say(
            "the heading says {feed_mm_min}, the fastest cut runs at {feed}",
            feed_mm_min=mm_min(claims.feed_mm_min),
            feed=mm_min(feed),
        )
        yield (
            Severity.WARNING,
            what,
            say("set feeds with {feed}, not by hand", feed=option("feed")),
            int(trace.line[row]),
        )
        return
    # A run longer and wider than any slowed hole is cut at the feed that the heading names.
    for run in proof.runs:
        mine = rows[(rows >= run.first_row) & (rows <= run.last_row)]
        if not len(mine) or run.length <= LONG_RUN * np.pi * process.slow_hole_below:
            continue
        if 0 < _width(trace, mine) + process.kerf < WIDE * process.slow_hole_below:
            continue
        row = int(mine[np.abs(trace.feed[mine] / claims.feed_mm_min - 1).argmax()])
        if abs(trace.feed[row] / claims.feed_mm_min - 1) > FEED_OFF:
            what = say(
                "the heading says {feed_mm_min}, this cut runs at {feed}",
                feed_mm_min=mm_min(claims.feed_mm_min),
                feed=mm_min(trace.feed[row]),
            )
            yield (
                Severity.WARNING,
                what,
                say("set feeds with {feed}, not by hand", feed=option("feed")),
                int(trace.line[row]),
            )
            return


def _width(trace: Trace, rows: Ints) -> float:
    """Return four times the area within a path, closed by its chord, by its length; 0 where it surrounds none."""
    a, b = trace.start.take(rows, axis=0)[:, :2], trace.end.take(rows, axis=0)[:, :2]
    origin = a[0].copy()
    a, b = a - origin, b - origin
    sweep = trace.sweep[rows]
    radius = np.hypot(*(a - (trace.center.take(rows, axis=0) - origin)).T)
    bow = np.where(sweep != 0, radius * radius * (sweep - np.sin(sweep)), 0.0)
    area = abs(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0] + bow).sum())) / 2
    length = float(np.where(sweep != 0, radius * np.abs(sweep), np.hypot(*(b - a).T)).sum())
    return 4 * area / length if length else 0.0


def _in_plane(proof: Proof) -> Bools:
    trace = proof.trace
    return np.asarray((trace.start != trace.end)[:, :2].any(axis=1) | (trace.sweep != 0))


def _plate(claims: Claims, proof: Proof) -> Said:
    if claims.plate is None or not proof.runs:
        return
    x0, y0, x1, y1 = claims.plate
    for run in proof.runs:
        x, y = run.start
        if not (x0 <= x <= x1 and y0 <= y <= y1):
            size = mm_size(x1 - x0, y1 - y0)
            what = say(
                "the heading says a plate of {size}, but a pierce lies at {at}", size=size, at=mm_at(x, y, ".1f")
            )
            yield Severity.ERROR, what, "check plate and zero", run.light_line
            return
