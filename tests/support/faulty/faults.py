"""Faults to plant in a correct program, one at a time: what a slip of the hand, an editor or a bad offset would do.

Each changes what happens at the table: it moves the kerf edge by at least 0.1 mm, or changes a state, the order, a
height, a feed or a wait. A fault returns None where the block does not hold what it needs. They stand in `faulty`, by
what they change; each file enters its own in the table.
"""

from __future__ import annotations

import support.faulty.heights
import support.faulty.modes
import support.faulty.order
import support.faulty.path
import support.faulty.torch
import support.faulty.words  # noqa: F401
from support.faulty.judging import Verdict, judged, plant, respelled, said
from support.faulty.subject import FAULTS, Fault, Lines, Planted, Subject

__all__ = ["FAULTS", "Fault", "Lines", "Planted", "Subject", "Verdict", "judged", "plant", "respelled", "said"]
