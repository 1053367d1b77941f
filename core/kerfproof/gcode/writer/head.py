"""The top and the end of a program: what it assumes, what it warns of, and the modes it states."""

from __future__ import annotations

from kerfproof.box import Box
from kerfproof.cut_plan import CutPlan
from kerfproof.gcode.dialect import Guard, ProbeMiss
from kerfproof.gcode.header_lines import heading_lines
from kerfproof.gcode.words import comment, message, number
from kerfproof.gcode.writer.write_context import TOP, WriteContext
from kerfproof.job.job import Mode
from kerfproof.shop.profile import TouchOff

SAFETY = (
    "SAFETY: plasma arc, fumes, fire, electric shock, moving axes.",
    "Local codes and licensed practice come first; stay at the stop button.",
    "Power source: trigger mode not latched, or it burns on after the off word.",
)
PURPOSE = {
    Mode.DRY: "DRY RUN: the same motion raised, no arc. Switch the power source off.",
    Mode.FRAME: "FRAME: the box of all motion raised, a stop at each corner, no arc.",
    Mode.TOUR: "TOUR: a stop over each pierce and each hole to drill, raised, no arc.",
}
CORNER_ROUNDING = 0.18
"""A control that blends without a limit rounds a square corner by this share of v2/a."""


def head(plan: CutPlan, given: WriteContext) -> list[str]:
    """Return the program's top: comments, torch off, modes, raised where the top is known."""
    machine = given.machine
    lines = [comment(plan.name), *map(comment, SAFETY)]
    lines += [comment(PURPOSE[plan.mode])] if plan.mode in PURPOSE else []
    lines += [comment(text) for text in (*assumptions(given), *(zero(plan.plate, given) if plan.cuts else ()))]
    lines += [comment(text) for text in _residual_risk(given)] if plan.mode is Mode.CUT else []
    lines += heading_lines(plan.heading)
    lines += [*torch_off(given), *machine.header_lines, *modes(given), *raise_to_top(given)]
    if plan.mode is Mode.CUT and machine.touch_off is TouchOff.NONE:
        lines += [message("set Z zero with the tip on the plate at cut 1, then raise it clear"), "M0"]
    return lines


def torch_off(given: WriteContext) -> list[str]:
    """Return the lines that switch off the torch and the height control."""
    off = given.machine.height_control_off
    return [given.machine.torch_off, *([off] if off else [])]


def modes(given: WriteContext) -> list[str]:
    """Return the lines that state every mode the program relies on, F in its unit last."""
    control, machine = given.control, given.machine
    if machine.path_tolerance is None:
        path = control.path_exact_word
    else:
        path = control.path_blend_word.format(tolerance=given.words.length(machine.path_tolerance))
    lines = ["G17 G40 G49 G80", "G90 G94", "G20" if machine.inches else "G21", machine.work_offset]
    lines += [path] if path else []
    if control.arc_center_word:
        lines.append("G90.1" if control.arc_centers_absolute else "G91.1")
    return [*lines, given.words.feed(machine.rapid_mm_min)]


def raise_to_top(given: WriteContext) -> list[str]:
    """Return the line that raises fully, none where nobody knows the top."""
    frame = given.control.machine_frame_word
    return [f"{frame} G0 Z{given.words.length(TOP)}"] if given.homed else []


def end(plan: CutPlan, given: WriteContext) -> list[str]:
    """Return the program's end: torch off, raised, the Z shift cleared after the last move, end word."""
    machine, lines = given.machine, torch_off(given)
    if plan.mode is Mode.CUT:
        lines += raise_to_top(given) or [f"G0 Z{given.words.length(machine.travel_height)}"]
        lines += _clear_datum(given)
    return [*lines, *machine.footer_lines, machine.end_word or given.control.end_word]


def _clear_datum(given: WriteContext) -> list[str]:
    control, machine = given.control, given.machine
    if machine.touch_off is TouchOff.NONE or not machine.end_clears_datum or not control.datum_clear:
        return []
    if not (control.datum_clear_all_axes and machine.xy_zero_in_g92):
        return [control.datum_clear]
    # An all-axes clear would move the job's XY zero. At machine zero the Z shift can be undone by itself.
    return ["G92 Z0"] if given.homed else []


def assumptions(given: WriteContext) -> list[str]:
    """Return what the program is made for, as people read it at the top."""
    m, p, w = given.machine, given.process, given.words
    texts = [
        f"machine {m.title or m.name}",
        f"control {given.control.title}",
        f"material {p.material} {w.size(p.thickness)}, {number(p.amps, 1)} A",
        f"kerf {w.size(p.kerf)}",
        f"feed {w.pace(p.feed_mm_min)}, cut height {w.size(p.cut_height)}",
    ]
    if m.touch_off is TouchOff.FLOAT:
        texts.append(f"float {w.size(m.float_travel)}")
        texts.append(f"float measured at {w.pace(m.float_feed_mm_min)}; measure again after any change")
    if m.path_tolerance is not None and "{tolerance}" not in given.control.path_blend_word:
        speed = p.feed_mm_min / 60.0
        rounding = CORNER_ROUNDING * speed * speed / m.acceleration_mm_s2
        texts.append(f"path mode without a limit: a square corner rounds by up to {w.size(round(rounding, 2))}")
    else:
        texts.append("path " + ("exact" if m.path_tolerance is None else f"within {w.size(m.path_tolerance)}"))
    if given.homed:
        texts.append("Home the machine first. Plate under the torch, clear of clamps.")
    else:
        texts.append("Before start park the torch raised, clear of clamps, over the plate,")
        texts.append(f"at most {w.size(m.park_height_max)} above it.")
    return texts


def zero(plate: Box, given: WriteContext) -> list[str]:
    """Return where program zero lies and how large the plate must be."""
    w = given.words
    x0, y0, x1, y1 = plate
    size = f"plate {w.size(round(x1 - x0, 3))} by {w.size(round(y1 - y0, 3))}"
    if max(abs(x0), abs(y0)) < 1e-6:
        return ["X0 Y0 is the lower left corner of the plate.", size]
    corner = f"X {w.size(x0)}, Y {w.size(y0)}"
    return ["X0 Y0 is the zero of the drawing. Lower left corner of the plate:", corner, size]


def _residual_risk(given: WriteContext) -> list[str]:
    if given.machine.touch_off is TouchOff.NONE:
        span = "The plate must be flat within 0.3 mm = 0.012 in over all cuts."
        return ["RISK: no touch-off. Nothing notices a plate that is too low or too high.", span]
    if given.unguarded:
        return [
            "RISK: this control does not notice a touch-off that missed the plate,",
            "and no program can. The arc would then be lit and cut at a wrong height.",
            "Watch every touch-off, keep the optional stop on, stop by hand if in doubt.",
        ]
    if not given.guarded:
        return ["RISK: a slat or a low piece met instead of the plate is not noticed."]
    if given.control.guard is Guard.COMPARE and given.control.probe_miss is ProbeMiss.SILENT:
        return [
            "RISK: a missed plate stops the program only if this control compares as",
            "the machine file says: try it.",
        ]
    return [
        "RISK: at the first touch-off nothing tells a slat from the plate: look.",
        "An error at a line with a root means: that touch-off was not plausible.",
    ]
