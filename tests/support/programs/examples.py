"""The small programs in rule pages, made whole: what their headers stand for."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from kerfproof.gcode.dialects.compact import DIALECT as COMPACT
from kerfproof.gcode.dialects.compact_offset import DIALECT as COMPACT_OFFSET
from kerfproof.gcode.dialects.ngc import DIALECT as NGC
from kerfproof.gcode.dialects.ngc_blend import DIALECT as NGC_BLEND
from kerfproof.gcode.dialects.skip import DIALECT as SKIP
from kerfproof.geom.path import Path
from kerfproof.parts.model.contour import Contour
from kerfproof.proof.evidence.evidence import Against, Evidence, gather
from kerfproof.proof.table import scenario
from kerfproof.proof.table.play import play
from kerfproof.report.data.rule_pages import FIND as FIND
from kerfproof.report.data.rule_pages import GIVEN, USUAL
from kerfproof.report.data.rule_pages import LIGHT as LIGHT
from kerfproof.report.data.rule_pages import OPENING as HEAD  # noqa: F401
from kerfproof.shop.chart import PierceRating, Process
from kerfproof.shop.profile import Machine
from support.programs.rule_pages import Example
from support.shop.known_plate import MACHINES, PROCESS

CONTROLS = {
    "blend": NGC_BLEND,
    "published": NGC,
    "small": COMPACT,
    "offset": COMPACT_OFFSET,
    "skip": SKIP,
    "milliseconds": replace(NGC_BLEND, dwell_in_ms=True),
}
PROCESSES: dict[str, Process | None] = {
    "steel 3": PROCESS,
    "steel 10": replace(
        PROCESS, thickness=10.0, kerf=1.9, cut_height=2.0, pierce_height=4.0, pierce=PierceRating.NO, min_hole=15.0
    ),
    "steel 8": replace(
        PROCESS, thickness=8.0, kerf=1.8, cut_height=2.0, pierce_height=4.0, pierce=PierceRating.LIMIT, min_hole=12.0
    ),
    "short tips": replace(PROCESS, starts_per_tip=1),
    "none": None,
}
MORE_MACHINES = {
    "pilot-height": replace(MACHINES["pilot-float"], height_control_on="M64 P2", height_control_off="M65 P2"),
    "output-not-undone": replace(MACHINES["contact-float"], torch_on="M64 P0", torch_off="M65 P1"),
    "contact-output": replace(MACHINES["contact-float"], torch_on="M64 P0", torch_off="M65 P0"),
    "contact-own-lines": replace(
        MACHINES["contact-float"], header_lines=("M101 (air on)",), footer_lines=("M102 (air off)",)
    ),
}


def before(given: str) -> str:
    """Return what stands before an example: nothing, the head, a touch-off, or a touch-off and a lit torch."""
    match = re.fullmatch(r"(head|touched|burning)(?: at ([\d.-]+) ([\d.-]+))?", given)
    if match is None:
        assert given in ("", "none"), given
        return ""
    return GIVEN[match[1]].format(x=match[2] or USUAL[0], y=match[3] or USUAL[1])


def contours(text: str) -> tuple[Contour, ...]:
    """Return drawn contours: ``rect x0 y0 x1 y1; hole x y d; line x0 y0 x1 y1``."""
    out = []
    for number, item in enumerate(filter(None, text.split(";"))):
        kind, *rest = item.split()
        v = [float(word) for word in rest]
        path = {
            "rect": lambda v: Path.rectangle(*v),
            "hole": lambda v: Path.circle(v[:2], v[2] / 2),
            "line": lambda v: Path.polyline([v[:2], v[2:]]),
            "poly": lambda v: Path.polyline(np.reshape(v, (-1, 2)), closed=True),
        }[kind](v)
        out.append(Contour(path, (str(number),), "0"))
    return tuple(out)


def machine_of(name: str) -> Machine:
    """Return a machine by name, with ``key=number`` changes after it."""
    first, *changes = name.split()
    pairs = (change.split("=") for change in changes)
    values = {key: float(value) if "." in value else int(value) for key, value in pairs}
    return replace({**MACHINES, **MORE_MACHINES}[first], **values)  # type: ignore[arg-type]


def evidence_of(example: Example) -> Evidence:
    """Return what a rule sees of an example."""
    h = example.header
    control = CONTROLS[h.get("Control", "blend")]
    machine = machine_of(h.get("Machine", "contact-float"))
    mode = h.get("Mode", "cut")
    text = before(h.get("Given", "")) + example.text
    table = scenario.nominal(machine, control.control_back_off)
    process = PROCESSES[h.get("Process", "steel 3")]
    played = play(text, control, machine, table, process=process, mode=mode)
    drawn = contours(h["Drawing"]) if "Drawing" in h else None
    x0, y0, x1, y1 = (float(word) for word in h.get("Plate", "0 0 0 0").split())
    plate = (x0, y0, x1, y1) if "Plate" in h else None
    against = Against(
        control=control,
        machine=machine,
        process=process,
        drawn=drawn,
        slits=contours(h.get("Slit", "")),
        plate=plate,
        mode=mode,
    )
    return gather(text, played.trace, played.searches, table.plate, against)
