"""Programs without an arc: the dry run, the frame and the tour. They never go below travel height.

On a homed machine they run at the top of travel, else at the height the operator parked the torch, because no
touch-off tells where the plate is. They hold no on word and no Z in the work frame.
"""

from __future__ import annotations

import numpy as np

from kerfproof.cut_plan import CutPlan
from kerfproof.gcode.words import comment, message
from kerfproof.gcode.writer.cut_block import ProgramLines
from kerfproof.gcode.writer.head import modes, raise_to_top, torch_off
from kerfproof.gcode.writer.program import Block
from kerfproof.gcode.writer.run import joined
from kerfproof.gcode.writer.strokes import strokes
from kerfproof.gcode.writer.write_context import WriteContext


def write_dry(plan: CutPlan, given: WriteContext, page: ProgramLines) -> None:
    """Write the motion of all cuts in the plane, raised, at travel feed."""
    w = given.words
    drawn = strokes([joined(cut) for cut in plan.cuts], w, given.control)
    texts, feed = drawn.texts(w), " " + w.feed(given.machine.rapid_mm_min)
    first_stroke = np.searchsorted(drawn.run, np.arange(len(plan.cuts) + 1)).tolist()
    for number, cut in enumerate(plan.cuts):
        first = len(page.lines) + 1
        page.lines.append(comment(f"cut {number + 1} of {len(plan.cuts)}: {cut.kind}, feature {cut.feature}, dry"))
        page.lines.append(comment(f"part {cut.part}, {cut.label}"))
        page.lines += [*torch_off(given), *modes(given), *raise_to_top(given)]
        page.lines += [f"G0 X{w.length(x)} Y{w.length(y)}" for x, y in (*cut.via, cut.pierce)]
        lit = len(page.lines) + 1
        run = texts[first_stroke[number] : first_stroke[number + 1]]
        page.lines += [text + (feed if k == 0 else "") for k, text in enumerate(run)]
        page.blocks.append(Block(number, first, lit, len(page.lines)))


def write_frame(plan: CutPlan, given: WriteContext, page: ProgramLines) -> None:
    """Write the box of all motion, lower left corner first and counter-clockwise, with a stop at each corner."""
    w = given.words
    boxes = [piece.bounds() for cut in plan.cuts for piece in cut.pieces]
    points = [point for cut in plan.cuts for point in (*cut.via, cut.touch_at or cut.pierce)]
    x0, y0 = np.min([*(box[:2] for box in boxes), *points], axis=0)
    x1, y1 = np.max([*(box[2:] for box in boxes), *points], axis=0)
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    feed = w.feed(given.machine.rapid_mm_min)
    for number, (x, y) in enumerate(corners):
        place = f"X{w.length(x)} Y{w.length(y)}"
        page.lines.append(f"G1 {place} {feed}" if number else f"G0 {place}")
        page.lines += [message(f"corner {number + 1} of 4: plate below, clamps clear"), "M0"]
    page.lines.append(f"G1 X{w.length(x0)} Y{w.length(y0)} {feed}")


def write_tour(plan: CutPlan, given: WriteContext, page: ProgramLines) -> None:
    """Write the way over all pierces in the order of cutting, then over the holes to drill, with a stop at each."""
    w, count = given.words, len(plan.cuts)
    stops = [(f"pierce {n} of {count}: {cut.label}", cut.pierce) for n, cut in enumerate(plan.cuts, 1)]
    stops += [(f"drill {n} of {len(plan.drill)}: {label}", at) for n, (label, at) in enumerate(plan.drill, 1)]
    for text, (x, y) in stops:
        page.lines += [f"G0 X{w.length(x)} Y{w.length(y)}", message(text), "M0"]
