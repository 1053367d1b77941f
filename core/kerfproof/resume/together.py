"""Two programs judged as one: what was cut before, and the program that goes on with it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.cutplan import Cut, CutPlan
from kerfproof.dialect import Dialect
from kerfproof.errors import Finding, RuleChoice, Watch
from kerfproof.geom.path import Path
from kerfproof.job import Rests
from kerfproof.machine.chart import Process
from kerfproof.machine.profile import Machine
from kerfproof.motion.writer import write
from kerfproof.parts.contour import Contour
from kerfproof.toolpath.build import with_travel
from kerfproof.verify.proof import Proof
from kerfproof.verify.prove import prove
from kerfproof.verify.rule import all_rules

Box = tuple[float, float, float, float]

ROOM = 20.0
"""A plate whose size nobody knows is taken to reach so far beyond the cuts, mm."""
HISTORY = frozenset(
    {
        "arc-crosses-gap", "cut-may-hang", "hole-after-outline", "lead-through-kept-metal", "pierce-near-kept-edge",
        "pierce-on-kept-metal", "pierce-over-void", "pierces-too-close", "same-contour-twice", "touch-off-near-void",
        "travel-low-over-freed", "travel-over-tipping",
    }
)  # fmt: skip
"""Rules that look at what was cut before, or at the drawing."""
PLAYED = frozenset(
    {
        "head-driven-down", "height-not-followed", "not-compared", "played-in-part", "state-inherited",
        "torch-on-at-start", "zero-not-followed",
    }
)  # fmt: skip
"""Findings on other tables, and notes on the proof itself."""
SEAM = ("(what was cut before ends here)", "M0")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Setup:
    """What the first program was for: `drawn` and `slits` as for `prove`, None if no drawing is at hand."""

    machine: Machine
    process: Process
    control: Dialect
    drawn: tuple[Contour, ...] | None = None
    slits: tuple[Contour, ...] = ()
    plate: Box | None = None
    name: str = "program"
    digest: str = ""
    choices: tuple[RuleChoice, ...] = ()
    """Rules that count otherwise."""
    tabs: tuple[Path, ...] = ()
    """Pieces of the torch's path that must stay uncut."""
    rests: Rests = Rests.TELL
    before: tuple[Cut, ...] = ()
    """What still earlier programs cut, where the first program itself goes on with one."""


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """A program that goes on with another: its own proof, that of what was cut before and it, all that counts.

    Lines of `findings` are those of the program.
    """

    alone: Proof
    together: Proof
    findings: tuple[Finding, ...]


def judge(text: str, before: Sequence[Cut], setup: Setup, watch: Watch) -> Judged:
    """Return the proof of a program after the cuts `before`, whose ways around freed pieces are in them."""
    alone = _proven(text, setup, None, watch)
    earlier = _earlier(setup, before)
    together = _proven("\n".join(earlier) + "\n" + text if earlier else text, setup, setup.drawn, watch)
    return Judged(alone, together, tuple(_merged(alone, together, len(earlier))))


def continued(text: str, setup: Setup, watch: Watch) -> Judged:
    """Return the proof of a program that is at hand already, after what was cut `before` it as the setup says."""
    box = setup.plate or box_of(setup.before)
    return judge(text, with_travel(setup.before, setup.machine, box), setup, watch)


def box_of(cuts: Sequence[Cut]) -> Box:
    """Return a plate that is large enough for the cuts."""
    boxes = np.array([piece.bounds() for cut in cuts for piece in cut.pieces])
    low, high = boxes[:, :2].min(axis=0) - ROOM, boxes[:, 2:].max(axis=0) + ROOM
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _earlier(setup: Setup, cuts: Sequence[Cut]) -> list[str]:
    """Return lines that cut what was cut before, to be followed by the resumed program; none if nothing was."""
    if not cuts:
        return []
    plan = CutPlan(
        name="before", cuts=tuple(cuts), plate=setup.plate or box_of(cuts), machine=setup.machine,
        process=setup.process,
    )  # fmt: skip
    program = write(plan, setup.control)
    return [*program.text.split("\n")[: program.blocks[-1].last], *SEAM]


def _proven(text: str, setup: Setup, drawn: tuple[Contour, ...] | None, watch: Watch) -> Proof:
    return prove(
        text,
        setup.control,
        setup.machine,
        setup.process,
        drawn,
        slits=setup.slits if drawn else (),
        plate=setup.plate,
        choices=setup.choices,
        tabs=setup.tabs if drawn else (),
        watch=watch,
    )


def _merged(proof: Proof, together: Proof, before: int) -> Iterator[Finding]:
    """Yield the findings on the resumed program, then those that only both together have, lines those of the former.

    Together they are judged by the drawing and by what is void and loose; how the torch starts is judged on the
    resumed program alone, which begins with a torch parked anew and not where the first one stopped.
    """
    rules = all_rules()
    yield from (f for f in proof.findings if f.rule != "not-compared" and f.rule not in HISTORY)
    for finding in together.findings:
        after = finding.line is not None and finding.line > before
        if finding.rule in rules and not (after and finding.rule in HISTORY):
            continue
        if finding.rule not in PLAYED:
            line = finding.line - before if after and finding.line is not None else None
            yield replace(finding, line=line, message=_in_own_lines(finding.message, before))


def _in_own_lines(message: str, before: int) -> str:
    """Return a message with the lines it names as those of the resumed program; earlier ones stand in no file."""

    def own(found: re.Match[str]) -> str:
        line = int(found[1])
        return f"of line {line - before}" if line > before else "of what was cut before"

    return re.sub(r"of line (\d+)", own, message)
