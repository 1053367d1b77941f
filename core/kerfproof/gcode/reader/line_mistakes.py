"""What is wrong with the lines of a machine file that switch something on and off again, or wait for the arc.

A proof may rely on such lines only where they can be read: the one must switch an output or the spindle on, the other
the very same off. An M word that no language has is taken as the machine file says it.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from typing import NamedTuple

from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.reader import modes
from kerfproof.gcode.reader.arrange import plain_number
from kerfproof.gcode.reader.expression import Misread
from kerfproof.gcode.reader.lexer import read_line, scan
from kerfproof.gcode.reader.machine_lines import own_language, switches
from kerfproof.shop.profile import Machine

_NO_SWITCH = frozenset({modes.WAIT_INPUT, 97, 98, 99})
"""Words that wait, and words that call what is not read (common practice, from memory): none is known to switch."""
Key = tuple[Hashable, ...]


class Mistake(NamedTuple):
    """What is wrong with a line of the machine file: its key there, what is wrong, what to write."""

    key: str
    what: str
    advice: str


class _Pair(NamedTuple):
    """Two lines that undo each other, and whether they may wait for the next motion."""

    name: str
    key: str
    on: str
    off: str
    late: bool
    example: tuple[str, str]


def line_mistakes(machine: Machine, control: Dialect) -> tuple[Mistake, ...]:
    """Return what is wrong with the lines of a machine that switch; none where a proof may rely on them."""
    spindle, output = ("M3", "M5"), ("M64 P2", "M65 P2")
    pairs = (
        _Pair("the torch", "torch.", machine.torch_on, machine.torch_off, False, spindle),
        _Pair("height control", "height_control.", machine.height_control_on, machine.height_control_off, True, output),
        _Pair("the sense circuit", "touch_off.sense_", machine.sense_on, machine.sense_off, False, output),
    )
    language = own_language(control, [line for pair in pairs for line in (pair.on, pair.off)])
    found: list[Mistake] = []
    taken: dict[Hashable, str] = {}
    for pair in pairs:
        if not pair.on and not pair.off:
            continue
        wrong = list(_judge(pair, language))
        found += wrong
        for what in [] if wrong else sorted(map(_switch, _read(pair.on, language)), key=repr):
            if what in taken and what is not None:
                told = f'"{pair.on}" switches what {taken[what]} switches'
                found.append(Mistake(f"{pair.key}on", told, "name the output that it hangs on"))
            taken[what] = f"{pair.key}on"
    return (*found, *_arc_wait(machine.arc_wait, control))


def _arc_wait(line: str, control: Dialect) -> Iterator[Mistake]:
    """Yield why a line waits for no arc: it must wait for an input, or be a word of the machine's own."""
    if not line:
        return
    language = own_language(control, [line])
    reason = _unreadable(line, language)
    if not reason:
        words = read_line(scan(line, control.semicolon_comments).code).words
        reason = _no_wait({word.letter: word.value for word in words if isinstance(word.value, float)}, len(words))
    if reason:
        told = f'"{line}" does not wait for the arc: {reason}'
        yield Mistake("torch.arc_wait", told, 'write for example arc_wait = "M66 P0 L3 Q2"')


def _no_wait(words: dict[str, float], count: int) -> str:
    """Return why the words of a line are no wait for an input and no word of the machine's own, empty if they are."""
    code = words.get("M")
    if code is None or len(words) != count or not words.keys() <= set("MPQLERS"):
        return "it is no wait for an input"
    if code == modes.WAIT_INPUT:
        number, kind, time = words.get("P"), words.get("L", 0.0), words.get("Q", 0.0)
        if number is None or number < 0 or number % 1 or "E" in words:
            return "it names no digital input with P"
        if kind not in (1.0, 2.0, 3.0, 4.0):
            return "it goes on at once, whatever the input says: L must be 1 to 4"
        return "" if time > 0 else "it does not say with Q how long it waits"
    known = code in modes.M_GROUPS or code in modes.DIGITAL or code in modes.ANALOG or code in _NO_SWITCH
    return f"M{plain_number(code)} is no wait for an input" if known else ""


def _judge(pair: _Pair, language: modes.Language) -> Iterator[Mistake]:
    """Yield what is wrong with the two lines of one thing."""
    readable = True
    for line, word, example in ((pair.on, "on", pair.example[0]), (pair.off, "off", pair.example[1])):
        reason = _unreadable(line, language) if line else ""
        if reason:
            readable = False
            told = f'"{line}" can\'t be read as words that switch {pair.name} {word}: {reason}'
            yield Mistake(pair.key + word, told, f'write for example {word} = "{example}"')
    if not readable or not pair.off:  # that the off line is missing is told by the file's own checks
        return
    off = _read(pair.off, language)
    if pair.on:
        on = {key: _undoing(key, off, pair.late) for key in sorted(_read(pair.on, language), key=repr)}
        lights = {key: undo for key, undo in on.items() if undo is not None}
        if not lights:
            told = f'"{pair.on}" switches nothing on, but {pair.name} hangs on it'
            yield Mistake(f"{pair.key}on", told, f'write for example on = "{pair.example[0]}"')
        for undo in lights.values():
            if undo:
                told = f'"{pair.off}" does not switch off what {pair.key}on ("{pair.on}") switches on'
                yield Mistake(f"{pair.key}off", told, undo)
                break
    elif not off:
        told = f'"{pair.off}" switches nothing, but {pair.name} is to be off after it'
        yield Mistake(f"{pair.key}off", told, f'write for example off = "{pair.example[1]}"')
    if not pair.late:
        yield from _waiting(pair, language)


def _waiting(pair: _Pair, language: modes.Language) -> Iterator[Mistake]:
    """Yield lines that act with the next motion where they must act at once."""
    for line, word in ((pair.on, "on"), (pair.off, "off")):
        for w in read_line(scan(line, language.dialect.semicolon_comments).code).words if line else ():
            if w.letter == "M" and w.value in modes.LATE:
                told = f'"{line}" acts with the next motion only, too late to switch {pair.name} {word}'
                at_once = {62: "M64", 63: "M65", 67: "M68"}[int(w.value)]
                yield Mistake(pair.key + word, told, f"write {at_once} with the same number: it acts at once")


def _unreadable(line: str, language: modes.Language) -> str:
    """Return why a line is none of the language, empty if it can be read."""
    found = scan(line, language.dialect.semicolon_comments)
    if found.fault:
        return found.fault.reason
    if not found.code:
        return "it holds no word"
    try:
        words = read_line(found.code)
    except Misread as fault:
        return fault.reason
    if words.settings or words.deletable or not all(isinstance(word.value, float) for word in words.words):
        return "it holds more than plain words"
    done = switches(words, language)
    return done if isinstance(done, str) else ""


def _read(line: str, language: modes.Language) -> frozenset[Key]:
    """Return what a line that can be read switches."""
    done = switches(read_line(scan(line, language.dialect.semicolon_comments).code), language) if line else ""
    return frozenset() if isinstance(done, str) else done


def _switch(key: Key) -> Hashable:
    """Return which switch a key is about, whatever state it is put in; None of a word with a meaning of its own."""
    if key[0] == "output":
        return key[:3]
    return key[0] if key[0] in (modes.TORCH, "coolant") else None


def _undoing(key: Key, off: frozenset[Key], any_value: bool) -> str | None:
    """Return what to write so that a switch is undone, empty if `off` undoes it, None if nothing is switched on.

    `any_value`: an analog output is off at any other value than that of the on line, else at 0 alone.
    """
    kind = key[0]
    if kind in (modes.TORCH, "coolant"):
        undo = 5 if kind == modes.TORCH else 9
        return None if key[1] == undo else "" if (kind, undo) in off else f"write M{undo}"
    if kind == "M":
        undone = any(k[0] == "M" and k[1] not in _NO_SWITCH and k != key for k in off)
        return None if key[1] in _NO_SWITCH else "" if undone else "write the M word that undoes it"
    if kind != "output":
        return None
    _, letter, number, state = key
    if not isinstance(number, float) or not isinstance(state, float) or number < 0 or number % 1:
        return None
    if letter == "P":
        word = "M65" if state else "M64"
        return "" if ("output", "P", number, 1.0 - state) in off else f"write {word} P{plain_number(number)}"
    values = [k[3] for k in off if k[:3] == key[:3]]
    if any(value != state if any_value else value == 0 for value in values):
        return "" if any_value or state else None
    return f"write M68 E{plain_number(number)} Q0" if state else None


def refusals(mistakes: tuple[Mistake, ...]) -> list[str]:
    """Return mistakes as sentences with the key first, as a machine file's other mistakes are told."""
    return [f"{key}: {what}; {advice}" for key, what, advice in mistakes]
