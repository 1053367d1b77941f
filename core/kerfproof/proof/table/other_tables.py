"""A program played on all tables but the one as it should be: which they are, and what goes wrong there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from kerfproof.box import Box
from kerfproof.errors import Finding, Severity, Watch
from kerfproof.gcode.reader.line_cache import Book
from kerfproof.proof.evidence.evidence import Evidence
from kerfproof.proof.evidence.simulated_table import Fault, reads_trip
from kerfproof.proof.rule import Hit, as_findings
from kerfproof.proof.table import scenario
from kerfproof.proof.table.follow import followed
from kerfproof.proof.table.play import Played, play
from kerfproof.proof.table.scenario import Scenario
from kerfproof.proof.table.shorten import Excerpt, Short, shorten, whole
from kerfproof.proof.table.unnoticed_faults import Heard
from kerfproof.sentence import say
from kerfproof.shop.profile import TouchOff

MOST_PLAYED, LEAST_FAULTS = 400_000, 100_000
"""So many lines are played in all, but at least so many with faults of the touch-off; what is beyond is left out."""
INHERITED = "state-inherited"
STALE_BY = 120.0
"""How far the Z frame of the stale control is off, mm."""
GENTLE = 0.2
"""A program that stops itself on a plate within the band is played on one that moves by this share of it."""
_SAME = 1e-6


class Field:
    """The other tables for one program."""

    def __init__(self, evidence: Evidence, clean: Played, book: Book) -> None:
        self.evidence, self.clean, self.book = evidence, clean, book
        self.short, self.base = self._shortened()
        self.box = _box(clean)
        self.lines = 0
        """So many have been played."""
        self.heard = Heard(evidence.control, clean)

    def findings(self, watch: Watch) -> Iterator[Finding]:
        """Give what goes wrong, table by table."""
        tables = self._tables()
        for number, table in enumerate(tables):
            watch("playing on other tables", 0.5 * number / len(tables))
            self._on(table, self.short)
        yield from self._follows()
        if self._finds:
            yield from self._faults(watch)
        yield from self.heard.findings()

    def _play(self, table: Scenario, excerpt: Excerpt) -> Played:
        e = self.evidence
        self.lines += len(excerpt.lines)
        return play(
            excerpt.text,
            e.control,
            e.machine,
            table,
            process=e.process,
            clean=self.base.trace,
            mode=e.mode,
            book=self.book,
        )

    def _on(self, table: Scenario, excerpt: Excerpt) -> None:
        """Hear what goes wrong on one table."""
        played = self._play(table, excerpt)
        found = [*played.findings, *_stopped(played)]
        if any(one.rule == INHERITED for one in found):
            kept = self._play(scenario.ended(table, self.evidence.machine), excerpt).findings
            left = [one for one in kept if one.rule == INHERITED]
            mild = [replace(one, severity=Severity.WARNING) for one in found if one.rule == INHERITED]
            found = [*(one for one in found if one.rule != INHERITED), *(left or mild)]
        self.heard.hear(played, [replace(one, line=excerpt.line(one.line)) for one in found])

    def _shortened(self) -> tuple[Short, Played]:
        """Return the text to play and its run on the nominal table: shortened where that changes nothing."""
        e, clean = self.evidence, self.clean
        short = shorten(e)
        if len(short.runs) == len(e.runs):
            return short, clean
        base = play(short.text, e.control, e.machine, clean.scenario, process=e.process, mode=e.mode, book=self.book)
        wanted = clean.trace.end[clean.light_rows[list(short.runs)]]
        got = base.trace.end[base.light_rows]
        if wanted.shape == got.shape and bool((np.abs(wanted - got) < _SAME).all()):
            return short, base
        return whole(e), clean

    @property
    def _finds(self) -> bool:
        """Whether the program finds the plate by itself."""
        e = self.evidence
        return e.mode in ("cut", "touch") and e.machine.touch_off is not TouchOff.NONE

    def _tables(self) -> list[Scenario]:
        """Return the tables under a control that was left stale, or that backs off."""
        e, back = self.evidence, self.evidence.control.control_back_off
        words = bool(e.control.arc_center_word)
        own = replace(e.machine, inches=e.trace.modes["units"] == "G20")  # the program's unit, not the machine's
        out = [
            scenario.stale(own, back, by, k, worded_centers=words, process=e.process)
            for by, k in ((STALE_BY, 0), (-STALE_BY, 4))
        ]
        if self._finds and reads_trip(e.control):
            out.append(scenario.backing_off(e.machine, back + 2.0, e.process))
        return out

    def _follows(self) -> Iterator[Finding]:
        """Give what does not go along where zero, torch and plate lie elsewhere."""
        for turn in range(len(scenario.ZEROS)):
            stopped = False
            for share in (1.0, GENTLE):
                table = self._elsewhere(turn, share)
                played = self._play(table, self.short)
                for finding in played.findings:
                    yield replace(finding, line=self.short.line(finding.line))
                for name, hit in followed(played, self.base, self.evidence.machine, self.evidence.mode):
                    severity = Severity.ERROR if stopped and played.trace.stopped else hit.severity
                    told = Hit(
                        say("on {table}: {what}", table=table.name, what=hit.message),
                        hit.advice,
                        hit.line,
                        hit.at,
                        severity,
                    )
                    for finding in as_findings(name, Severity.ERROR, [told]):
                        yield replace(finding, line=self.short.line(finding.line))
                stopped = played.trace.stopped is not None
                if not stopped:
                    break

    def _elsewhere(self, turn: int, share: float) -> Scenario:
        e = self.evidence
        own = replace(e.machine, inches=e.trace.modes["units"] == "G20")
        named = [change.word for change in e.changes("system")]
        system = named[0] if named else e.machine.work_offset
        return scenario.elsewhere(own, e.control.control_back_off, turn, system, self.box, share, e.process)

    def _faults(self, watch: Watch) -> Iterator[Finding]:
        """Give what goes wrong with faults of the touch-off, at one block of each kind before any that repeats one."""
        machine, back = self.evidence.machine, self.evidence.control.control_back_off
        tried, most = [*self.short.kinds, *self.short.repeats], max(MOST_PLAYED, self.lines + LEAST_FAULTS)
        for number, run in enumerate(tried):
            watch("playing on other tables", 0.5 + 0.5 * number / len(tried))
            excerpt, pierce = self._excerpt(run)
            faults = (Fault.MISSING, Fault.STUCK) if pierce == 1 or self._new_sheet(run) else tuple(Fault)
            for fault in faults if pierce else ():
                if self.lines + len(excerpt.lines) > most:
                    yield _in_part(len(self.short.kinds) - number)
                    return
                self._on(scenario.troubled(machine, back, fault, pierce, self.evidence.process), excerpt)

    def _new_sheet(self, run: int) -> bool:
        """Return whether a run of the short text is the first on another sheet: nothing is known of its height yet."""
        sheets, number = self.evidence.stock.plate_of, self.short.runs[run]
        return bool(number and sheets[number] != sheets[number - 1])

    def _excerpt(self, run: int) -> tuple[Excerpt, int]:
        """Return the text in which to try a fault at a run of the short text, and at which pierce.

        It is the first block and the run's own one up to the light, if that goes there as it does in the program.
        """
        e, base = self.evidence, self.base
        if 1 < run < len(base.light_rows):
            row = int(base.light_rows[run])
            beside = self.short.beside(run, int(base.trace.line[row]))
            alone = play(
                beside.text, e.control, e.machine, self.clean.scenario, process=e.process, mode=e.mode, book=self.book
            )
            self.lines += len(beside.lines)
            if alone.trace.stopped is None and len(alone.light_rows):
                last = int(alone.light_rows[-1])
                same = np.abs(alone.trace.end[last] - base.trace.end[row]).max() < _SAME
                if same and alone.trace.line[last] == len(beside.lines):
                    return beside, _pierce(alone, len(alone.light_rows) - 1)
        return self.short.through(run), _pierce(base, run)


def _stopped(played: Played) -> list[Finding]:
    """Return that a program stops itself where only the control moves back up otherwise after a trip."""
    table, stopped = played.scenario, played.trace.stopped
    if stopped is None or table.stale or table.trouble is not None:
        return []
    message = say("on {table}: the control stops here: {reason}", table=table.name, reason=stopped.told)
    advice = "go back to the trip before the datum, and reckon from the trip alone"
    return [Finding("program-stops-itself", Severity.ERROR, message, advice, stopped.line)]


def _box(played: Played) -> Box:
    """Return where a program moves, program coordinates."""
    if not len(played.trace):
        return 0.0, 0.0, 0.0, 0.0
    ends, (x, y) = played.trace.end, played.trace.xy_origin
    low, high = ([float(of(ends[:, axis])) for axis in (0, 1)] for of in (np.min, np.max))
    return low[0] - x, low[1] - y, high[0] - x, high[1] - y


def _pierce(played: Played, run: int) -> int:
    """Return the number of the pierce whose touch-off a run relies on, 0 if it relies on none."""
    if run >= len(played.light_rows):
        return 0
    before = np.searchsorted(played.probe_rows, played.light_rows[run])
    return played.searches[before - 1].pierce if before else 0


def _in_part(kinds: int) -> Finding:
    """Return that a program is too long to be played on every table; `kinds` of cuts were left out."""
    message = "the program is too long to be played on every table: faults of the touch-off were tried in part"
    if kinds > 0:
        message += f", and not at all at {kinds} kinds of cuts" if kinds > 1 else ", and not at one kind of cut"
    severity = Severity.WARNING if kinds > 0 else Severity.NOTE
    return Finding("played-in-part", severity, message, "prove it in pieces to be sure")
