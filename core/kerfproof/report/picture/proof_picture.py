"""The picture of a proven program: what it cuts as its trace tells, the drawing under it, the findings as callouts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerfproof.box import Box
from kerfproof.errors import Finding
from kerfproof.geom.path import Path
from kerfproof.parts.model.contour import Contour
from kerfproof.programs.proven_program import ProvenProgram
from kerfproof.proof.proof import Proof
from kerfproof.report.data.facts import counted, edge_words, process_facts
from kerfproof.report.data.figures import figures, idle_words
from kerfproof.report.picture.flags import Callout, flags
from kerfproof.report.picture.picture import Layer, Picture, arrows, disc, layers_of
from kerfproof.report.picture.traced_cuts import Traced, traced
from kerfproof.sentence import said
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine
from kerfproof.units import format_time

MARGIN = 10.0
FAR = 0.5
"""Findings farther outside than this share of the view's size are not shown in place."""


def compose_proved(title: str, proven: ProvenProgram, findings: Sequence[Finding], *, brief: bool = False) -> Picture:
    """Return the display list of a proven program; `findings` are those to be flagged.

    `brief` is for a view that can be zoomed and has the findings beside it.
    """
    proof, machine, drawn, slits = proven.proof, proven.machine, proven.drawn, proven.slits
    done = traced(proof, proven.process)
    if proof.places:
        drawn = tuple(contour for place in proof.places for contour in place.moved(drawn))
        slits = tuple(slit for place in proof.places for slit in place.moved(slits))
    box = proven.plate or _box([*done.cuts, *(c.path for c in drawn)])
    callouts, more = flags(findings, proven.places_of, inches=machine.inches)
    return Picture(
        title=title,
        verdict=proven.verdict,
        plate=box,
        view=_view(box, done, callouts),
        layers=_layers(done, drawn, slits),
        discs=tuple(disc(k, path, (float(path.start[0]), float(path.start[1]))) for k, path in enumerate(done.cuts, 1)),
        arrows=tuple(arrow for path in done.cuts for arrow in arrows(path, most=1)),
        callouts=callouts,
        facts=_facts(proof, machine, proven.process, drawn),
        small_print=f"for {said(proof.holds_for, machine.inches)}",
        more_findings=more,
        notice="" if proof.runs else "TORCH STAYS OFF",
    )


def _layers(done: Traced, drawn: tuple[Contour, ...], slits: tuple[Contour, ...]) -> tuple[Layer, ...]:
    layers = [Layer("part", tuple(c.path for c in drawn), filled=True)] if drawn else []
    layers += layers_of(("slit", [s.path for s in slits]))
    layers += [Layer("kerf", done.cuts, done.width)] if done.cuts else []
    return (*layers, *layers_of(("travel" if done.cuts else "raised", done.travels)))


def _box(paths: Sequence[Path]) -> Box:
    if not paths:
        return 0.0, 0.0, 100.0, 100.0
    table = np.array([path.bounds() for path in paths])
    low, high = table[:, :2].min(axis=0) - MARGIN, table[:, 2:].max(axis=0) + MARGIN
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _view(box: Box, done: Traced, callouts: Sequence[Callout]) -> Box:
    """Return what must be seen: the plate, all that is cut, and findings not absurdly far away."""
    cut = _box(done.cuts) if done.cuts else box
    low, high = np.minimum(box[:2], cut[:2]), np.maximum(box[2:], cut[2:])
    reach = FAR * float((high - low).max())
    places = np.array([c.at for c in callouts if c.at is not None]).reshape(-1, 2)
    near = places[((places > low - reach) & (places < high + reach)).all(axis=1)]
    if len(near):
        low, high = np.minimum(low, near.min(axis=0)), np.maximum(high, near.max(axis=0))
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _facts(proof: Proof, machine: Machine, process: Process, drawn: tuple[Contour, ...]) -> tuple[tuple[str, str], ...]:
    f = figures(proof, machine)
    facts = [
        *process_facts(process),
        ("Cuts", f"{counted(f.pierces, 'pierce')}, {f.cut_length / 1000:.2f} m of cut"),
        ("Time", f"{format_time(round(f.run_s))}, torch on {format_time(round(f.torch_on_s))}"),
    ]
    if f.pierces:
        facts.append(("Idle", idle_words(f.idle_s, f.arc_share, machine, process.amps)))
    if drawn and proof.runs:
        facts.append(("Edge", edge_words(proof.edge_deviation)))
    return (*facts, ("Machine", machine.title or machine.name))
