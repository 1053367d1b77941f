"""The steps of a piece of work, to be taken back and done again. No Qt."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kerfproof_app.work.documents import Document, JobDocument

MOST_UNDO = 200


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the history: the work before and after, and what was done in a few words."""

    label: str
    before: Document
    after: Document


class History:
    """Steps done, and those taken back."""

    def __init__(self) -> None:
        self.done: list[Step] = []
        self.undone: list[Step] = []

    def did(self, label: str, before: Document, after: Document) -> None:
        """Note a step; what was taken back before can't be done again any more."""
        self.done = [*self.done[-MOST_UNDO + 1 :], Step(label, before, after)]
        self.undone = []

    def back(self, now: Document | None) -> Document | None:
        """Take the last step back and return the work before it; None if there is none."""
        if not self.done:
            return None
        self.undone.append(self.done.pop())
        return with_file(self.undone[-1].before, now)

    def again(self, now: Document | None) -> Document | None:
        """Do the step last taken back again and return the work after it; None if there is none."""
        if not self.undone:
            return None
        self.done.append(self.undone.pop())
        return with_file(self.done[-1].after, now)


def with_file(document: Document, now: Document | None) -> Document:
    """Return an older state that knows where it was saved since."""
    if not isinstance(document, JobDocument) or not isinstance(now, JobDocument):
        return document
    if now.path is None or document.path is not None or document.sources != now.sources:
        return document
    return replace(document, path=now.path, text=now.text)
