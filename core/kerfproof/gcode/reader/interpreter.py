"""A program read as a controller would, from its text alone."""

from __future__ import annotations

import re
from collections.abc import Mapping

from kerfproof.errors import Watch, no_watch
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.reader.arrange import Act, Arranged, Note, Plain, Travel, arrange
from kerfproof.gcode.reader.batch_moves import BatchMoves
from kerfproof.gcode.reader.control import DO, Control
from kerfproof.gcode.reader.expression import ORIGINS, Misread, evaluate, parameter_number
from kerfproof.gcode.reader.lexer import Line, Word, column, lines_of, scan
from kerfproof.gcode.reader.line_cache import NOTHING, Book, Ready
from kerfproof.gcode.reader.moves import Halt
from kerfproof.gcode.reader.recorder import Recorder
from kerfproof.gcode.trace import StartState, Trace, Unread, World

STAGE = "read program"
_CHUNK = 4096
"""So many lines are read between two questions whether to go on."""
_MOST_MISTAKES = 50_000
"""With so many mistakes a text is no program, and reading ends."""
_AFTER_END = "after the program end"


def interpret(
    text: str,
    control: Dialect,
    *,
    world: World | None = None,
    start: StartState = StartState(),  # noqa: B008 - a frozen value
    lines: Mapping[str, str] = {},
    book: Book | None = None,
    watch: Watch = no_watch,
) -> Trace:
    """Return what a control with this dialect does with the program `text`.

    The language is that of NISTIR 6556 with the differences that `control` names. Nothing in the text can make
    this fail: what a control would refuse is an entry in `Trace.unread`, and reading goes on behind it, so that
    all mistakes are listed. Only what stops a program while it runs (an expression without result, a guard, a
    missed touch-off) ends the trace, in `Trace.stopped`.

    Parameters
    ----------
    world
        What probing moves meet. Without one every probing move trips at its target and rests there, which the
        guards of a program may rightly refuse.
    start
        The control's state before the first line.
    lines
        Lines of the machine file by what they are for (``{"arc_wait": "M66 P0 L3 Q1"}``); a value may hold several
        lines. What switches the same in the text, however it is spelled, becomes one OUTPUT row with the machine
        file's words. The keys ``torch_on`` and ``torch_off`` name lines that switch the torch instead.
    book
        Lines taken apart before, for the same `control` and `lines`; a new one is made without. It changes nothing
        but the time that much the same text takes again.
    """
    return _Reader(book or Book(control, lines), world, start).read(lines_of(text), watch)


class _Reader:
    def __init__(self, book: Book, world: World | None, start: StartState) -> None:
        self.book = book
        self.dialect, self.language, self.semicolons = book.dialect, book.language, book.semicolons
        self.rows = Recorder(start)
        self.control = Control(self.language, start, world, self.rows)
        self.stopped: Unread | None = None
        self.done = False
        self.percent = 0
        self.seen_text = False
        self.told_block_delete = False

    def read(self, lines: list[str], watch: Watch) -> Trace:
        number = 0
        for before in range(0, len(lines), _CHUNK):
            watch(STAGE, before / len(lines))
            number = self._read_some(lines[before : before + _CHUNK], before)
            if self.rows.unlisted > _MOST_MISTAKES:
                self.rows.given_up = number
                break
            if self.done:
                break
        if self.done and self.stopped is None:
            self._note_rest(lines[number:], number)
        watch(STAGE, 1.0)
        return self.rows.trace(self.control.modes(), self.stopped, len(lines))

    def _read_some(self, lines: list[str], before: int) -> int:
        """Read lines until one ends the program; return the number of the last line read."""
        control, kept, comments = self.control, self.book.kept, self.rows.comments
        moves = BatchMoves(lines, self.dialect.line_limit)
        place = moves.place
        done = number = before
        for number, line in enumerate(lines, before + 1):
            if number <= done or not line:
                continue
            control.line = number
            if place[number - before - 1] >= 0:
                done = number + moves.follow(control, number - before - 1) - 1
                if done >= number:
                    self.seen_text = True
                    continue
            ready = kept.get(line) or self.book.open(line)
            if ready.comments:
                comments += [(number, comment) for comment in ready.comments]
            try:
                acts, _, loose = ready.fixed or self._as_it_stands(line, ready)
                if loose:
                    control.check_loose(loose)
                for part, word, values in acts:
                    DO[part](control, word, values)
            except Misread as fault:
                fault.__traceback__ = None  # the book may keep the fault, and it all of this run
                self._tell(line, ready.line, fault)
            except Halt as halt:
                self._stop(line, column(line, _place(ready.line, "G"), self.semicolons), str(halt))
            self.seen_text = self.seen_text or ready.says
            if control.notes:
                self._flush(line, ready.line)
            if control.end_word or self.done:
                self.done = True
                break
        return number

    def _as_it_stands(self, line: str, ready: Ready) -> Arranged:
        """Return what is left to do of a line that is not the same each time, and tell what is to be told of it."""
        if ready.fault:
            raise ready.fault
        if ready.percent:
            self._percent()
        elif ready.verbatim:
            purpose, text = ready.verbatim
            self.control.do_machine_line(text, purpose)
        elif ready.guard:
            reason = ready.guard.stops(self.control.parameters)
            self._tell_stale(line)
            if reason:
                raise Halt(reason)
        elif ready.line and not (ready.line.deletable and self._left_out(line)):
            arranged = ready.arranged or self._work_out(line, ready.line)
            if ready.varying:
                arranged = self._filled(line, arranged, ready.varying)
            for note in arranged.notes:
                self._note(line, note)
            return arranged
        return NOTHING

    def _work_out(self, line: str, parts: Line) -> Arranged:
        """Return a line with parameters as it reads now; its settings take effect together after all reading."""
        parameters = self.control.parameters
        words = [Plain(w.letter, evaluate(w.value, parameters), w.at) for w in parts.words] if parts.words else []
        settings = [
            (parameter_number(evaluate(s.number, parameters), s.at), evaluate(s.value, parameters))
            for s in parts.settings
        ]
        if parameters.stale:
            self._tell_stale(line)
        arranged = arrange(words, self.language) if words else NOTHING
        parameters.values.update(settings)
        for number, value in settings:
            if number in ORIGINS:
                self.rows.change(self.control.line, "parameter", f"#{number}={value:g}")
        return arranged

    def _filled(self, line: str, arranged: Arranged, varying: tuple[Word, ...]) -> Arranged:
        """Return the line with the numbers that its parameters give now in its motion."""
        parameters = self.control.parameters
        *others, motion = arranged.acts
        now = {word.letter: evaluate(word.value, parameters) for word in varying}
        if parameters.stale:
            self._tell_stale(line)
        code, words, machine_frame = motion.values
        travel = Travel(code, {**words, **now}, machine_frame)
        return Arranged((*others, Act(motion.part, motion.word, travel)), arranged.notes, arranged.loose)

    def _left_out(self, line: str) -> bool:
        if self.control.start.block_delete:
            return True
        if not self.told_block_delete:
            self.told_block_delete = True
            self._note(line, Note(0, "lines that begin with / are read as if the block-delete switch is off"))
        return False

    def _percent(self) -> None:
        if self.percent:
            self.control.end_word, self.done = "%", True
        elif self.seen_text:
            raise Misread("% must stand alone on the first line that is not empty", 0)
        self.percent += 1

    # --- telling ------------------------------------------------------------------------------------------

    def _tell(self, line: str, parts: Line | None, fault: Misread) -> None:
        if self.control.parameters.stale:
            self._tell_stale(line)
        at = fault.at if isinstance(fault.at, int) else _place(parts, fault.at)
        place = fault.column or column(line, at, self.semicolons)
        if fault.halts:
            self._stop(line, place, fault.reason)
        else:
            self.rows.note(self.control.line, place, line, fault.told, True)

    def _stop(self, line: str, place: int, reason: str) -> None:
        self.stopped = Unread(self.control.line, place, line.strip(), reason)
        self.done = True

    def _flush(self, line: str, parts: Line | None) -> None:
        for letter, reason in self.control.notes:
            self._note(line, Note(_place(parts, letter), reason))
        self.control.notes.clear()

    def _note(self, line: str, note: Note) -> None:
        self.rows.note(self.control.line, column(line, note.at, self.semicolons), line, note.reason, False)

    def _tell_stale(self, line: str) -> None:
        stale = self.control.parameters.stale
        for number in stale:
            found = re.search(rf"#{number}(?![0-9.=])", scan(line, self.semicolons).code)
            at = found.start() if found else 0
            self._note(line, Note(at, f"#{number} is read before the program sets it: it keeps a value from earlier"))
        stale.clear()

    def _note_rest(self, lines: list[str], last: int) -> None:
        for number, line in enumerate(lines, last + 1):
            if line.strip() and line.strip() != "%":
                place = len(line) - len(line.lstrip()) + 1
                self.rows.note(number, place, line, _AFTER_END, False)
                return


def _place(parts: Line | None, letter: str) -> int:
    """Return where the last word with this letter stands, else the first word, else the line's start."""
    words = parts.words if parts else ()
    found = [word.at for word in words if word.letter == letter]
    return found[-1] if found else words[0].at if words else 0
