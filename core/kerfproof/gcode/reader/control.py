"""The control: its modal state, and what each part of a line does to it (NISTIR 6556, 3.5 to 3.7)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kerfproof.gcode.reader import modes
from kerfproof.gcode.reader.arrange import Act, Travel
from kerfproof.gcode.reader.expression import Misread
from kerfproof.gcode.reader.frames import INCH, check_size
from kerfproof.gcode.reader.moves import Mover
from kerfproof.gcode.reader.recorder import Mark, Recorder
from kerfproof.gcode.trace import StartState, Step, World

_NO_WAY = 1e-9
"""mm; what rounding makes of a way of no length."""


class Control(Mover):
    """A control that executes arranged lines."""

    def __init__(self, language: modes.Language, start: StartState, world: World | None, rows: Recorder) -> None:
        super().__init__(language, start, world, rows)
        self.speed: float | None = None
        self.torch = self.word_lit = self.line_lit = start.torch
        """Whether the torch is on, lit by M3 or M4, lit by a line of the machine file."""
        self.end_word = ""
        self.waiting: tuple[Act, ...] = ()
        """What switches as the next motion begins."""
        self.words = {
            "units": "G20" if start.inches else "G21",
            "plane": f"G{start.plane}",
            "distance": "G91" if start.incremental else "G90",
            "feed_mode": "G93" if start.inverse_time else "G94",
            "compensation": "G41" if start.compensation else "G40",
            "length": "G49",
            "system": start.system,
            "path": "",
            "retract": "G98",
            "arc_center": "G90.1" if self.absolute_centers else "G91.1",
        }

    def modes(self) -> dict[str, str]:
        """Return the state as words, for `Trace.modes`."""
        return {
            "motion": modes.g_word(self.motion),
            **self.words,
            "torch": "on" if self.torch else "off",
            "datum": self.datum_state,
            "end": self.end_word,
        }

    def check_loose(self, loose: frozenset[str]) -> None:
        """Raise `Misread` if the motion word in force can't take letters that no other word takes."""
        left = loose - modes.LETTERS_OF_MOTION.get(self.motion, frozenset())
        if left:
            raise Misread(f"the word {min(left)} has nothing on this line to use it", min(left))

    def _changed(self, group: str, word: str) -> None:
        self.words[group] = word
        self.rows.change(self.line, group, word)

    # --- the parts of a line in order of execution (modes.ORDER) --------------------------------------

    def _do_feed_mode(self, word: str, values: tuple[int, None]) -> None:
        inverse = values[0] == 930
        if inverse != self.inverse_time:
            self.set_feed(0.0)  # the old F means nothing in the new mode
        self.inverse_time = inverse
        self._changed("feed_mode", word)

    def _do_feed(self, word: str, value: float) -> None:
        check_size("F", value)
        if self.inverse_time:
            self.rows.change(self.line, "feed", word)
        else:
            self.changed_feed(word, value * self.unit)

    def _do_speed(self, word: str, value: float) -> None:
        self.speed = value
        self.rows.change(self.line, "speed", word)

    def _do_tool(self, word: str, _value: float) -> None:
        self.row(Step.OUTPUT, word)

    def _do_tool_change(self, word: str, _value: int) -> None:
        self.row(Step.OUTPUT, word)

    def _do_torch(self, word: str, code: int) -> None:
        if code != 5:
            if self.speed is not None and word in ("M3", "M4"):
                word = f"{word} S{self.speed:g}"
            self._switch_torch(Step.TORCH_ON, word, True, self.line_lit)
        elif self.line_lit and not self.language.off_word:
            self._switch_torch(Step.OUTPUT, word, False, True)  # what an output has lit burns on
        else:
            self._switch_torch(Step.TORCH_OFF, word, False, False)

    def do_machine_line(self, text: str, purpose: str) -> None:
        """Do a line of the machine file: switch the torch if that is its purpose, else an output."""
        if purpose == modes.TORCH_ON:
            self._switch_torch(Step.TORCH_ON, text, self.word_lit, True)
        elif purpose == modes.TORCH_OFF:
            self._switch_torch(Step.TORCH_OFF, text, False, False)
        else:
            self.row(Step.OUTPUT, text)

    def _switch_torch(self, kind: Step, text: str, word_lit: bool, line_lit: bool) -> None:
        self.word_lit, self.line_lit, on = word_lit, line_lit, word_lit or line_lit
        self.row(kind, text)
        if on != self.torch:
            self.torch = on
            self.rows.marks.append((len(self.rows.kinds), Mark.TORCH, float(on)))

    def _do_coolant(self, word: str, _value: int) -> None:
        self.row(Step.OUTPUT, word)

    def _do_override(self, word: str, _value: int) -> None:
        self.row(Step.OUTPUT, word)

    def _do_output(self, word: str, _value: None) -> None:
        self.row(Step.OUTPUT, word)

    def _do_unknown(self, word: str, _value: None) -> None:
        self.row(Step.OUTPUT, word)

    def _do_dwell(self, word: str, value: float) -> None:
        check_size("P", value)
        self.dwell(value, word)

    def _do_plane(self, word: str, values: tuple[int, None]) -> None:
        if values[0] != 170:
            self._refuse_compensated("another plane", "G")
        self.plane = values[0] // 10
        self._changed("plane", word)

    def _do_units(self, word: str, values: tuple[int, None]) -> None:
        unit = INCH if values[0] in modes.INCHES else 1.0
        if unit != self.unit:
            self._refuse_compensated("a change of units", "G")
        self.unit = unit
        self._changed("units", "G20" if unit == INCH else "G21")

    def _do_compensation(self, word: str, values: tuple[int, float | None]) -> None:
        on = values[0] != 400
        if on and self.plane != 17:
            raise Misread("cutter compensation works in the XY plane only", "G")
        if on and self.compensation:
            raise Misread("cutter compensation is switched on while it is on", "G")
        if on:
            self.notes.append(("G", "cutter compensation is not followed here: the path is read as programmed"))
        self.compensation = on
        self._changed("compensation", word)

    def _do_length(self, word: str, values: tuple[int, float | None]) -> None:
        slot = round(values[1] or 0.0)
        length = 0.0
        if slot < len(self.start.tool_lengths):
            length = self.start.tool_lengths[slot]
        elif slot:
            self.notes.append(("H", f"the length in tool slot {slot} is not known here and is taken as 0"))
        self._changed("length", word)
        self.use_length(length if values[0] == 430 else 0.0, word)

    def _do_system(self, word: str, values: tuple[int, None]) -> None:
        if word != self.words["system"]:
            self._refuse_compensated("another coordinate system", "G")
        self._changed("system", word)
        self.use_system(values[0], word)

    def _do_path(self, word: str, _values: tuple[int, float | None]) -> None:
        self._changed("path", word)

    def _do_distance(self, word: str, values: tuple[int, None]) -> None:
        self.incremental = values[0] == 910
        self._changed("distance", word)

    def _do_arc_center(self, word: str, values: tuple[int, None]) -> None:
        self.absolute_centers = values[0] == 901
        self._changed("arc_center", word)

    def _do_retract(self, word: str, values: tuple[int, None]) -> None:
        self.return_to_level = values[0] == 990
        self._changed("retract", word)

    def _do_origin(self, word: str, values: tuple[int, dict[str, float]]) -> None:
        code, words = values
        if self.compensation and code != modes.SET_ORIGIN:
            self._refuse_compensated(modes.g_word(code), "G")
        if code in (modes.HOME, modes.HOME_2):
            self._switch_waiting()
            self.go_home(word, code, words)
            return
        self.rows.change(self.line, "origin", word)
        if code == modes.SHIFT:
            self.shift_to(words, word)
        elif code == modes.SET_ORIGIN:
            self.set_origin(words, word)
        elif code == modes.LOCAL_SHIFT:
            self.shift_locally(words, word)
        elif code == modes.SHIFT_RESTORE:
            self.restore_shift(word)
        else:
            self.clear_shift(word, forget=code == modes.SHIFT_CLEAR)

    def _refuse_compensated(self, what: str, at: str) -> None:
        """Raise if cutter compensation is on: the language forbids `what` then."""
        if self.compensation:
            raise Misread(f"{what} is an error with cutter compensation on", at)

    def _do_later(self, word: str, act: Act) -> None:
        if act.part == modes.MACHINE_LINE and act.values in modes.WAITING:
            self.row(Step.OUTPUT, word + modes.WAITING[act.values])
        self.waiting = (*self.waiting, act)

    def _switch_waiting(self) -> None:
        """Switch what waits for a motion, as one begins."""
        acts, self.waiting = self.waiting, ()
        for part, word, values in acts:
            DO[part](self, word, values)

    def _do_motion(self, _word: str, travel: Travel) -> None:
        if self.waiting and self._moves(travel):
            self._switch_waiting()
        self.travel(travel)

    def _moves(self, travel: Travel) -> bool:
        """Return whether a motion line leads anywhere: a control leaves out a way of no length."""
        code = self.motion if travel.code is None else travel.code
        if code not in (modes.RAPID, modes.FEED):
            return code != modes.CANCEL
        target = self.target(travel.words, travel.machine_frame)
        return max(abs(a - b) for a, b in zip(target, self.place, strict=True)) > _NO_WAY

    def _do_stop(self, word: str, code: int) -> None:
        if code in (2, 30):
            self.row(Step.END, word)
            self.end_word = word
        else:
            self.row(Step.OPTIONAL_STOP if code == 1 else Step.STOP, word)


DO: dict[str, Callable[[Control, str, Any], None]] = {
    modes.MACHINE_LINE: Control.do_machine_line,
    **{part: getattr(Control, f"_do_{part.replace(' ', '_')}") for part in modes.ORDER if part != modes.MACHINE_LINE},
}
"""What each part of a line does to a control; raises `Misread` if it can't be done, `Halt` if the control stops.

Functions, not a control's own methods: a control that holds itself would outlive its run with all its rows."""
