"""A program for the rest of a plate, proven together with what was cut before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from kerfproof.cutplan import Cut, CutPlan
from kerfproof.dialect import Dialect
from kerfproof.errors import Finding, KerfproofError, RuleChoice, Severity, Watch, no_watch
from kerfproof.geom.path import Path
from kerfproof.geom.region import containers
from kerfproof.machine.chart import Process
from kerfproof.machine.profile import Machine
from kerfproof.motion.heading import read_heading
from kerfproof.motion.program import Program
from kerfproof.motion.trace import Trace
from kerfproof.motion.writer import write
from kerfproof.parts.contour import Contour
from kerfproof.resume.first import FirstProgram, first_program, rings_of
from kerfproof.resume.restart import restarts
from kerfproof.resume.wish import Split, Wish, split
from kerfproof.toolpath.build import with_travel
from kerfproof.verify.proof import Proof
from kerfproof.verify.prove import prove
from kerfproof.verify.rule import all_rules

Box = tuple[float, float, float, float]

MOST_TRIES = 12
"""So many places for a new pierce are proven, until one holds."""
ROOM = 20.0
"""A plate whose size nobody knows is taken to reach so far beyond the cuts, mm."""
KEPT_KEYS = ("machine", "material", "kerf", "feed", "pierce-delay", "plate")
"""What the heading of the first program says that holds for the rest, too."""
HISTORY = frozenset(
    {
        "arc-crosses-gap", "cut-may-hang", "hole-after-outline", "lead-through-kept-metal", "pierce-near-kept-edge",
        "pierce-on-kept-metal", "pierce-over-void", "pierces-too-close", "same-contour-twice", "touch-off-near-void",
        "travel-low-over-freed", "travel-over-tipping",
    }
)  # fmt: skip
"""Rules that look at what was cut before, or at the drawing."""
PLAYED = frozenset({"head-driven-down", "not-compared", "played-in-part", "state-inherited", "torch-on-at-start"})
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


@dataclass(frozen=True, slots=True, eq=False)
class Resumed:
    """A program for the rest.

    `wanted` and `done` are cuts of the first program, from 1. `proof` is that of the resumed program by itself,
    `together` of what was cut before and it; `findings` are all that count, lines those of the resumed program.
    """

    program: Program
    plan: CutPlan
    done: tuple[int, ...]
    wanted: tuple[int, ...]
    proof: Proof
    together: Proof
    findings: tuple[Finding, ...]

    @property
    def ok(self) -> bool:
        """Whether no finding is an error."""
        return all(f.severity is not Severity.ERROR for f in self.findings)


def resume(text: str, trace: Trace, wish: Wish, setup: Setup, watch: Watch = no_watch) -> Resumed:
    """Return the program that goes on where another stopped.

    `trace` is that of the first program, whose `text` is looked at for its heading alone.

    Raises
    ------
    KerfproofError
        If the wish does not suit the program, or there is no room for a new pierce.
    """
    first = first_program(trace, setup.process)
    parted = split(first, wish)
    loose, wanted = _loose(first, parted)
    parted = replace(parted, wanted=wanted)
    notes = (*first.unknown, *loose, *_unknown(setup, first, parted, wish))
    best: Resumed | None = None
    for number, cuts in enumerate(islice(_ways(first, parted, setup), MOST_TRIES)):
        watch("trying a place to go on", number / MOST_TRIES)
        made = _made(text, cuts, first, parted, setup, notes, watch)
        if best is None or _errors(made) < _errors(best):
            best = made
        if best.ok:
            break
    if best is None:
        raise KerfproofError("nothing is left that can be cut on the plate: " + "; ".join(f.message for f in loose))
    return best


def _errors(made: Resumed) -> int:
    return sum(f.severity is Severity.ERROR for f in made.findings)


def _ways(first: FirstProgram, parted: Split, setup: Setup) -> Iterator[tuple[Cut, ...]]:
    """Yield the cuts to make, one way for each place where the one that stopped can be begun again."""
    if parted.partly is None:
        if parted.wanted:
            yield tuple(first.cuts[k] for k in parted.wanted)
        return
    for again in restarts(first, parted, setup.machine, setup.process, setup.drawn, setup.plate):
        yield tuple(again if k == parted.partly else first.cuts[k] for k in parted.wanted)


def _loose(first: FirstProgram, parted: Split) -> tuple[list[Finding], tuple[int, ...]]:
    """Return an error for each wanted cut in metal that is loose by now, and the wanted cuts without them."""
    rings = rings_of(first, list(parted.done))
    if not len(rings):
        return [], parted.wanted
    owners = [k for k in parted.done if first.ring(k) is not None]
    starts = np.array([first.cuts[k].contour.start for k in parted.wanted])
    at, ring = containers(rings, starts)
    held = {parted.wanted[int(a)]: owners[int(r)] for a, r in zip(at, ring, strict=True)}
    # A ring round an unlit cut frees it, unless it is only the hole's own part that is still whole around it.
    findings = []
    for k in sorted(held):
        cut, by = first.cuts[k], first.cuts[held[k]]
        what = f"cut {k + 1} ({cut.label}) lies in metal that cut {held[k] + 1} ({by.label}) has freed"
        advice = f"it may have tipped: drill it or cut the part anew; without --unlit {k + 1} the rest can be cut"
        x, y = cut.pierce
        findings.append(Finding("cut-in-loose-metal", Severity.ERROR, what, advice, x=x, y=y))
    return findings, tuple(k for k in parted.wanted if k not in held)


def _unknown(setup: Setup, first: FirstProgram, parted: Split, wish: Wish) -> list[Finding]:
    """Return what can't be known of the first program."""
    out = []
    if setup.plate is None:
        what = "the program does not say how large the plate is"
        out.append(Finding("plate-unknown", Severity.WARNING, what, "see that the new pierce lies on sound plate"))
    if setup.drawn is None and parted.partly is not None:
        ring = first.ring(parted.partly)
        side = "it is taken from how its cuts lie in each other" if ring is not None else "the rest is cut from its end"
        what = f"without the drawing nobody knows on which side of cut {parted.partly + 1} the scrap is; {side}"
        out.append(Finding("scrap-side-guessed", Severity.WARNING, what, "name the drawing with --drawing"))
    if wish.from_cut is not None and parted.partly is None and parted.at == 0.0:
        what = f"cut {wish.from_cut} is taken as not begun: its pierce must lie on sound plate"
        advice = "if its arc was lit, say how far it got: --at or --near"
        out.append(Finding("taken-as-not-begun", Severity.NOTE, what, advice))
    return out


# --- writing and proving --------------------------------------------------------------------------------------


def _made(
    text: str,
    cuts: Sequence[Cut],
    first: FirstProgram,
    parted: Split,
    setup: Setup,
    notes: Sequence[Finding],
    watch: Watch,
) -> Resumed:
    before = [first.cuts[k] for k in parted.done]
    if parted.partly is not None:
        before.append(_part_of(first.cuts[parted.partly], first.line(parted.partly).part(0.0, parted.at)))
    box = setup.plate or _box([*first.cuts])
    whole = [*before, *(first.cuts[k] for k in parted.wanted)]
    travelled = with_travel([*before, *cuts], setup.machine, box, watch, whole)
    plan = _plan(setup, box, travelled[len(before) :], _heading(text, parted, setup))
    program = write(plan, setup.control)
    proof = _proven(program.text, setup, None, watch)
    earlier = _earlier(setup, box, travelled[: len(before)])
    together = _proven("\n".join(earlier) + "\n" + program.text if earlier else program.text, setup, setup.drawn, watch)
    findings = (*notes, *_merged(proof, together, len(earlier)))
    done = tuple(k + 1 for k in parted.done)
    return Resumed(program, plan, done, tuple(k + 1 for k in parted.wanted), proof, together, findings)


def _part_of(cut: Cut, line: Path) -> Cut:
    """Return a cut that only got as far as `line`."""
    return Cut(
        feature=cut.feature,
        kind=cut.kind,
        part=cut.part,
        label=cut.label,
        pierce=cut.pierce,
        contour=line,
        feed_mm_min=cut.feed_mm_min,
        kerf=cut.kerf,
    )


def _box(cuts: Sequence[Cut]) -> Box:
    boxes = np.array([piece.bounds() for cut in cuts for piece in cut.pieces])
    low, high = boxes[:, :2].min(axis=0) - ROOM, boxes[:, 2:].max(axis=0) + ROOM
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _plan(setup: Setup, box: Box, cuts: Sequence[Cut], heading: tuple[tuple[str, str], ...]) -> CutPlan:
    return CutPlan(
        name=f"{setup.name}, resumed" if heading else "before",
        cuts=tuple(cuts),
        plate=box,
        machine=setup.machine,
        process=setup.process,
        heading=heading,
    )


def _heading(text: str, parted: Split, setup: Setup) -> tuple[tuple[str, str], ...]:
    """Return what the resumed program says of itself: for what it is, and what it goes on with."""
    said = read_heading(line.strip().strip("()") for line in text.split("\n")[:2000])
    pairs = [(key, said[key]) for key in KEPT_KEYS if key in said]
    partly = "" if parted.partly is None else f", cut {parted.partly + 1} from {parted.at:.3f} mm on"
    cuts = " ".join(str(k + 1) for k in parted.wanted)
    return (*pairs, ("mode", "cut"), ("resumed", f"{setup.name} {setup.digest} cuts {cuts}{partly}"))


def _earlier(setup: Setup, box: Box, cuts: Sequence[Cut]) -> list[str]:
    """Return lines that cut what was cut before, to be followed by the resumed program; none if nothing was."""
    if not cuts:
        return []
    program = write(_plan(setup, box, cuts, ()), setup.control)
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
            yield replace(finding, line=finding.line - before if after and finding.line is not None else None)
