"""A part of what switches the torch is missing, another, or taken away.

Finds: on a machine whose output needs an S word, a light-up with none in force or with S0, or with less than half of
the machine file's (an error) or another value (a warning); and an S word while the torch is lit that is not that value.
Where the machine file's on or off line has several words, a light-up or a switching off with some of them alone, and an
off word alone in a cut. Where M3 lights the torch without an S word of the machine file, S0 in force (a warning).

Matters: the output never closes, or drops out in the cut, and the contour is run cold; or what one word has put out
another one keeps burning.

Bad::

    Machine: contact-float torch_on_speed=1000
    Given: touched
    M3
    G4 P0.4

Good::

    Program: bad
    M3 -> M3 S1000

Do: write the whole line of the machine file.
"""

from collections.abc import Hashable, Iterator
from itertools import pairwise

import numpy as np

from kerfproof.errors import Severity
from kerfproof.gcode.reader import modes
from kerfproof.gcode.reader.machine_lines import switched_by
from kerfproof.gcode.trace import Change, Step
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.rule import Hit, Rule, at_row

Key = tuple[Hashable, ...]


def _judge(e: Evidence) -> Iterator[Hit]:
    yield from _speed(e)
    yield from _halves(e)


def _halves(e: Evidence) -> Iterator[Hit]:
    """Tell a part of a line of several words that stands for the whole."""
    m = e.machine
    lines = (m.torch_on, m.torch_off)
    on, off = (_switches(e, line) for line in lines)
    if len(on) < 2 and len(off) < 2:
        return
    moving = np.append(e.moving, len(e.trace))
    switching = e.rows(Step.TORCH_ON, Step.TORCH_OFF, Step.OUTPUT)
    for run in e.runs:
        light = int(switching[np.searchsorted(switching, run.first_row, side="right") - 1])
        for row, wanted, line, what in ((light, on, m.torch_on, "lit"), (run.last_row, off, m.torch_off, "put out")):
            until = int(moving[np.searchsorted(moving, row)])
            near = switching[(switching >= row) & (switching < max(until, row + 1))].tolist()
            done = frozenset().union(*(_switches(e, e.trace.text[k]) for k in near))
            if len(wanted) > 1 and wanted & done and not wanted <= done:
                yield at_row(e, row, f"the torch is {what} by a part of {_shown(line)} alone", f"write {_shown(line)}")
        if len(off) < 2:
            continue
        inside = switching[(switching >= run.first_row) & (switching < run.last_row)]
        for row in inside[e.trace.kind[inside] == Step.OUTPUT].tolist():
            if _switches(e, e.trace.text[row]) & off:
                what = f"{e.trace.text[row]} is a part of {_shown(m.torch_off)}: the torch may go out here, or burn on"
                yield at_row(e, row, what, f"write {_shown(m.torch_off)}")
                break


def _switches(e: Evidence, text: str) -> frozenset[Key]:
    """Return what lines switch, whatever the words of the spindle and the values of analog outputs are."""
    own = [*e.machine.torch_on.split("\n"), *e.machine.torch_off.split("\n")]
    keys = frozenset().union(*(switched_by(one, e.control, tuple(own)) for one in text.split("\n")))
    return frozenset(key[:1] if key[0] == modes.TORCH else key[:3] if key[1:2] == ("E",) else key for key in keys)


def _shown(line: str) -> str:
    return line.replace("\n", ", then ")


def _speed(e: Evidence) -> Iterator[Hit]:
    wanted = e.machine.torch_on_speed
    said = e.changes("speed")
    if wanted is None:
        yield from _no_speed(e, said)
        return
    lines, values = np.array([change.line for change in said]), [float(change.word[1:]) for change in said]
    advice = f"write S{wanted:g} with it"
    for row in e.lights.tolist():
        place = int(np.searchsorted(lines, e.line(row), side="right")) - 1
        value = values[place] if place >= 0 else 0.0
        if value == 0:
            yield at_row(e, row, "the on word stands without S", advice)
        elif abs(value - wanted) > 1e-6:
            severity = None if value < wanted / 2 else Severity.WARNING
            yield at_row(e, row, f"the torch is lit with S{value:g} instead of S{wanted:g}", advice, severity)
    for run in e.runs:
        low, high = np.searchsorted(lines, [run.light_line, run.off_line], side="right").tolist()
        for before, now in pairwise([wanted, *values[low:high]]):
            if abs(now - wanted) > 1e-6 and now != before:
                severity = None if now < wanted / 2 else Severity.WARNING
                row = run.first_row
                yield at_row(e, row, f"S{now:g} is written while the torch is lit", "leave the S word alone", severity)


def _no_speed(e: Evidence, said: tuple[Change, ...]) -> Iterator[Hit]:
    """Tell S0 where the spindle word lights the torch: a spindle of speed zero may not start (from memory)."""
    if (modes.TORCH,) not in _switches(e, e.machine.torch_on) or "S" in e.machine.torch_on.upper():
        return
    lines, values = np.array([change.line for change in said]), [float(change.word[1:]) for change in said]
    for run in e.runs:
        lit, out = np.searchsorted(lines, [run.light_line, run.off_line], side="right").tolist()
        if 0.0 in values[max(lit - 1, 0) : max(out, lit)]:
            what = "the torch is lit by the spindle word with S0 in force: at speed zero it may not light, or go out"
            yield at_row(e, run.first_row, what, "take the S word out", Severity.WARNING)
            return


RULE = Rule("on-word-incomplete", Severity.ERROR, _judge)
