"""Where the axes stand and what the program calls that place (NISTIR 6556, 3.2.2, 3.5.5, 3.5.18)."""

from __future__ import annotations

from kerfproof.gcode.reader import modes
from kerfproof.gcode.reader.expression import Misread, Parameters
from kerfproof.gcode.reader.recorder import Mark, Recorder
from kerfproof.gcode.trace import StartState, Step

INCH = 25.4
FARTHEST = 1e9
"""Words beyond this (in program units) are refused: no machine is that large, and sums would overflow."""
Place = tuple[float, float, float]


class Frames:
    """Place, units and origins. All mm; program coordinates = place (machine frame) - origin.

    The origin (`ox`, `oy`, `oz`) is the sum of the active work offset, the G92 shift and the tool length.
    """

    def __init__(self, start: StartState, rows: Recorder) -> None:
        self.start, self.rows = start, rows
        self.line = 0
        """Number of the line being executed."""
        self.x, self.y, self.z = (float(v) for v in start.position)
        self.unit = INCH if start.inches else 1.0
        self.incremental = start.incremental
        self.system = modes.SYSTEMS.index(round(float(start.system.removeprefix("G")) * 10))
        x, y, z = (own + further for own, further in zip(start.offset, start.apart, strict=True))
        self.offsets: list[Place] = [(x, y, z)] * len(modes.SYSTEMS)
        self.offsets[self.system] = start.offset
        self.shift: Place = start.shift
        self.elsewhere: Place = start.elsewhere
        self.local: Place = (0.0, 0.0, 0.0)
        """The shift of G52, where the dialect has it."""
        self.tool_length = 0.0
        self.ox = self.oy = self.oz = 0.0
        self.datum = -1
        self.datums_set = 0
        self.datum_state = "none"
        self.parameters = Parameters(self._first_parameters())
        self._move_origin()

    @property
    def place(self) -> Place:
        """Where the axes stand, machine frame."""
        return self.x, self.y, self.z

    def target(self, words: dict[str, float], machine_frame: bool = False) -> Place:
        """Return where axis words lead, machine frame.

        Raises
        ------
        Misread
            If a number is larger than any machine.
        """
        place = [self.x, self.y, self.z]
        base = self.place if self.incremental else (self.ox, self.oy, self.oz)
        if machine_frame:
            base = (0.0, 0.0, 0.0)
        for k, letter in enumerate("XYZ"):
            if letter in words:
                value = words[letter]
                if not -FARTHEST <= value <= FARTHEST:
                    check_size(letter, value)
                place[k] = base[k] + value * self.unit
        return place[0], place[1], place[2]

    def jump(self, place: Place) -> None:
        """Stand elsewhere without having moved there: the move itself was in error."""
        self.x, self.y, self.z = place
        self.rows.jumps.append((len(self.rows.kinds), place))

    def row(self, kind: Step, text: str) -> None:
        """Record a step that ends at the present place."""
        rows = self.rows
        rows.kinds.append(kind)
        rows.lines.append(self.line)
        rows.xs.append(self.x)
        rows.ys.append(self.y)
        rows.zs.append(self.z)
        rows.texts.append(text)

    def use_system(self, code: int, word: str) -> None:
        """Measure from the origin of another coordinate system from now on."""
        self.system, self.elsewhere = modes.SYSTEMS.index(code), (0.0, 0.0, 0.0)
        self.parameters.values[5220] = self.system + 1.0
        self._reframe(word, by_name=False)

    def use_length(self, length: float, word: str) -> None:
        """Add a tool length to the Z origin."""
        self.tool_length = length
        self._reframe(word, by_name=False)

    def shift_to(self, words: dict[str, float], word: str) -> None:
        """Make the present place read as the axis words say (G92)."""
        shift = self._read_as(words, self.shift, self.offsets[self.system])
        self.parameters.values.update({5211 + k: shift[k] / self.unit for k in range(3)})
        self.shift = shift
        self._reframe(word, by_name="Z" in words)

    def shift_locally(self, words: dict[str, float], word: str) -> None:
        """Shift the origin of all coordinate systems by the axis words (G52); 0 takes it away."""
        local = list(self.local)
        for k, letter in enumerate("XYZ"):
            if letter in words:
                check_size(letter, words[letter])
                local[k] = words[letter] * self.unit
        self.local = (local[0], local[1], local[2])
        self._reframe(word, by_name="Z" in words, clears=words.get("Z") == 0.0)

    def clear_shift(self, word: str, forget: bool) -> None:
        """Take the shift away (G92.1, G92.2); `forget` clears the parameters that could restore it."""
        self.shift = (0.0, 0.0, 0.0)
        if forget:
            self.parameters.values.update({5211 + k: 0.0 for k in range(3)})
        self._reframe(word, by_name=True, clears=True)

    def restore_shift(self, word: str) -> None:
        """Take the shift from its parameters (G92.3)."""
        x, y, z = (self.parameters.read(5211 + k) * self.unit for k in range(3))
        self.shift = (x, y, z)
        self._reframe(word, by_name=False)

    def set_origin(self, words: dict[str, float], word: str) -> None:
        """Set the origin of a coordinate system: in machine coordinates (L2), or so that the place reads (L20)."""
        number = round(words["P"]) - 1 if round(words["P"]) else self.system
        if words["L"] == 2.0:
            offset = list(self.offsets[number])
            for k, letter in enumerate("XYZ"):
                if letter in words:
                    check_size(letter, words[letter])
                    offset[k] = words[letter] * self.unit
            new = (offset[0], offset[1], offset[2])
        else:
            new = self._read_as(words, self.offsets[number], self.shift)
        self.offsets[number] = new
        self.parameters.values.update({5221 + 20 * number + k: new[k] / self.unit for k in range(3)})
        self._reframe(word, by_name="Z" in words and number == self.system)

    def _read_as(self, words: dict[str, float], old: Place, other: Place) -> Place:
        """Return the part of the origin that makes the present place read as `words`, the `other` part staying."""
        new, length = list(old), (self.local[0], self.local[1], self.local[2] + self.tool_length)
        for k, letter in enumerate("XYZ"):
            if letter in words:
                check_size(letter, words[letter])
                new[k] = self.place[k] - other[k] - length[k] - words[letter] * self.unit
        return new[0], new[1], new[2]

    def _reframe(self, word: str, *, by_name: bool, clears: bool = False) -> None:
        """Work out the origin; record a new Z frame if the word names it or it really moved.

        A frame that no touch-off made (a clear, another coordinate system) has datum -1.
        """
        before = self.oz
        self._move_origin()
        if not by_name and self.oz == before:
            return
        if by_name and not clears:
            self.datum, self.datums_set, self.datum_state = self.datums_set, self.datums_set + 1, "set"
        else:
            self.datum, self.datum_state = -1, "cleared"
        row = len(self.rows.kinds)
        self.rows.marks.append((row, Mark.ORIGIN, self.oz))
        self.rows.marks.append((row, Mark.DATUM, float(self.datum)))
        self.row(Step.DATUM, word)

    def _move_origin(self) -> None:
        offset, shift, local = self.offsets[self.system], self.shift, self.local
        self.ox, self.oy = offset[0] + shift[0] + local[0], offset[1] + shift[1] + local[1]
        self.ox, self.oy = self.ox + self.elsewhere[0], self.oy + self.elsewhere[1]
        self.oz = offset[2] + shift[2] + local[2] + self.tool_length

    def _first_parameters(self) -> dict[int, float]:
        known = {5211 + k: self.start.shift[k] / self.unit for k in range(3)}
        known |= {5221 + 20 * n + k: offset[k] / self.unit for n, offset in enumerate(self.offsets) for k in range(3)}
        return known | {5220: self.system + 1.0}  # where a search tripped is an earlier job's until this one searches


def check_size(letter: str, value: float) -> None:
    """Raise if a number is larger than any machine.

    Raises
    ------
    Misread
        At the word with this letter.
    """
    if abs(value) > FARTHEST:
        raise Misread("the number is larger than any machine", letter)
