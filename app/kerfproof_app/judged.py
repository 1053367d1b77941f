"""What a program opened by itself comes to, in place of the outcome of a plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from kerfproof.outcome import Outcome

if TYPE_CHECKING:
    from kerfproof_app.proving import Proved


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Judged(Outcome):
    """A program opened by itself: no plan and no parts, but its proof, and the drawing under it if there is one."""

    proved: Proved
