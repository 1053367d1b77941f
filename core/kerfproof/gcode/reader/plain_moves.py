"""Plain lines, which most of a program is: the short way to execute them, one by one."""

from __future__ import annotations

import re

from kerfproof.gcode.reader import arcs, modes
from kerfproof.gcode.reader.control import Control
from kerfproof.gcode.reader.moves import LEAST_FEED

_VALUE = r"([-+]?(?:[0-9]{1,7}(?:\.[0-9]{0,12})?|\.[0-9]{1,12}))"
PLAIN = re.compile(
    r"[ \t]*(?:N[0-9]{1,5}[ \t]*)?(?:G0?([0-3])[ \t]*)?"
    + "".join(rf"(?:{letter}{_VALUE}[ \t]*)?" for letter in "XYZIJF")
    + r"(?:\(([^()]*)\)[ \t]*)?",
    re.IGNORECASE | re.ASCII,
)
"""A plain motion line: the usual words in the usual order, each value short enough to be harmless."""
COMMENT = re.compile(r"\(([^()]*)\)[ \t]*")
"""A line that is one comment."""


def plain_line(
    c: Control,
    g: str | None,
    x: str | None,
    y: str | None,
    z: str | None,
    i: str | None,
    j: str | None,
    f: str | None,
    comment: str | None,
) -> bool:
    """Execute a line by the groups of `PLAIN`; return whether it was one, otherwise nothing was done."""
    code = int(g) * 10 if g else c.motion
    if code > modes.ARC_CCW or not c.plain or (x is y is z is None):
        return False
    is_arc = code >= modes.ARC_CW
    if is_arc != bool(i or j):
        return False
    unit = c.unit
    feed = float(f) * unit if f else c.feed
    if code != modes.RAPID and feed < LEAST_FEED:
        return False
    if c.incremental:
        bx, by, bz = c.x, c.y, c.z
    else:
        bx, by, bz = c.ox, c.oy, c.oz
    end = (
        float(x) * unit + bx if x else c.x,
        float(y) * unit + by if y else c.y,
        float(z) * unit + bz if z else c.z,
    )
    center = (0.0, 0.0)
    if is_arc:
        if (x is y is None) or (c.absolute_centers and not (i and j)):
            return False
        cx, cy = (c.ox, c.oy) if c.absolute_centers else (c.x, c.y)
        center = (cx + float(i) * unit if i else cx, cy + float(j) * unit if j else cy)
        if not arcs.radii_agree((c.x, c.y), end, center, c.arc_tolerance):
            return False  # the long way says what is wrong
    if f and feed != c.feed:
        c.changed_feed(float(f), feed)
    c.motion = code
    if is_arc:
        c.arc_move(code == modes.ARC_CW, end, center)
    else:
        c.straight_move(code, *end, modes.MOTION_WORDS[code // 10])
    if comment is not None:
        c.rows.comments.append((c.line, comment.strip()))
    return True
