"""A command whose function declares its options, and what runs with them by name."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

import typer

Run = Callable[[dict[str, Any]], int]
"""Does what the options ask, by the names of the declared parameters, and returns the exit code."""


def command(declared: Callable[..., None], run: Run) -> Callable[..., None]:
    """Return the command with the options and the help of `declared` that hands them to `run`."""

    @wraps(declared)
    def called(**options: Any) -> None:
        raise typer.Exit(run(options))

    return called
