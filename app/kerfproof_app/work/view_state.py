"""What is shown of a piece of work and looked at in it, and who is told when that changes. No Qt."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import Enum, auto
from typing import TYPE_CHECKING

from kerfproof.errors import Finding, KerfproofError
from kerfproof.sentence import Label, Phrase, said
from kerfproof_app.shop.preferences import Memory

if TYPE_CHECKING:
    from kerfproof.api import Moment, Timeline
    from kerfproof.outcome import Outcome


class Change(Enum):
    """What listeners to the session are told."""

    JOB = auto()
    OUTCOME = auto()
    STATE = auto()
    SELECTION = auto()
    MOMENT = auto()
    QUESTION = auto()
    """A drawing's unit is asked for, or no longer."""
    NOTICE = auto()
    """There is something to tell, or nothing any more."""
    UNITS = auto()
    """Lengths are shown in mm or in inches."""
    PREVIEW = auto()
    """The drawings can be seen, though there is no outcome yet."""
    TIP = auto()
    """What is counted of the torch's tip."""


Listener = Callable[[Change], None]


@dataclass(frozen=True, slots=True)
class Selection:
    """What is looked at: numbers of features, of a finding in `Session.findings`, of a program line (from 1).

    `loose` are numbers in `kerfproof_app.work.uncut_chains.uncut_of` of the outcome: chains that are not cut.
    """

    features: tuple[int, ...] = ()
    finding: int | None = None
    line: int | None = None
    loose: tuple[int, ...] = ()


class View:
    """An outcome, what of it is looked at, and the listeners, who are told of every change."""

    def __init__(self, memory: Memory | None = None) -> None:
        self.memory = memory or Memory()
        self.outcome: Outcome | None = None
        self.noticed: Phrase = ""
        self.selection = Selection()
        self.moment_s = 0.0
        self.shown_inches = bool(self.memory.get("inches", False))
        self._listeners: list[Listener] = []
        self._timeline: tuple[Outcome, Timeline] | None = None

    def listen(self, listener: Listener) -> Callable[[], None]:
        """Call `listener` at every change; return what ends that."""
        self._listeners.append(listener)

        def stop(*_: object) -> None:
            if listener in self._listeners:
                self._listeners.remove(listener)

        return stop

    def tell(self, *changes: Change) -> None:
        """Tell all listeners."""
        for change in changes:
            for listener in tuple(self._listeners):
                listener(change)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings on the outcome shown."""
        return self.outcome.findings if self.outcome else ()

    @property
    def timeline(self) -> Timeline | None:
        """The program shown laid out over time."""
        if self.outcome is None or self.outcome.proof is None:
            return None
        if self._timeline is None or self._timeline[0] is not self.outcome:
            from kerfproof.api import timeline_of

            made = timeline_of(self.outcome.proof.trace, self.outcome.machine)
            self._timeline = (self.outcome, made)
        return self._timeline[1]

    @property
    def moment(self) -> Moment | None:
        """The program at the scrubber."""
        line = self.timeline
        return None if line is None else line.at(self.moment_s)

    def select(
        self,
        features: tuple[int, ...] = (),
        finding: int | None = None,
        line: int | None = None,
        loose: tuple[int, ...] = (),
    ) -> None:
        """Look at some features, a finding, a line or chains that are not cut."""
        chosen = Selection(features, finding, line, loose)
        if chosen != self.selection:
            self.selection = chosen
            self.tell(Change.SELECTION)

    def go_to(self, seconds: float) -> None:
        """Move the scrubber."""
        line = self.timeline
        held = 0.0 if line is None else min(max(seconds, 0.0), line.seconds)
        if held != self.moment_s:
            self.moment_s = held
            self.tell(Change.MOMENT)

    def show_inches(self, inches: bool) -> None:
        """Show lengths in inches or millimetres."""
        if inches != self.shown_inches:
            self.shown_inches = inches
            self.memory.put("inches", inches)
            self.tell(Change.UNITS)

    def said(self, text: Phrase | Label) -> str:
        """Return a sentence in the unit shown."""
        return str(said(text, self.shown_inches))

    @property
    def notice(self) -> str:
        """What the person was told last, lengths in mm."""
        return str(self.noticed)

    def say(self, text: Phrase) -> None:
        """Tell the person something; empty takes the last back."""
        self.noticed = text
        self.tell(Change.NOTICE)

    @contextmanager
    def saying_why_not(self) -> Iterator[None]:
        """Tell the person what is refused inside, and go on behind it."""
        try:
            yield
        except KerfproofError as error:
            self.say(error.phrase())
