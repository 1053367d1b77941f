"""The torch cuts at a wrong height.

Finds: torch-on motion in the plane at a height that differs from the process by more than 0.3 mm (warning), or lies
outside 0.8-3 mm and 1 mm off the process (error), where no height control is free. The first centimetre of a run may
still be at pierce height, over the slag ring.

Matters: too low drags the tip, too high bevels the edge and widens the kerf.

Bad::

    Given: burning
    G1 Z4 F900
    G1 X60 F2200
    M5

Good::

    Given: burning
    G1 X60 F2200
    M5

Do: cut at the height of the chart.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.geom.path import Bools
from kerfproof.verify.evidence import Evidence
from kerfproof.verify.limits import HEIGHT_BAND, HEIGHT_NEAR
from kerfproof.verify.rule import Hit, Rule, at_row

SLAG_RING = 10.0


def _judge(e: Evidence) -> Iterator[Hit]:
    rows = np.flatnonzero(e.travels & e.trace.torch & e.known & e.moves & ~_height_free(e))
    if not len(rows):
        return
    begin, end = e.height[rows, 0], e.height[rows, 1]
    low, high = np.minimum(begin, end), np.maximum(begin, end)
    wanted = e.process.cut_height if e.process is not None else None
    band = (HEIGHT_BAND[0], HEIGHT_BAND[1]) if wanted is None else (wanted - 1.0, wanted + 1.0)
    bad = (low < min(band[0], HEIGHT_BAND[0])) | (high > max(band[1], HEIGHT_BAND[1]))
    off = bad if wanted is None else (low < wanted - HEIGHT_NEAR) | (high > wanted + HEIGHT_NEAR)
    spared = _over_slag(e)[rows] & (low >= HEIGHT_BAND[0])
    told: set[int] = set()
    owner = np.searchsorted(e.first_rows, rows, side="right")
    for k in np.flatnonzero((off | bad) & ~spared).tolist():
        if int(owner[k]) in told:
            continue
        told.add(int(owner[k]))
        height = float(low[k] if wanted is None or wanted - low[k] > high[k] - wanted else high[k])
        message = f"the cut runs {height:.2f} mm over the plate" + (f" instead of {wanted:.2f} mm" if wanted else "")
        yield at_row(e, int(rows[k]), message, "cut at the height of the chart", None if bad[k] else Severity.WARNING)


def _height_free(e: Evidence) -> Bools:
    """Return in which rows a height control moves Z by itself (n,)."""
    on, off = e.extra_lines.get("height_control_on", ""), e.extra_lines.get("height_control_off", "")
    free = np.zeros(len(e.trace), dtype=np.bool_)
    if not on:
        return free
    state = False
    for row, text in enumerate(e.trace.text):
        state = (state or text == on) and text != off
        free[row] = state
    return free


def _over_slag(e: Evidence) -> Bools:
    """Return which rows lie in the first stretch of their run, no higher than the pierce height (n,)."""
    out = np.zeros(len(e.trace), dtype=np.bool_)
    if e.process is None:
        return out
    highest = max(e.process.pierce_height, 2 * e.process.cut_height, 2.0) + HEIGHT_NEAR
    early = (e.path.along <= SLAG_RING) & (np.maximum(e.height[:, 0], e.height[:, 1])[e.path.segments.index] <= highest)
    out[e.path.segments.index[early]] = True
    return out


RULE = Rule("cut-height-out-of-band", Severity.ERROR, _judge)
