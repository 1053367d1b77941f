"""A program read as a controller would, from its text alone."""

from __future__ import annotations

import re
from collections.abc import Mapping

from kerfproof.errors import Watch, no_watch
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.reader.arrange import Act, Arranged, Note, Plain, Travel, arrange
from kerfproof.gcode.reader.batch_moves import Stretches
from kerfproof.gcode.reader.control import Control
from kerfproof.gcode.reader.expression import ORIGINS, Misread, evaluate, parameter_number
from kerfproof.gcode.reader.incremental import Again, Place, chunks
from kerfproof.gcode.reader.lexer import Line, Word, column, lines_of, one_kind_of_end, scan
from kerfproof.gcode.reader.line_cache import Book, Ready
from kerfproof.gcode.reader.moves import Halt
from kerfproof.gcode.reader.plain_moves import COMMENT, PLAIN, plain_line
from kerfproof.gcode.reader.recorder import Recorder
from kerfproof.gcode.reader.repeats import FEWEST, MOST_MISSES, MOST_STATES, Known, Watcher, state_of
from kerfproof.gcode.trace import StartState, Trace, Unread, World

STAGE = "read program"
_CHUNK = 4096
"""About so many lines are read between two questions whether to go on."""
_MOST_MISTAKES = 50_000
"""With so many mistakes a text is no program, and reading ends."""
_AFTER_END = "after the program end"

_NOTHING = Arranged((), (), frozenset())


def interpret(
    text: str,
    control: Dialect,
    *,
    world: World | None = None,
    start: StartState = StartState(),  # noqa: B008 - a frozen value
    lines: Mapping[str, str] = {},
    book: Book | None = None,
    again: Again | None = None,
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
    again
        What this reading may take from the last one, which was made with the same `control`, `start`, `lines` and
        world. It changes nothing but the time either.
    """
    return _Reader(book or Book(control, lines), world, start).read(text, watch, again)


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

    def read(self, text: str, watch: Watch, again: Again | None) -> Trace:
        text = one_kind_of_end(text)
        first, met = again.begin(self, text) if again else (Place(0, 0), {})
        at, number = first, first.lines
        for at, lines in chunks(text, first, met, _CHUNK):
            if again and again.meets(self, at, met.get(at.character)):
                break
            watch(STAGE, at.character / len(text))
            number = self._read_some(lines, at.lines)
            if self.rows.unlisted > _MOST_MISTAKES:
                self.rows.given_up = number
                break
            if self.done:
                break
        if self.done and self.stopped is None:
            self._note_rest(lines_of(text[at.character :])[number - at.lines :], number)
        watch(STAGE, 1.0)
        trace = self.rows.trace(self.control.modes(), self.stopped, text.count("\n") + (text[-1:] not in ("", "\n")))
        return again.whole(text, trace, complete=not self.rows.unlisted) if again else trace

    def _read_some(self, lines: list[str], before: int) -> int:
        """Read lines until one ends the program; return the number of the last line read."""
        control, limit, number, kept = self.control, self.dialect.line_limit, before, self.book.kept.get
        plain, comment, told = PLAIN.fullmatch, COMMENT.fullmatch, self.rows.comments.append
        follow = Stretches(lines, limit).follow
        done = before
        for number, line in enumerate(lines, before + 1):
            if number <= done or not line:
                continue
            ready = kept(line)
            control.line = number
            if ready is not None and ready.blind is not None and not control.waiting:
                done = number + self._repeated(line, lines, number - before - 1) - 1
                if self.done:
                    return done
                if number <= done:
                    continue
            if ready is None and len(line) <= limit:
                if line[0] == "(":
                    match = comment(line)
                    if match:
                        told((number, match[1].strip()))
                        self.seen_text = True
                        continue
                else:
                    done = number + follow(control, number - before - 1) - 1
                    match = plain(line) if done < number else None
                    if done >= number or (match and plain_line(control, *match.groups())):
                        self.seen_text = True
                        continue
            self._long_way(line, ready or self.book.open(line))
            if self.done:
                break
        return number

    def _repeated(self, first: str, lines: list[str], at: int) -> int:
        """Do the lines from index `at` on as they were done before; return how many, 0 if they must be read."""
        control, known = self.control, self.book.repeats.get(first)
        if known is None:
            known = self.book.repeats[first] = Known()
        if known.misses >= MOST_MISSES:
            return 0
        state = state_of(control)
        for repeat in known.repeats:
            if lines[at : at + len(repeat.lines)] == repeat.lines and repeat.fits(control, state):
                repeat.copy(control, control.line)
                self.seen_text, known.misses = True, 0
                return len(repeat.lines)
        if len(known.repeats) >= MOST_STATES:
            known.misses += 1
            return 0
        seen = self.book.blind_from(lines, at)
        if len(seen) < FEWEST:
            return 0
        watcher = Watcher(control, lines[at : at + len(seen)], seen)
        first_line = control.line
        for k, line in enumerate(watcher.lines):
            control.line = first_line + k
            self._long_way(line, self.book.kept[line])
            if self.done:
                return k + 1
        seen_now = watcher.repeat()
        if seen_now is not None:
            known.repeats.append(seen_now)
        return len(seen)

    # --- the long way: every line that is not plain -----------------------------------------------

    def _long_way(self, line: str, ready: Ready) -> None:
        control = self.control
        self.seen_text = self.seen_text or ready.says
        try:
            if ready.quick is not None:
                control.run(ready.quick)
            else:
                self._execute(line, ready)
        except Misread as fault:
            fault.__traceback__ = None  # the book may keep the fault, and it all of this run
            self._tell(line, ready.line, fault)
        except Halt as halt:
            self._stop(line, column(line, _place(ready.line, "G"), self.semicolons), str(halt))
        if control.notes:
            self._flush(line, ready.line)
        if control.end_word:
            self.done = True

    def _execute(self, line: str, ready: Ready) -> None:
        for comment in ready.comments:
            self.rows.comments.append((self.control.line, comment))
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
            self.control.run(arranged)

    def _work_out(self, line: str, parts: Line) -> Arranged:
        """Return a line with parameters as it reads now; its settings take effect together after all reading."""
        parameters = self.control.parameters
        words = [Plain(w.letter, evaluate(w.value, parameters), w.at) for w in parts.words]
        settings = [
            (parameter_number(evaluate(s.number, parameters), s.at), evaluate(s.value, parameters))
            for s in parts.settings
        ]
        if parameters.stale:
            self._tell_stale(line)
        arranged = arrange(words, self.language) if words else _NOTHING
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
