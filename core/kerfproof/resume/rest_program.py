"""A program for the rest of a plate, proven together with what was cut before."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

import numpy as np

from kerfproof.cut_plan import Cut, CutPlan, PauseKind
from kerfproof.errors import Cancelled, Finding, KerfproofError, Severity, Watch, no_watch
from kerfproof.gcode.header_lines import read_heading
from kerfproof.gcode.trace import Trace
from kerfproof.gcode.writer.program import Program
from kerfproof.gcode.writer.rests import rested
from kerfproof.gcode.writer.run import joined
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Bundle, Path
from kerfproof.geom.region import containers
from kerfproof.job.job import Rests
from kerfproof.job.write_header import CHOSEN, digest
from kerfproof.plan.build import with_travel
from kerfproof.plan.order.pauses import planned_pauses
from kerfproof.proof.proof import Proof
from kerfproof.resume.combined_proof import CombinedProof, Setup, box_of, judge
from kerfproof.resume.earlier_programs import goes_on, made, ring_of
from kerfproof.resume.first_program import FirstProgram, first_program, owners_of
from kerfproof.resume.freed_faces import loose_faces
from kerfproof.resume.restarts import FURTHER_ON, beside_open_kerf, restarts
from kerfproof.resume.resume_point import Split, Wish, split
from kerfproof.sentence import Phrase, joined_phrases, named, option, say

MOST_TRIES = 12
"""So many places for a new pierce are proven, until one holds."""
MOST_FURTHER = 3
"""So many more for each place further on, where the arc would cross an open kerf."""
CROSSING = "arc-crosses-gap"


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
    asked = split(first, wish)
    loose, wanted = _loose(first, asked, setup)
    parted = replace(asked, wanted=wanted)
    never = tuple(k for k in asked.wanted if k not in wanted)
    heading = _heading(text, setup, goes_on(setup.name, setup.digest, parted, never).words())
    used = 0 if wish.new_tip else _starts_behind(first, parted, setup)
    notes = (*first.unknown, *loose, *_unknown(setup, first, parted, wish))

    def tried(overlaps: float, most: int) -> Resumed | None:
        """Return the program with the fewest errors of those that go on `overlaps` before the place."""
        best: Resumed | None = None
        for number, cuts in enumerate(islice(_ways(first, parted, setup, overlaps), most)):
            watch("trying a place to go on", number / most)
            done = _made(cuts, first, parted, setup, heading, used, watch)
            done = replace(done, findings=(*notes, *done.findings))
            if best is None or _errors(done) < _errors(best):
                best = done
            if best.ok:
                break
        return best

    try:
        best, refused = tried(1.0, MOST_TRIES), None
    except Cancelled:
        raise
    except KerfproofError as error:
        if parted.partly is None or not beside_open_kerf(first, parted, setup):
            raise
        best, refused = None, error
    if refused is not None or (best is not None and parted.partly is not None and _crosses(best)):
        further = _further_on(tried)
        if further is None and refused is not None:
            raise refused
        best = further or best
    if best is None:
        why = joined_phrases((f.problem for f in loose), "; ")
        raise KerfproofError(say("nothing is left that can be cut on the plate: {why}", why=why))
    return best


def _errors(done: Resumed) -> int:
    return sum(f.severity is Severity.ERROR for f in done.findings)


def _further_on(tried: Callable[[float, int], Resumed | None]) -> Resumed | None:
    """Return the first program without an error that takes up the cut further on, None if there is none."""
    for overlaps in FURTHER_ON:
        try:
            made = tried(overlaps, MOST_FURTHER)
        except Cancelled:
            raise
        except KerfproofError:
            continue  # no room for a pierce there
        if made is not None and made.ok:
            return made
    return None


def _crosses(done: Resumed) -> bool:
    """Return whether the arc would cross an open kerf."""
    return any(f.rule == CROSSING and f.severity is Severity.ERROR for f in done.findings)


def _ways(first: FirstProgram, parted: Split, setup: Setup, overlaps: float = 1.0) -> Iterator[tuple[Cut, ...]]:
    """Yield the cuts to make, one way for each place where the one that stopped can be begun again."""
    if parted.partly is None:
        if parted.wanted:
            yield tuple(first.cuts[k] for k in parted.wanted)
        return
    for again in restarts(first, parted, setup, overlaps):
        yield tuple(again if k == parted.partly else first.cuts[k] for k in parted.wanted)


def _loose(first: FirstProgram, parted: Split, setup: Setup) -> tuple[list[Finding], tuple[int, ...]]:
    """Return an error for each wanted cut in metal that is loose by now, and the wanted cuts without them."""
    rings: list[tuple[Path, Phrase]] = [
        (ring, say("cut {k} ({label})", k=k + 1, label=named(first.cuts[k].label)))
        for k in parted.done
        if (ring := first.ring(k)) is not None
    ]
    rings += [
        (ring, say("an earlier program's {label}", label=named(cut.label)))
        for cut in setup.before
        if (ring := ring_of(cut)) is not None
    ]
    lines = [(first.line(k), first.cuts[k].kerf / 2) for k in parted.done if first.ring(k) is None]
    lines += [(Path(joined(cut), False), cut.kerf / 2) for cut in setup.before if ring_of(cut) is None]
    rings += [(face, "what was cut before") for face in loose_faces([p for p, _ in lines], [h for _, h in lines])]
    if not rings:
        return [], parted.wanted
    starts = np.array([first.cuts[k].contour.start for k in parted.wanted])
    at, inside = containers(Bundle.of([path for path, _ in rings]), starts)
    held = {parted.wanted[int(a)]: rings[int(r)][1] for a, r in zip(at, inside, strict=True)}
    # A ring round an unlit cut frees it, unless it is only the hole's own part that is still whole around it.
    findings = []
    for k in sorted(held):
        cut = first.cuts[k]
        what = say(
            "cut {k} ({label}) lies in metal that {held} has freed", k=k + 1, label=named(cut.label), held=held[k]
        )
        advice = say(
            "it may have tipped: drill it or cut the part anew; without {unlit} {k} the rest can be cut",
            unlit=option("unlit"),
            k=k + 1,
        )
        x, y = cut.pierce
        findings.append(Finding("cut-in-loose-metal", Severity.ERROR, what, advice, x=x, y=y))
    return findings, tuple(k for k in parted.wanted if k not in held)


def _starts_behind(first: FirstProgram, parted: Split, setup: Setup) -> int:
    """Return how many starts the tip has behind it: those of the first program since it last asked for a new one."""
    pauses, _ = planned_pauses(first.cuts, owners_of(first), setup.machine, setup.process)
    finished = max(parted.done, default=-1) + 1
    changed = [p.after + 1 for p in pauses if p.kind is PauseKind.TIP and p.after < finished]
    return len([k for k in parted.done if k >= max(changed, default=0)]) + (parted.partly is not None)


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
        out.append(
            Finding(
                "scrap-side-guessed",
                Severity.WARNING,
                what,
                say("name the drawing with {drawing}", drawing=option("drawing")),
            )
        )
    if wish.from_cut is not None and parted.partly is None and parted.at == 0.0:
        what = f"cut {wish.from_cut} is taken as not begun: its pierce must lie on sound plate"
        advice = say("if its arc was lit, say how far it got: {at} or {near}", at=option("at"), near=option("near"))
        out.append(Finding("taken-as-not-begun", Severity.NOTE, what, advice))
    return out


# --- writing and proving --------------------------------------------------------------------------------------


def _made(
    cuts: Sequence[Cut],
    first: FirstProgram,
    parted: Split,
    setup: Setup,
    heading: tuple[tuple[str, str], ...],
    used: int,
    watch: Watch,
) -> Resumed:
    before = (*setup.before, *made(first, parted.done, parted.partly, parted.at))
    box = setup.plate or box_of(first.cuts)
    whole = [*before, *(first.cuts[k] for k in parted.wanted)]
    travelled = with_travel([*before, *cuts], setup.machine, box, watch, whole)
    rest = travelled[len(before) :]
    owners = owners_of(first)
    pauses, unpaused = planned_pauses(
        rest, [owners[k] for k in parted.wanted], setup.machine, setup.process, used
    )  # fmt: skip
    plan = CutPlan(
        name=f"{setup.name}, resumed",
        cuts=tuple(rest),
        plate=box,
        machine=setup.machine,
        process=setup.process,
        heading=heading,
        pauses=pauses,
        resumed=True,
    )

    def proven(plan: CutPlan) -> tuple[CutPlan, Program, CombinedProof]:
        program = write(plan, setup.control)
        return plan, program, judge(program.text, travelled[: len(before)], setup, watch)

    plan, program, judged = rested(plan, setup.control, setup.rests, proven, lambda made: made[2].alone.trace)
    done, wanted = tuple(k + 1 for k in parted.done), tuple(k + 1 for k in parted.wanted)
    findings = (*_beside_kerfs(rest), *unpaused, *judged.findings)
    return Resumed(program, plan, done, wanted, judged.alone, judged.together, findings)


def _beside_kerfs(cuts: Sequence[Cut]) -> Iterator[Finding]:
    """Yield a warning for each new pierce without room for the tip's face."""
    for cut in cuts:
        if cut.touch_at is not None:
            x, y = cut.pierce
            what = say(
                "the new pierce for {label} lies close beside an open kerf, so the plate is found next to it",
                label=named(cut.label),
            )
            yield Finding("pierce-beside-kerf", Severity.WARNING, what, "watch that the arc lights there", x=x, y=y)


def _heading(text: str, setup: Setup, goes_on_with: str) -> tuple[tuple[str, str], ...]:
    """Return what the resumed program says of itself: for what it is, and what it goes on with.

    What it is for are the machine and the process of the setup, which the first program's heading may not be.
    """
    said = read_heading(line.strip().strip("()") for line in text.split("\n")[:2000])
    m, p = setup.machine, setup.process
    pairs = [
        ("machine", f"{m.name} {digest(repr(m).encode())}"),
        ("material", f"{p.material} {p.thickness:g} mm {p.amps:g} A"),
        ("kerf", _as_said(f"{p.kerf:.3f} mm", said.get("kerf"))),
    ]
    if "feed" in said:  # a stranger's cuts keep their own feeds
        pairs.append(("feed", _as_said(f"{p.feed_mm_min:.0f} mm/min", said["feed"])))
    if said.get("pierce-delay") == f"{p.pierce_delay_s:g} s":
        pairs.append(("pierce-delay", said["pierce-delay"]))
    if setup.plate is not None:
        pairs.append(("plate", " ".join(f"{v:.3f}" for v in setup.plate) + " mm"))
    pairs += [("rests", setup.rests.value)] if setup.rests is not Rests.TELL else []
    return (*pairs, ("mode", "cut"), ("resumed", goes_on_with))


def _as_said(value: str, said: str | None) -> str:
    """Return a value with whether a person chose it: as the first program says, and where it says another."""
    return value + CHOSEN * (said is not None and said != value)
