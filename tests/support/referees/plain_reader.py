"""A small reading of whole programs for outside checks, after NISTIR 6556: what each line does, as plain tuples.

Two texts that do the same give the same reading, however they are spelled. Nothing here is taken from the product.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from functools import cache

from kerfproof.shop.profile import Machine

Act = tuple[str, tuple[float, ...]]
Reading = list[Act]
_COMMENT = re.compile(r"\([^()]*\)")
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)")
_CLOSE = 0.002
_ARCS, _MOTIONS = (2.0, 3.0), (0.0, 1.0, 2.0, 3.0, 31.0, 38.2, 80.0)
_PROBES = (31.0, 38.2)


class Unread(Exception):
    """The line is not plain."""


@dataclass
class _State:
    absolute_centers: bool
    unit: float = 1.0
    incremental: bool = False
    motion: float = 80.0
    feed: float = 0.0
    at: dict[str, float] = field(default_factory=lambda: {"X": 0.0, "Y": 0.0, "Z": 0.0})
    """Work coordinates in program units."""
    top: float = -40.0
    """Where a search trips at no speed, in work coordinates: the faster, the later it is noted."""
    parameters: dict[int, float] = field(default_factory=dict)


def read_plainly(text: str, machine: Machine) -> Reading:
    """Return what the lines of a program do, in order."""
    state = _State(bool(machine.arc_centers_absolute))
    acts: Reading = []
    semicolons = machine.dialect in ("compact", "compact_offset", "skip")
    for raw in re.split(r"\r\n|\r|\n", text):
        line = _COMMENT.sub("", raw)
        line = line.split(";")[0] if semicolons else line
        code = re.sub(r"^(/?)N\d{1,5}", r"\1", re.sub(r"[ \t]", "", line).upper())
        if not code:
            continue
        try:
            _do(code, state, acts)
        except (Unread, ValueError, ZeroDivisionError, SyntaxError):
            acts.append((f"unread {code}", ()))
        if acts and acts[-1][0] in ("M2", "M30"):
            break
    return acts


def same_reading(one: Reading, other: Reading) -> str:
    """Return where two readings differ, empty if they do not."""
    for k, ((word, values), (word2, values2)) in enumerate(zip(one, other, strict=False)):
        near = len(values) == len(values2) and all(map(_near, values, values2))
        if word != word2 or not near:
            return f"act {k} is {word} {values}, not {word2} {values2}"
    return "" if len(one) == len(other) else f"{len(one)} acts, not {len(other)}"


def _near(a: float, b: float) -> bool:
    return abs(a - b) < _CLOSE or (math.isnan(a) and math.isnan(b))


def _do(code: str, state: _State, acts: Reading) -> None:
    guard = re.fullmatch(r"/?IF\[(.+)(LT|GT)(.+)\]THEN#(\d+)=(\d+)", code)
    if guard:
        acts.append((f"guard {guard[2]} {guard[4]}", (_worth(guard[1], state), _worth(guard[3], state))))
        return
    slash = "/" if code.startswith("/") else ""
    g_words, m_words, words = _words(code.removeprefix("/"), state, acts)
    acts += [(slash + word, ()) for word in ([slash + "line"] if slash else [])]
    if "F" in words:
        state.feed = words.pop("F")
    if 4.0 in g_words:
        acts.append(("dwell", (words.pop("P"),)))
    owned = any(code in (92.0, 10.0, 52.0, 28.0, 30.0) for code in g_words)
    for m in m_words:
        own = sorted((k, v) for k, v in words.items() if (k in "PQLERS" and 62 <= m <= 68) or k == "S")
        acts.append((f"M{m:g}", tuple(v for _, v in own)))
    for g in sorted(g_words):
        _set_mode(g, state, acts, words)
    axes = {k: v for k, v in words.items() if k in "XYZ"}
    if owned:
        for g in (g for g in g_words if g in (92.0, 10.0, 52.0, 28.0, 30.0)):
            acts.append((f"origin {g:g} {sorted(words)}", tuple(words[k] for k in sorted(words))))
            if g in (92.0, 10.0):
                state.top += axes.get("Z", state.at["Z"]) - state.at["Z"]
                state.at |= axes
        return
    if axes:
        _move(53.0 in g_words, axes, words, state, acts)


def _words(code: str, state: _State, acts: Reading) -> tuple[list[float], list[float], dict[str, float]]:
    g_words: list[float] = []
    m_words: list[float] = []
    words: dict[str, float] = {}
    settings: list[tuple[int, float]] = []
    for letter, text, value in _parts(code):
        if letter == "#":
            settings.append((int(_worth(text, state)), _worth(value, state)))
        elif letter == "G":
            g_words.append(round(_worth(text, state), 6))
        elif letter == "M":
            m_words.append(round(_worth(text, state), 6))
        elif letter in words:
            raise Unread
        else:
            words[letter] = _worth(text, state)
    for number, worth in settings:
        state.parameters[number] = worth
        acts.append((f"#{number}", (worth,)))
    motions = [g for g in g_words if g in _MOTIONS]
    if len(motions) > 1:
        raise Unread
    if motions:
        state.motion = motions[0]
    return g_words, m_words, words


@cache
def _parts(code: str) -> tuple[tuple[str, str, str], ...]:
    """Return letter and text of the value of each word; of a setting ``#`` and both its values."""
    parts, at = [], 0
    while at < len(code):
        letter, text, value = code[at], _value_text(code, at + 1), ""
        at += 1 + len(text)
        if letter == "#":
            if code[at : at + 1] != "=":
                raise Unread
            value = _value_text(code, at + 1)
            at += 1 + len(value)
        elif not letter.isalpha() or letter in "ON" or not text:
            raise Unread
        parts.append((letter, text, value))
    return tuple(parts)


def _set_mode(g: float, state: _State, acts: Reading, words: dict[str, float]) -> None:
    if g in (90.0, 91.0):
        state.incremental = g == 91.0
    elif g in (90.1, 91.1):
        state.absolute_centers = g == 90.1
    elif g in (20.0, 21.0):
        unit = 25.4 if g == 20.0 else 1.0
        by, state.unit = state.unit / unit, unit
        state.at = {k: v * by for k, v in state.at.items()}
        state.top, state.feed = state.top * by, state.feed * by
        acts.append((f"G{g:g}", ()))
    elif g not in (*_MOTIONS, 4.0, 92.0, 10.0, 52.0, 28.0, 30.0, 53.0):
        own = [words[k] for k in "PHD" if k in words]
        acts.append((f"G{g:g}", tuple(own)))


def _move(in_machine: bool, axes: dict[str, float], words: dict[str, float], state: _State, acts: Reading) -> None:
    motion, start = state.motion, dict(state.at)
    end = {k: v + start[k] if state.incremental and not in_machine else v for k, v in axes.items()}
    end = start | end
    size = state.unit
    name = f"{'G53 ' if in_machine else ''}G{motion:g}"
    numbers = [end[k] * size for k in "XYZ"]
    if motion != 0.0:
        numbers.append(state.feed * size)
    if motion in _ARCS:
        numbers += [v * size for v in _middle(motion == 2.0, start, end, words, state)]
    elif motion in _PROBES:
        whole = end["Z"] - start["Z"]
        way = (max(end["Z"], state.top - state.feed / 6000) - start["Z"]) / whole if whole else 1.0
        end = {k: start[k] + (v - start[k]) * min(max(way, 0.0), 1.0) for k, v in end.items()}
        for k, letter in enumerate("XYZ"):
            state.parameters[5061 + k] = end[letter]
    state.at = end
    others = "".join(sorted(k for k in words if k not in "XYZIJR"))
    acts.append((f"{name} {others}".strip(), tuple(numbers)))


def _middle(
    clockwise: bool, start: dict[str, float], end: dict[str, float], words: dict[str, float], state: _State
) -> tuple[float, float]:
    """Return the point half way along an arc."""
    ax, ay, bx, by = start["X"], start["Y"], end["X"], end["Y"]
    if "R" in words:
        r, chord = words["R"], math.hypot(bx - ax, by - ay)
        if chord == 0 or abs(r) < chord / 2 * (1 - 1e-6):
            raise Unread
        rise = math.sqrt(max(r * r - chord * chord / 4, 0.0)) * (1 if (r > 0) != clockwise else -1)
        cx = (ax + bx) / 2 - (by - ay) / chord * rise
        cy = (ay + by) / 2 + (bx - ax) / chord * rise
    elif not {"I", "J"} & words.keys():
        raise Unread
    elif state.absolute_centers:
        cx, cy = words["I"] if "I" in words else math.nan, words["J"] if "J" in words else math.nan
    else:
        cx, cy = ax + words.get("I", 0.0), ay + words.get("J", 0.0)
    first, last = math.atan2(ay - cy, ax - cx), math.atan2(by - cy, bx - cx)
    turn = (first - last if clockwise else last - first) % (2 * math.pi)
    turn = turn if turn > 1e-6 else 2 * math.pi
    half = first + (-turn if clockwise else turn) / 2
    r = math.hypot(ax - cx, ay - cy)
    return cx + r * math.cos(half), cy + r * math.sin(half)


def _value_text(code: str, at: int) -> str:
    """Return the text of a value that begins here."""
    found = _NUMBER.match(code, at)
    if found:
        return found[0]
    found = re.match(r"[-+]?#\d+", code[at:])
    if found:
        return found[0]
    found = re.match(r"[-+]?(?:ABS|SQRT)?\[", code[at:])
    if not found:
        return ""
    depth, end = 1, at + len(found[0])
    while depth and end < len(code):
        depth += {"[": 1, "]": -1}.get(code[end], 0)
        end += 1
    if depth:
        raise Unread
    return code[at:end]


def _worth(text: str, state: _State) -> float:
    """Return the value of an expression."""
    if _NUMBER.fullmatch(text):
        return float(text)
    parts = re.findall(r"\d+\.?\d*|\.\d+|#|\[|\]|ABS|SQRT|[-+*/]", text)
    if "".join(parts) != text:
        raise Unread
    known = {"[": "(", "]": ")", "ABS": "abs", "SQRT": "root"}
    said = "".join(known.get(p, p) if not re.match(r"[\d.]", p) else repr(float(p)) for p in parts)
    said = re.sub(r"#([\d.]+)", lambda m: f"({state.parameters.get(int(float(m[1])), 0.0)!r})", said)
    root = lambda v: math.sqrt(v) if v >= 0 else math.nan  # noqa: E731
    return float(eval(said, {"__builtins__": {}}, {"abs": abs, "root": root}))
