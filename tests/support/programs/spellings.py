"""Other spellings of whole programs that do the same, in the language of NISTIR 6556.

Each is a function from the lines of a text, taken apart, to new lines. What it can't take apart it leaves as it is.
Where a spelling can't be said to a machine's control, it raises `NotPossible` with the reason.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from kerfproof.gcode.machine_control import control_of
from kerfproof.shop.profile import Machine
from support.programs.taken_apart import MOTIONS, PLAIN, Line, Stand, short, standing, taken_apart

_HEADING = re.compile(r"\(proof:")
_BREAKS = ("\x0c", "\x85", "\u2028", "\x1c", "\x0b")
"""What some libraries take for the end of a line and no control does."""


class NotPossible(Exception):
    """A program can't be spelled like this."""


@dataclass(frozen=True, slots=True)
class Respelled:
    """A program in another spelling, and the machine whose control reads it."""

    text: str
    machine: Machine


Speller = Callable[[list[Line], Machine], "Iterator[str] | Respelled"]
SPELLINGS: dict[str, Callable[[str, Machine], Respelled]] = {}


def spelling(name: str, end: str = "\n") -> Callable[[Speller], Speller]:
    """Enter a spelling in the table."""

    def enter(spell: Speller) -> Speller:
        def whole(text: str, machine: Machine) -> Respelled:
            found = spell([taken_apart(raw) for raw in text.splitlines()], machine)
            if not isinstance(found, Respelled):
                found = Respelled("".join(line + end for line in found), machine)
            limit = control_of(machine).line_limit
            if max(map(len, re.split("[\r\n]", found.text))) > max(limit, max(map(len, text.splitlines()))):
                raise NotPossible(f"the line limit of {limit} characters")
            return found

        assert name not in SPELLINGS
        SPELLINGS[name] = whole
        return spell

    return enter


# --- letters, spaces, lines -------------------------------------------------------------------------------


def _numbered(lines: list[Line], machine: Machine) -> Iterator[str]:
    limit = control_of(machine).line_limit
    for k, line in enumerate(lines):
        slash = "/" if line.code.startswith("/") else ""
        said = f"{slash}N{(10 * k + 10) % 99999} {line.said().removeprefix('/')}"
        yield line.said() if line.damaged or (not line.code and len(said) > limit) else said


spelling("N words")(_numbered)


@spelling("no comments")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    yield from (line.said() if line.damaged else line.code for line in lines if line.damaged or line.code)


@spelling("lower case")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    for line in lines:
        yield line.said() if line.damaged else (line.said().removesuffix(line.comments).lower() + line.comments)


@spelling("spaces everywhere")
def _(lines: list[Line], machine: Machine) -> Iterator[str]:
    limit = control_of(machine).line_limit
    for k, line in enumerate(lines):
        code = (" ", "\t")[k % 2].join(line.code)
        wide = f"  {code} {line.comments}"
        yield line.said() if line.damaged or not line.code or len(wide) > limit else wide


@spelling("no spaces")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    yield from (line.said() if line.damaged else line.code + line.comments for line in lines)


@spelling("blank lines")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    for k, line in enumerate(lines):
        yield from ("", line.said()) if k % 3 else (line.said(), "   ")


@spelling("lines end in CR LF", "\r\n")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    yield from (line.said() for line in lines)


@spelling("lines end in CR", "\r")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    yield from (line.said() for line in lines)


@spelling("line breaks of other kinds in comments")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    breaks = itertools.cycle(_BREAKS)
    for line in lines:
        loose = line.comments and not line.damaged and not _HEADING.match(line.comments)
        yield replace(line, comments=line.comments.replace(" ", next(breaks), 1)).said() if loose else line.said()


@spelling("words turned round")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    for line in lines:
        plain = line.words is not None and len({k for k, _ in line.words}) == len(line.words)
        yield replace(line, words=line.words[::-1]).said() if plain and line.words else line.said()


# --- numbers ----------------------------------------------------------------------------------------------


def _numbers(change: Callable[[str, str], str], ours: str = "") -> Speller:
    """Write numbers otherwise; `ours` are the letters whose numbers stay."""

    def spell(lines: list[Line], _m: Machine) -> Iterator[str]:
        for line in lines:
            if line.words is None or line.damaged:
                yield line.said()
                continue
            words = [(k, change(k, v) if k not in (*ours, "#") and PLAIN.fullmatch(v) else v) for k, v in line.words]
            yield replace(line, words=words).said()

    return spell


def _split(number: str) -> tuple[str, str, str]:
    """Return sign, whole part and what follows the point."""
    sign = "-" if number.startswith("-") else ""
    whole, _, part = number.lstrip("+-").partition(".")
    return sign, whole, part


def _leading(letter: str, number: str) -> str:
    sign, whole, part = _split(number)
    return f"{sign}{whole.zfill(2 if letter in 'GM' else 3)}{'.' + part if part else ''}"


def _trailing(letter: str, number: str) -> str:
    sign, whole, part = _split(number)
    if letter in "GM":
        return f"{sign}{whole}.{part or '0'}"
    return f"{sign}{whole}.{part + '0' if part else ''}"


def _signed(letter: str, number: str) -> str:
    sign, whole, part = _split(number)
    if letter in "GM":
        return number
    whole = "" if whole in ("", "0") and part else whole
    return f"{sign or '+'}{whole}{'.' + part if part else ''}"


spelling("leading zeros")(_numbers(_leading))
spelling("trailing points and zeros")(_numbers(_trailing))
spelling("plus signs and bare points")(_numbers(_signed))


def _with_expressions(change: Callable[[str, str], str], ours: str) -> Speller:
    def spell(lines: list[Line], machine: Machine) -> Iterator[str]:
        if not control_of(machine).expressions:
            raise NotPossible("this control has no expressions")
        return _numbers(change, ours)(lines, machine)  # type: ignore[return-value]

    return spell


def _expression(_letter: str, number: str) -> str:
    rest = Decimal(number) - 1
    return f"[1{'+' if rest >= 0 else '-'}{abs(rest):f}]" if len(number) % 2 else f"[{number}]"


spelling("numbers as expressions")(_with_expressions(_expression, "GM"))
spelling("codes as expressions")(_with_expressions(lambda k, n: f"[{n}]" if k in "GM" else n, ""))


# --- what depends on where the program stands -------------------------------------------------------------


def _in_plane(line: Line, stand: Stand) -> bool:
    """Return whether a line is a plain absolute move in the plane from a known place."""
    if line.words is None or line.damaged or stand.x is None or stand.y is None or stand.incremental is not False:
        return False
    letters = [k for k, _ in line.words]
    moves = line.g in (["0"], ["1"], ["2"], ["3"]) or (not line.g and stand.motion in ("0", "1", "2", "3"))
    plain = all(PLAIN.fullmatch(v) for _, v in line.words)
    known = set(letters) <= set("GXYIJRF") and len(set(letters)) == len(letters)
    return moves and plain and known and bool({"X", "Y"} & set(letters))


@spelling("increments")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    """G91 around each stretch of moves in the plane."""
    inside = False
    known = list(standing(lines))
    able = [_in_plane(line, stand) for line, stand in known]
    if not any(a and b for a, b in itertools.pairwise(able)):
        raise NotPossible("no moves whose start is known")
    for k, (line, stand) in enumerate(known):
        now = able[k] and (inside or able[k + 1])
        if now != inside:
            yield "G91" if now else "G90"
        inside = now
        if not now:
            yield line.said()
            continue
        here = {"X": stand.x, "Y": stand.y}
        words = [(w, f"{Decimal(v) - here[w]:f}" if w in here else v) for w, v in line.words or ()]  # type: ignore[operator]
        yield replace(line, words=words).said()


@spelling("motion words left out")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    for line, stand in standing(lines):
        same = line.words is not None and line.g == [stand.motion] and stand.motion in ("0", "1", "2", "3")
        if same and {"X", "Y", "Z"} & {k for k, _ in line.words or ()} and not line.damaged:
            yield replace(line, words=[w for w in line.words or () if w[0] != "G"]).said()
        else:
            yield line.said()


@spelling("F on every line")
def _(lines: list[Line], _m: Machine) -> Iterator[str]:
    for line, stand in standing(lines):
        motion = next((g for g in line.g if g in MOTIONS), stand.motion if not line.g else None)
        feeds = motion in ("1", "2", "3", "31", "38.2") and {"X", "Y", "Z"} & {k for k, _ in line.words or ()}
        if feeds and stand.feed is not None and line.value("F") is None and not line.damaged:
            yield replace(line, words=[*(line.words or ()), ("F", stand.feed)]).said()
        else:
            yield line.said()


def _arc(line: Line, stand: Stand) -> tuple[Decimal, Decimal] | None:
    """Return I and J of an arc with its centre told from its start, None for all else."""
    motion = line.g[0] if len(line.g) == 1 else stand.motion if not line.g else None
    if motion not in ("2", "3") or line.words is None or line.damaged or line.value("R") is not None:
        return None
    i, j = line.value("I"), line.value("J")
    if (i is None and j is None) or not all(PLAIN.fullmatch(v) for _, v in line.words):
        return None
    return Decimal(i or "0"), Decimal(j or "0")


@spelling("arcs by radius")
def _(lines: list[Line], machine: Machine) -> Iterator[str]:
    close = 0.0001 if machine.inches else 0.001
    for line, stand in standing(lines):
        center = _arc(line, stand)
        by_radius = _radius(line, stand, center, close) if center and _in_plane(line, stand) else None
        if by_radius is None:
            yield line.said()
            continue
        words = [w for w in line.words or () if w[0] not in "IJF"]
        feed = [w for w in line.words or () if w[0] == "F"]
        yield replace(line, words=[*words, ("R", f"{by_radius:.6f}"), *feed]).said()


def _radius(line: Line, stand: Stand, center: tuple[Decimal, Decimal], close: float) -> float | None:
    """Return the radius of an arc under a half circle, None for others and for arcs that are none."""
    x, y = float(stand.x or 0), float(stand.y or 0)
    u, v = (float(line.value(k) or str(at)) for k, at in (("X", stand.x), ("Y", stand.y)))
    cx, cy = x + float(center[0]), y + float(center[1])
    r, end = math.dist((x, y), (cx, cy)), math.dist((u, v), (cx, cy))
    turn = math.atan2(v - cy, u - cx) - math.atan2(y - cy, x - cx)
    clockwise = (line.g or [stand.motion])[0] == "2"
    turn = (-turn if clockwise else turn) % (2 * math.pi)
    right = abs(r - end) < close and math.radians(1) < turn < math.radians(165)
    return (r + end) / 2 if right else None


@spelling("absolute centres")
def _(lines: list[Line], machine: Machine) -> Respelled:
    """G90.1 where the control has the word, else a machine whose control is set like this."""
    worded = bool(control_of(machine).arc_center_word)
    out, named = [], False
    for line, stand in standing(lines):
        if "90.1" in line.g:
            raise NotPossible("the program has absolute centres already")
        center = _arc(line, stand)
        if "91.1" in line.g:
            named = True
            line = replace(line, words=[(k, "90.1" if short(v) == "91.1" else v) for k, v in line.words or ()])
        elif center is not None:
            if stand.x is None or stand.y is None:
                raise NotPossible("where an arc begins is not known")
            words = [w for w in line.words or () if w[0] not in "IJF"]
            feed = [w for w in line.words or () if w[0] == "F"]
            told = [("I", f"{center[0] + stand.x:f}"), ("J", f"{center[1] + stand.y:f}")]
            line = replace(line, words=[*words, *told, *feed])
        out.append(line.said())
    if worded and not named:
        raise NotPossible("the program does not name its arc centres")
    return Respelled("\n".join(out) + "\n", machine if worded else replace(machine, arc_centers_absolute=True))


# --- several at once --------------------------------------------------------------------------------------


def _one_after_another(*names: str) -> Callable[[str, Machine], Respelled]:
    def whole(text: str, machine: Machine) -> Respelled:
        for name in names:
            done = SPELLINGS[name](text, machine)
            text, machine = done.text, done.machine
        return Respelled(text, machine)

    return whole


SPELLINGS["several at once"] = _one_after_another(
    "no comments", "motion words left out", "trailing points and zeros", "words turned round", "N words", "lower case"
)
