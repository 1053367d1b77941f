"""One line sorted: which modal words it holds, in which order they act, and what is wrong with it by itself.

Longer than most files: a word may belong to several parts of a line, so all parts are sorted in one place.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from kerfproof.gcode.reader import modes
from kerfproof.gcode.reader.expression import NEAR_INTEGER, Misread
from kerfproof.gcode.reader.lexer import KNOWN_LETTERS


class Plain(NamedTuple):
    """A word whose value is worked out."""

    letter: str
    value: float
    at: int


class Act(NamedTuple):
    """One thing to do: the part of `modes.ORDER` that it belongs to, the word, and its values."""

    part: str
    word: str
    values: Any


class Travel(NamedTuple):
    """A motion or probing line: the motion code if the line names one, its words, and G53."""

    code: int | None
    words: dict[str, float]
    machine_frame: bool


class Note(NamedTuple):
    """Something in the line that is not understood but does not stop it."""

    at: int
    reason: str


class Arranged(NamedTuple):
    """A line ready to be executed."""

    acts: tuple[Act, ...]
    notes: tuple[Note, ...]
    loose: frozenset[str]
    """Letters that only the motion word in force can take."""


def arrange(words: Sequence[Plain], language: modes.Language) -> Arranged:
    """Return the words as acts in order of execution.

    Raises
    ------
    Misread
        If the words contradict each other or one of them lacks what it needs.
    """
    sorter = _Sorter(words, language)
    acts = sorter.acts()
    return Arranged(tuple(acts), tuple(sorter.notes), sorter.loose(acts))


def plain_number(value: float) -> str:
    """Return a number as people write it in a program: no trailing zeros, no minus zero."""
    if abs(value) >= 1e9:
        return f"{value:g}"
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class _Sorter:
    def __init__(self, words: Sequence[Plain], language: modes.Language) -> None:
        self.language = language
        self.values: dict[str, float] = {}
        self.places: dict[str, int] = {}
        self.groups: dict[str, int] = {}
        self.group_at: dict[str, int] = {}
        self.notes: list[Note] = []
        self.unknown: list[str] = []
        self.unknown_g: int | None = None
        self.taken: set[str] = set()
        self.m_words = 0
        self.outputs = [round(w.value) for w in words if w.letter == "M" and round(w.value) in language.outputs]
        for word in words:
            self._take(word)
        self._check_signs()

    def _take(self, word: Plain) -> None:
        if word.letter == "G":
            self._take_g(word)
        elif word.letter == "M":
            self._take_m(word)
        elif word.letter not in KNOWN_LETTERS and not (word.letter in modes.OUTPUT_LETTERS and self.outputs):
            self.notes.append(Note(word.at, f"the letter {word.letter} is not in the language"))
            self.unknown.append(f"{word.letter}{plain_number(word.value)}")
        elif word.letter in self.values:
            raise Misread(f"two {word.letter} words on one line", word.at)
        else:
            self.values[word.letter] = word.value
            self.places[word.letter] = word.at

    def _take_g(self, word: Plain) -> None:
        code = round(word.value * 10) if abs(word.value) < modes.BEYOND_WORDS else modes.BEYOND_WORDS
        group = self.language.g_groups.get(code) if abs(word.value * 10 - code) < NEAR_INTEGER * 10 else None
        if group is None:
            self.unknown_g = word.at
            self._take_unknown(word)
        else:
            self._take_group(group, code, word.at)

    def _take_m(self, word: Plain) -> None:
        self.m_words += 1
        if self.m_words > modes.MOST_M_WORDS:
            raise Misread(f"more than {modes.MOST_M_WORDS} M words on one line", word.at)
        code = round(word.value)
        if code in self.outputs and abs(word.value - code) < NEAR_INTEGER:
            self.places[f"M{code}"] = word.at
            return
        group = modes.M_GROUPS.get(code) if abs(word.value - code) < NEAR_INTEGER else None
        if group is None:
            self._take_unknown(word)
        else:
            self._take_group(group, code, word.at)

    def _take_unknown(self, word: Plain) -> None:
        shown = f"{word.letter}{plain_number(word.value)}"
        self.notes.append(Note(word.at, f"the word {shown} is not known here"))
        self.unknown.append(shown)

    def _take_group(self, group: str, code: int, at: int) -> None:
        if group in self.groups:
            raise Misread("two words of the same modal group on one line", at)
        self.groups[group] = code
        self.group_at[group] = at

    def _check_signs(self) -> None:
        for letter in "FS":
            if self.values.get(letter, 0.0) < 0:
                raise Misread(f"{letter} must not be negative", self.places[letter])
        for letter in "TDHL":
            value = self.values.get(letter, 0.0)
            if value < 0 or abs(value - round(value)) > NEAR_INTEGER:
                raise Misread(f"{letter} must be a whole number, 0 or more", self.places[letter])

    # --- what the line does, part by part -----------------------------------------------------------------

    def acts(self) -> list[Act]:
        acts: list[Act] = []
        for part, letter in (("feed", "F"), ("speed", "S"), ("tool", "T")):
            if letter in self.values:
                acts.append(Act(part, f"{letter}{plain_number(self.values[letter])}", self.values[letter]))
        for group, code in self.groups.items():
            if group in modes.M_PARTS:
                acts.append(Act(group, self._m_text(group, code), code))
            elif group not in (modes.MOTION, modes.NOT_MODAL):
                acts.append(self._modal(group, code))
        acts += self._output_acts()
        if self.unknown:
            acts.append(Act("unknown", " ".join(self.unknown), None))
        acts += self._not_modal()
        acts += self._motion()
        if self.language.machine:
            acts = _as_machine_lines(acts, self.language.machine)
            self._note_undeclared(acts)
        if modes.LATE.intersection(self.outputs):
            acts = [_later(act) if _late(act) else act for act in acts]
        acts.sort(key=_turn)
        return acts

    def _output_acts(self) -> list[Act]:
        """Return the outputs of the line, each with the words that only outputs take here."""
        if not self.outputs:
            return []
        free = modes.OUTPUT_LETTERS - {"S"} if "torch" in self.groups else modes.OUTPUT_LETTERS
        own = {k: self.values[k] for k in "PQLERS" if k in self.values and k in free}
        if len(self.outputs) > 1:
            raise Misread("two output words on one line", self.places[f"M{self.outputs[1]}"])
        for code in self.outputs:
            if code in modes.DIGITAL and "P" not in own:
                raise Misread(f"M{code} needs P", self.places[f"M{code}"])
        self.taken |= own.keys()
        tail = "".join(f" {k}{plain_number(value)}" for k, value in own.items())
        return [Act("output", f"M{code}{tail}", (code, own)) for code in self.outputs]

    def _note_undeclared(self, acts: Sequence[Act]) -> None:
        """Note an M word that only lines of the machine file have, but not with these words of its own."""
        for act in acts:
            if act.part == "output" and act.values[0] in self.language.declared:
                self.notes.append(Note(self.places[f"M{act.values[0]}"], f"the word {act.word} is not known here"))

    def loose(self, acts: Sequence[Act]) -> frozenset[str]:
        """Return the letters that only an inherited motion word can use; raise if nothing can."""
        left = (self.values.keys() & modes.NEED_OWNER) - self.taken
        explicit = self.groups.get(modes.MOTION)
        if explicit is None and any(act.part == modes.MOTION for act in acts):
            return frozenset(left)
        if explicit is not None:
            left -= modes.LETTERS_OF_MOTION.get(explicit, frozenset())
        if left and not self.unknown:
            letter = min(left)
            raise Misread(f"the word {letter} has nothing on this line to use it", self.places[letter])
        return frozenset()

    def _m_text(self, group: str, code: int) -> str:
        text = f"M{code}"
        if group == "torch" and "S" in self.values:
            text += f" S{plain_number(self.values['S'])}"
        return text

    def _modal(self, group: str, code: int) -> Act:
        word = modes.g_word(code)
        letter = {410: "D", 420: "D", 430: "H", 640: "P" if self.language.blend_takes_tolerance else ""}.get(code, "")
        if code == 640 and self.groups.get(modes.NOT_MODAL) in (modes.DWELL, modes.SET_ORIGIN):
            letter = ""  # the P is theirs
        if code == 430 and "H" not in self.values:
            raise Misread("G43 needs H", self.group_at[group])
        if letter not in self.values:
            return Act(group, word, (code, None))
        self.taken.add(letter)
        return Act(group, f"{word} {letter}{plain_number(self.values[letter])}", (code, self.values[letter]))

    def _not_modal(self) -> list[Act]:
        code = self.groups.get(modes.NOT_MODAL)
        if code is None or code == modes.MACHINE_FRAME:
            return []
        at = self.group_at[modes.NOT_MODAL]
        if code == modes.DWELL:
            return [self._dwell(at)]
        if code in modes.USE_AXES and self.groups.get(modes.MOTION, modes.CANCEL) != modes.CANCEL:
            raise Misread(f"{modes.g_word(code)} and a motion word both want the axis words", at)
        values = {k: v for k, v in self.values.items() if k in modes.AXES} if code in modes.USE_AXES else {}
        if code == modes.SHIFT and not values and not modes.ROTARY & self.values.keys():
            raise Misread("G92 needs at least one axis word", at)
        if code == modes.SET_ORIGIN:
            values |= self._origin_words(at)
        words = [modes.g_word(code), *(f"{k}{plain_number(values[k])}" for k in "LPXYZ" if k in values)]
        return [Act("origin", " ".join(words), (code, values))]

    def _origin_words(self, at: int) -> dict[str, float]:
        kind, number = self.values.get("L"), self.values.get("P")
        if kind not in (2.0, 20.0):
            raise Misread("G10 needs L2 or L20", at)
        lowest = 1 if kind == 2.0 else 0
        if number is None or abs(number - round(number)) > NEAR_INTEGER or not lowest <= round(number) <= 9:
            raise Misread("G10 needs P1 to P9", at)
        self.taken |= {"L", "P"}
        return {"L": kind, "P": number}

    def _dwell(self, at: int) -> Act:
        time = self.values.get("P")
        if time is None:
            raise Misread("G4 needs P", at)
        if time < 0:
            raise Misread("a dwell must not be negative", self.places["P"])
        self.taken.add("P")
        return Act("dwell", f"G4 P{plain_number(time)}", time)

    def _motion(self) -> list[Act]:
        explicit = self.groups.get(modes.MOTION)
        not_modal = self.groups.get(modes.NOT_MODAL)
        axes = modes.AXES & self.values.keys()
        at = self.group_at.get(modes.MOTION, 0)
        if axes and self.unknown_g is not None:
            raise Misread("the motion is left out: the line has a G word that is not known here", self.unknown_g)
        for letter in sorted(modes.ROTARY & self.values.keys()):
            self.notes.append(Note(self.places[letter], f"the axis {letter} is not part of this table"))
        if not axes and not_modal == modes.MACHINE_FRAME:
            raise Misread("G53 needs at least one axis word", self.group_at[modes.NOT_MODAL])
        if not_modal in modes.USE_AXES:
            return [Act(modes.MOTION, "G80", Travel(explicit, {}, False))] if explicit is not None else []
        if explicit == modes.CANCEL:
            if axes:
                raise Misread("axis words without a motion word to use them (G80)", at)
            return [Act(modes.MOTION, "G80", Travel(explicit, {}, False))]
        if explicit is not None and not axes:
            raise Misread(f"{modes.g_word(explicit)} needs at least one axis word", at)
        if not axes:
            return []
        words = {k: v for k, v in self.values.items() if k in modes.MOTION_LETTERS}
        word = "" if explicit is None else modes.g_word(explicit)
        return [Act(modes.MOTION, word, Travel(explicit, words, not_modal == modes.MACHINE_FRAME))]


def _as_machine_lines(acts: list[Act], lines: Sequence[modes.MachineLine]) -> list[Act]:
    """Return acts with what lines of the machine file switch as one act each, whatever their words are.

    Of a line that lights the torch any part is enough: it may be lit.
    """
    keys = [modes.switched(act.part, act.values) for act in acts]
    gone: set[int] = set()
    found: list[Act] = []
    for line in lines:
        hit = [k for k, key in enumerate(keys) if key is not None and _does(line, key)]
        if hit and (line.purpose == modes.TORCH_ON or line.switches <= {keys[k] for k in hit}):
            gone |= set(hit)
            torch = line.purpose in (modes.TORCH_ON, modes.TORCH_OFF)  # told as written: which word it is matters
            text = " ".join(acts[k].word for k in hit) if torch else line.text
            one = Act(modes.MACHINE_LINE, text, line.purpose)
            waits = [_late(acts[k]) for k in hit]
            # What lights by any of its parts does so with the first of them.
            late = all(waits) if line.purpose == modes.TORCH_ON else any(waits)
            found.append(_later(one) if late else one)
    return [act for k, act in enumerate(acts) if k not in gone] + found


def _does(line: modes.MachineLine, key: tuple[Any, ...]) -> bool:
    """Return whether a switch is one of a line; an analog torch output lights at any value."""
    if key in line.switches:
        return True
    lights = line.purpose == modes.TORCH_ON and key[:2] == ("output", "E") and bool(key[3])
    return lights and any(own[:3] == key[:3] for own in line.switches)


def _late(act: Act) -> bool:
    """Return whether an act is an output that waits for the next motion."""
    return act.part == "output" and act.values[0] in modes.LATE


def _later(act: Act) -> Act:
    return Act(modes.LATER, act.word, act)


def _turn(act: Act) -> int:
    return modes.TURN[act.part]
