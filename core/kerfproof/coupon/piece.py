"""A kind of test piece, one piece made of it, and what its readings come to."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from kerfproof.box import Box
from kerfproof.coupon.readings import Asked, Readings
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.writer.program import Program
from kerfproof.proof.proof import Proof
from kerfproof.registry import load_folder
from kerfproof.sentence import Phrase
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine
from kerfproof.units import Kind as Quantity

Facts = Mapping[str, Any]
"""What must be known of a piece to read it: plain numbers, text and lists, written into the program's heading."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CouponRequest:
    """What a test piece is made for. `sizes` mm and `count` are what the person asked for; empty: as the kind has it.

    `vary` names what a start piece varies.
    """

    machine: Machine
    process: Process
    control: Dialect
    sizes: tuple[float, ...] = ()
    count: int | None = None
    vary: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Coupon:
    """A test piece: its program, the proof of that, and what to do with it.

    `guide` are sentences for the person, in order. `findings` are those of the proof, without what the piece means
    to try; `plate` is the box it needs.
    """

    kind: str
    program: Program
    proof: Proof
    facts: Facts
    plate: Box
    guide: tuple[Phrase, ...]
    findings: tuple[Finding, ...]
    tried: tuple[Finding, ...] = ()
    """Those of its findings that are what it tries on purpose."""

    @property
    def ok(self) -> bool:
        """Whether no finding is an error."""
        return all(f.severity is not Severity.ERROR for f in self.findings)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopChange:
    """A value that the readings give for a file of the shop.

    `file` is ``chart`` or ``machine``; `place` the keys down to the value (for a chart one key of the row); `value` in
    the inner unit of `quantity`, a whole number or a text where that is None.
    """

    file: str
    place: tuple[str, ...]
    value: float | str
    quantity: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CouponResult:
    """What the readings come to: `values` by name (mm, s, mm/min), lines for people, findings, what could be saved.

    `note` says in one line what was measured with what, for the file that the values go to.
    """

    values: Mapping[str, float]
    lines: tuple[tuple[str, Phrase], ...]
    findings: tuple[Finding, ...] = ()
    changes: tuple[ShopChange, ...] = ()
    note: str = ""

    @property
    def ok(self) -> bool:
        """Whether no finding is an error, so that the changes may be saved."""
        return all(f.severity is not Severity.ERROR for f in self.findings)


@dataclass(frozen=True, slots=True, kw_only=True)
class CouponKind:
    """One kind of test piece.

    `make` returns the piece for a bench. `asks` returns what may be read off a piece, from its facts. `solve` returns
    what readings of it come to. `meant` are the rules that its pieces may break on purpose.
    """

    name: str
    title: Phrase
    make: Callable[[CouponRequest], Coupon]
    asks: Callable[[Facts], tuple[Asked, ...]]
    solve: Callable[[Facts, Readings], CouponResult]
    meant: tuple[str, ...] = ()


def kinds() -> dict[str, CouponKind]:
    """Return all kinds of test pieces by name."""
    return {kind.name: kind for kind in load_folder("kerfproof.coupon.kinds", "COUPON").values()}


def kind_of(name: str) -> CouponKind:
    """Return the kind of test piece called `name`.

    Raises
    ------
    KerfproofError
        If there is none, with the names there are.
    """
    found = kinds().get(name.strip().lower())
    if found is None:
        raise KerfproofError(f"there is no test piece {name!r}", advice=f"there are {', '.join(kinds())}")
    return found
