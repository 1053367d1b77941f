"""Choices about drawings that a person has."""

from __future__ import annotations

from enum import StrEnum


class DrillKind(StrEnum):
    """How a place to drill is marked."""

    NONE = "none"
    """Not at all: points are listed, circles are cut."""
    PIERCE = "pierce"
    """By a short pierce."""
    CROSS = "cross"
    """By two short cuts that cross."""


class PageFrames(StrEnum):
    """What becomes of a rectangle round everything."""

    AUTO = "auto"
    """A certain page frame is left out, a doubtful one asked about."""
    CUT = "cut"
    IGNORE = "ignore"
