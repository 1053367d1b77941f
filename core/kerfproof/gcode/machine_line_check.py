"""A machine file read with its lines judged as the control would: what switches, what ends, what goes to the top."""

from __future__ import annotations

from collections.abc import Iterator

from kerfproof.errors import KerfproofError
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.machine_control import control_of, dialects
from kerfproof.gcode.reader.expression import Misread
from kerfproof.gcode.reader.lexer import Line, read_line, scan
from kerfproof.gcode.reader.line_mistakes import line_mistakes, refusals
from kerfproof.gcode.reader.machine_lines import own_language, switches
from kerfproof.shop.machine_file import parse_machine
from kerfproof.shop.profile import Machine
from kerfproof.shop.spelling import quoted

_ENDS = (2.0, 30.0)


def read_machine(text: str, where: str) -> Machine:
    """Return the machine that a file describes, its lines judged too.

    Raises
    ------
    KerfproofError
        With all mistakes of the file, one per line, each with its key.
    """
    return parse_machine(text, where, dialects=dialects(), lines=_mistakes)


def _mistakes(machine: Machine) -> list[str]:
    """Return what is wrong with the lines of a machine, each with its key; nothing where its dialect is not known."""
    try:
        control = control_of(machine)
    except KerfproofError:  # the dialect is told by itself
        return []
    return [*refusals(line_mistakes(machine, control)), *_end(machine, control), *_own_lines(machine, control)]


def _end(machine: Machine, control: Dialect) -> Iterator[str]:
    """Yield why ``control.end_word`` ends no program: it must be M2 or M30 alone (RS-274/NGC, 3.6.1)."""
    if machine.end_word is None:
        return
    line = _read(machine.end_word, control)
    words = [] if isinstance(line, str) else [(word.letter, word.value) for word in line.words]
    if len(words) != 1 or words[0][0] != "M" or words[0][1] not in _ENDS:
        yield f"control.end_word: {quoted(machine.end_word)} ends no program; write M2 or M30, or leave the key out"


def _own_lines(machine: Machine, control: Dialect) -> Iterator[str]:
    """Yield what is wrong with lines of the header and the footer: they may not light the torch nor end the program."""
    language = own_language(control, [machine.torch_on])
    torch_on = _read(machine.torch_on, control)
    on = "" if isinstance(torch_on, str) else switches(torch_on, language)
    for key, lines in (("header", machine.header_lines), ("footer", machine.footer_lines)):
        for number, text in enumerate(lines, 1):
            place, line = f"control.{key} {number}", _read(text, control)
            if isinstance(line, str):
                yield f"{place}: {quoted(text)} can't be read: {line}; correct it or take it out"
                continue
            done = switches(line, language)
            if on and not isinstance(on, str) and not isinstance(done, str) and on & done:
                yield f"{place}: must not light the torch ({machine.torch_on}); take it out"
            if any(word.letter == "M" and word.value in _ENDS for word in line.words):
                yield f"{place}: {quoted(text)} ends the program too early; the end stands in control.end_word"


def _read(text: str, control: Dialect) -> Line | str:
    """Return a line of the file taken apart, or why it can't be."""
    found = scan(text, control.semicolon_comments)
    if found.fault:
        return found.fault.reason
    try:
        return read_line(found.code)
    except Misread as fault:
        return fault.reason
