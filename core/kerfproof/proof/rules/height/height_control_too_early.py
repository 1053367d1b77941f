"""Height control is let go where the arc voltage does not tell the height.

Finds: height control that is switched on above cut height, or before the cut moves and before the machine file's `lock`
time at cut height is over (errors); sooner after the start of a cut than that time, where the cut is slowed, or where
it runs on across its own kerf (warnings); its analog output set to a value that is neither on nor off (a warning).

Matters: over a pierce, in a slow hole and across a kerf the voltage rises, and the head dives into the plate.

Bad::

    Machine: pilot-height
    Given: burning
    M64 P2
    G1 X60 F2200
    M65 P2
    M5

Good::

    Machine: pilot-height
    Given: burning
    G1 X40 F2200
    M64 P2
    G1 X60 F2200
    M65 P2
    M5

Do: switch it on when the cut has run at full feed for the `lock` time, and off before it slows or closes.
"""

from collections.abc import Iterator

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.reader.machine_lines import switched_by
from kerfproof.gcode.trace import Step
from kerfproof.geom.path import Bools, Floats, Ints
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.runs import TorchRun
from kerfproof.proof.rule import Hit, Rule, at_row
from kerfproof.sentence import mm, mm_min, say

ABOVE = 0.3
"""So far (mm) above cut height the voltage is already that of another height."""
ROUNDED = 0.95
"""Share of the lock time that is enough: lengths and feeds in a program are rounded."""
SLOWED = 0.9
"""Below this share of the chart's feed the voltage is that of another height (common practice, from memory)."""


def _judge(e: Evidence) -> Iterator[Hit]:
    lines = [e.extra_lines.get(f"height_control_{word}", "").strip() for word in ("on", "off")]
    if not all(lines):
        return
    outputs = e.rows(Step.OUTPUT)
    yield from _other_value(e, outputs, lines)
    switch = outputs[[e.trace.text[row] in lines for row in outputs.tolist()]] if len(outputs) else outputs
    on = np.zeros(len(e.trace), dtype=np.bool_)
    for row, until in zip(switch.tolist(), [*switch[1:].tolist(), len(e.trace)], strict=True):
        on[row:until] = e.trace.text[row] == lines[0]
    passed = np.concatenate([[0.0], np.cumsum(e.trace.seconds)])
    afterwards = _closed(e)
    for run in e.runs:
        rows = np.arange(run.first_row, run.last_row + 1)
        begins = [row for row in rows[on[rows]].tolist() if not on[row - 1]]
        yield from _early(e, begins, run, passed)
        cutting = rows[on[rows] & e.travels[rows] & e.moves[rows]]
        slow = cutting[e.trace.feed[cutting] < SLOWED * e.process.feed_mm_min] if e.process is not None else cutting[:0]
        if len(slow):
            slowed = say("height control is on where the cut is slowed to {feed}", feed=mm_min(e.trace.feed[slow[0]]))
            yield at_row(e, int(slow[0]), slowed, "switch it off where the cut is slowed", Severity.WARNING)
        across = cutting[afterwards[cutting]]
        if len(across):
            what = "height control is on where the cut runs on across its own kerf"
            yield at_row(e, int(across[0]), what, "switch it off before the cut closes", Severity.WARNING)


def _early(e: Evidence, begins: list[int], run: TorchRun, passed: Floats) -> Iterator[Hit]:
    """Tell height control that is let go too soon in a run: it waits at cut height, or while the cut moves."""
    lock, moving = e.machine.height_control_lock_s, int(e.first_travels[run.number])
    high = e.process.cut_height + ABOVE if e.process is not None else np.inf
    for row in begins:
        advice = f"switch it on {lock:g} s after the cut begins"
        above = np.flatnonzero(e.height[run.first_row : row, 1] > high)
        at_height = run.first_row + int(above[-1]) + 1 if len(above) else run.first_row
        since = float(passed[row] - passed[at_height])
        if 0 <= moving < row:
            since = max(since, float(passed[row] - passed[moving]))
        if e.known[row] and e.height[row, 0] > high:
            high_up = say("height control is switched on {height} over the plate", height=mm(e.height[row, 0], ".1f"))
            yield at_row(e, row, high_up, advice)
        elif since < ROUNDED * lock:
            still = not 0 <= moving < row
            what = "before the cut moves" if still else f"{since:.2f} s after the cut begins, not {lock:g} s"
            severity = None if still else Severity.WARNING
            yield at_row(e, row, f"height control is switched on {what}", advice, severity)


def _closed(e: Evidence) -> Bools:
    """Return which rows run on behind a closed cut of their run (n,)."""
    out = np.zeros(len(e.trace), dtype=np.bool_)
    path = e.path
    for ring in range(len(path.ring_stop)):
        behind = slice(int(path.ring_stop[ring]), int(path.first[path.ring_run[ring] + 1]))
        rows = path.segments.index[behind]
        out[rows[rows > path.segments.index[path.ring_stop[ring] - 1]]] = True
    return out


def _other_value(e: Evidence, outputs: Ints, lines: list[str]) -> Iterator[Hit]:
    """Tell an analog output of height control that is set to a value that is neither on nor off."""
    own = tuple(lines)
    wanted = frozenset().union(*(switched_by(line, e.control, own) for line in lines))
    analog = {key[2] for key in wanted if key[:2] == ("output", "E")}
    for row in outputs.tolist() if analog else ():
        for key in switched_by(e.trace.text[row], e.control, own) - wanted:
            if key[:2] == ("output", "E") and key[2] in analog:
                what = f"{e.trace.text[row]} sets the output of height control to a value that is neither on nor off"
                yield at_row(e, row, what, f"write {lines[0]} or {lines[1]}", Severity.WARNING)


RULE = Rule("height-control-too-early", Severity.ERROR, _judge)
