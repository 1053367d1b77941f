"""Two programs judged as one: what was cut before, and the program that goes on with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerfproof.box import Box
from kerfproof.cut_plan import Cut, CutPlan
from kerfproof.errors import Finding, RuleChoice, Severity, Watch
from kerfproof.gcode.dialect import Dialect
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.job.job import Rests
from kerfproof.parts.model.contour import Contour
from kerfproof.plan.build import with_travel
from kerfproof.proof.evidence.evidence import Against, half_kerfs
from kerfproof.proof.evidence.runs import torch_path
from kerfproof.proof.evidence.stock import stock_of
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from kerfproof.proof.rule import all_rules
from kerfproof.sentence import OfLine, Phrase, of_line
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine

ROOM = 20.0
"""A plate whose size nobody knows is taken to reach so far beyond the cuts, mm."""
TOLD_ALONE = frozenset({"air-over", "duty-over", "played-in-part", "tip-change-inside-part", "tip-life-over"})
"""Told by the proof of the resumed program alone: rules that count time and starts, since nobody knows how long the
torch rested in between and whether its tip is new by now, and the note that a text was too long for every table."""
FIRST_START = frozenset({"search-too-deep", "touch-off-miss-unguarded"})
"""Told alone of the first start: there nobody knows yet where the plate is, for what the first program knew of it is
not at hand any more."""
SEAM = ("", "", "", "(what was cut before ends here)", "M0", "", "", "")
"""A stop for a look between the two. The blank lines keep all other comments away from it: what stands near a stop may
be read as a reason for it, and the plate stays the same."""


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
class CombinedProof:
    """A program that goes on with another: its own proof, that of what was cut before and it, all that counts.

    Lines of `findings` are those of the program.
    """

    alone: Proof
    together: Proof
    findings: tuple[Finding, ...]


def judge(text: str, before: Sequence[Cut], setup: Setup, watch: Watch) -> CombinedProof:
    """Return the proof of a program after the cuts `before`, whose ways around freed pieces are in them."""
    alone = _proven(text, setup, None, watch)
    earlier = _earlier(setup, before)
    whole = "\n".join(earlier) + "\n" + text if earlier else text
    together = _proven(whole, setup, setup.drawn, watch, len(earlier))
    start = alone.runs[0].light_line if alone.runs else None
    found = merged(alone.findings, together.findings, len(earlier), start)
    findings = (*found, *_other_plates(alone, setup))
    return CombinedProof(alone, together, findings)


def continued(text: str, setup: Setup, watch: Watch) -> CombinedProof:
    """Return the proof of a program that is at hand already, after what was cut `before` it as the setup says."""
    if not setup.before:  # it goes on from the first cut
        return judge(text, (), setup, watch)
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


def _other_plates(alone: Proof, setup: Setup) -> Iterator[Finding]:
    """Yield an error if the program goes over to another plate: what was cut before would be forgotten from there."""
    runs, trace = alone.runs, alone.trace
    path = torch_path(trace, runs, half_kerfs(trace, runs, setup.process))
    others = np.flatnonzero(stock_of(trace, runs, path).plate_of)
    if len(others):
        run = runs[int(others[0])]
        what = "a program that goes on with another stays on its plate, but from here on it asks for another one"
        advice = "cut what is left on this plate alone"
        x, y = run.start
        yield Finding("plate-changed-in-rest", Severity.ERROR, what, advice, run.light_line, x, y)


def _proven(text: str, setup: Setup, drawn: tuple[Contour, ...] | None, watch: Watch, before: int = 0) -> Proof:
    return prove(
        text,
        Against(
            control=setup.control,
            machine=setup.machine,
            process=setup.process,
            drawn=drawn,
            slits=setup.slits if drawn else (),
            plate=setup.plate,
            choices=setup.choices,
            tabs=setup.tabs if drawn else (),
        ),
        untold=before,
        watch=watch,
    )


def merged(
    alone: Sequence[Finding], together: Sequence[Finding], before: int, start: int | None = None
) -> tuple[Finding, ...]:
    """Return what counts of both proofs, lines those of the resumed program, which begins after line `before`.

    `start` is the line of its first light-up.

    All that either of them finds is kept, whatever its name: what one tells of a line and the other tells of it, too,
    once, as the graver of them does. Left out is what lies on the lines of what was cut before, as far as rules on
    programs tell it (that text is made up, and the first program has a proof of its own), what `TOLD_ALONE` and
    `FIRST_START` name, and that the program alone is compared with no drawing.
    """
    rules, order = all_rules(), list(Severity)
    found = [f for f in alone if f.rule != "not-compared"]
    for finding in together:
        after = finding.line is not None and finding.line > before
        earlier = finding.line is not None and not after
        if finding.rule in TOLD_ALONE or (earlier and finding.rule in rules):
            continue
        line = finding.line - before if after and finding.line is not None else None
        if finding.rule in FIRST_START and line is not None and start is not None and line <= start:
            continue
        own = replace(finding, line=line, problem=_in_own_lines(finding.problem, before))
        same = next((k for k, f in enumerate(found) if _same(f, own)), None)
        if same is None:
            found.append(own)
        elif order.index(own.severity) < order.index(found[same].severity):
            found[same] = own
    return tuple(found)


def _same(a: Finding, b: Finding) -> bool:
    """Return whether two findings are one, told by two proofs: of one rule and one line, or without a line alike."""
    return a.rule == b.rule and a.line == b.line and (a.line is not None or a.message == b.message)


def _in_own_lines(message: Phrase, before: int) -> Phrase:
    """Return a message with the lines it names as those of the resumed program; earlier ones stand in no file."""

    def own(value: object) -> object:
        if not isinstance(value, OfLine):
            return value
        return of_line(value.line - before) if value.line > before else "of what was cut before"

    return message if isinstance(message, str) else message.turned(own)
