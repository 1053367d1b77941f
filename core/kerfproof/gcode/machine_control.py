"""The control of a machine: its dialect with the machine's own settings."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from kerfproof.errors import KerfproofError
from kerfproof.gcode.dialect import Dialect
from kerfproof.registry import load_folder
from kerfproof.shop.profile import Machine

_CENTRE_WORDS = {True: "G90.1", False: "G91.1"}


def dialects() -> dict[str, Dialect]:
    """Return all dialects by name."""
    return load_folder("kerfproof.gcode.dialects", "DIALECT")


def dialect_of(name: str) -> Dialect:
    """Return the dialect called `name`; a hyphen is as good as an underscore.

    Raises
    ------
    KerfproofError
        If there is none, with the names there are.
    """
    known = dialects()
    found = known.get(name.strip().lower().replace("-", "_"))
    if found is None:
        raise KerfproofError(f'there is no dialect "{name}"', advice=f"there are {', '.join(known)}")
    return found


def control_of(machine: Machine) -> Dialect:
    """Return the machine's dialect with what the machine file changes in it.

    Arc centres, dwell unit and end word as the machine says; a dialect that states the arc-centre mode states
    the one in force. In exact path mode the blend word is the exact word.

    Raises
    ------
    KerfproofError
        If the machine names a dialect that does not exist.
    """
    dialect = dialect_of(machine.dialect)
    changes: dict[str, Any] = {}
    absolute = machine.arc_centers_absolute
    if absolute is not None:
        changes["arc_centers_absolute"] = absolute
        if dialect.arc_center_word in _CENTRE_WORDS.values():
            changes["arc_center_word"] = _CENTRE_WORDS[absolute]
    if machine.dwell_in_ms is not None:
        changes["dwell_in_ms"] = machine.dwell_in_ms
    if machine.end_word:
        changes["end_word"] = machine.end_word
    if machine.path_tolerance is None:
        changes["path_blend_word"] = dialect.path_exact_word
    return replace(dialect, **changes)
