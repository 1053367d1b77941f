"""How this process runs: as suits work on large drawings."""

from __future__ import annotations

import gc

NEW_OBJECTS, YOUNG, MIDDLE = 50_000, 20, 20
"""A drawing is read into hundreds of thousands of objects that all stay: looking for rubbish after every 700 new ones,
as is usual, finds none and costs a tenth of the time."""


def collect_seldom() -> None:
    """Look for rubbish less often from now on."""
    gc.set_threshold(NEW_OBJECTS, YOUNG, MIDDLE)
