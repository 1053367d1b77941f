"""How this process runs: as suits work on large drawings."""

from __future__ import annotations

import gc

NEW_OBJECTS, YOUNG, MIDDLE = 50_000, 20, 20
"""A drawing is read into hundreds of thousands of objects that all stay: looking for rubbish after every 700 new ones,
as is usual, finds none and costs a tenth of the time."""
IN_A_WINDOW = 250_000
"""Loading a window, planner and proof makes 200 000 objects that stay; a person waits meanwhile."""


def collect_seldom(new_objects: int = NEW_OBJECTS) -> None:
    """Look for rubbish less often from now on."""
    gc.set_threshold(new_objects, YOUNG, MIDDLE)
