"""From the cuts of a test piece to its program and the proof of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from kerfproof.box import Box
from kerfproof.coupon.facts import WISH, heading, read_facts, wish_of, written_facts
from kerfproof.coupon.piece import Coupon, CouponRequest, kind_of
from kerfproof.cut_plan import Cut, CutPlan, Point
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.gcode.trace import Step
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.gcode.writer.writer import write
from kerfproof.geom.path import Path
from kerfproof.job.job import Job, LeadChoice, SmallHoles
from kerfproof.parts.build_parts import build_parts
from kerfproof.parts.model.contour import Contour
from kerfproof.parts.model.part import FeatureKind, Parts
from kerfproof.plan.build import plan_cuts
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from kerfproof.sentence import Phrase, mm, mm_min, mm_size, named, say
from kerfproof.shop.chart import PierceRating, Process
from kerfproof.shop.profile import StartKind, TouchOff

INCH = 25.4
AS_MEANT = 0.02
"""How far a run of the program may lie from the cut it was meant to be."""


def round_size(length: float, inches: bool) -> float:
    """Return a size that a person can find on a rule: whole mm or sixteenths of an inch, no smaller."""
    return math.ceil(length / INCH * 16 - 1e-9) / 16 * INCH if inches else float(math.ceil(length - 1e-9))


def plate_words(plate: Box) -> str:
    """Return the size of a plate for people."""
    w, h = math.ceil(plate[2] - plate[0]), math.ceil(plate[3] - plate[1])
    return f"{w} x {h} mm ({math.ceil(w / INCH * 10) / 10:g} x {math.ceil(h / INCH * 10) / 10:g} in)"


def margin_of(bench: CouponRequest) -> float:
    """Return the room between cuts and the edge of the plate."""
    return max(bench.process.plate_margin, bench.machine.tip_face_radius + 4.0)


def pitch_of(bench: CouponRequest) -> float:
    """Return the least distance of starts: the tip's face rests on plate that neither kerf nor spatter has spoiled."""
    p = bench.process
    return max(12.0, float(np.ceil(bench.machine.tip_face_radius + p.crater_radius + p.worn_kerf + 1.0)))


def beside_of(bench: CouponRequest) -> float:
    """Return how far from an open kerf a start must lie, so that the whole face of the tip rests on the plate."""
    return bench.machine.tip_face_radius + bench.process.worn_kerf + 1.0


def check_pierce(bench: CouponRequest) -> None:
    """Raise KerfproofError if the plate can't be pierced at all."""
    p = bench.process
    if p.pierce is PierceRating.NO:
        raise KerfproofError(
            say(
                "{thickness} {material} can't be pierced at {amps:g} A, and every test piece pierces",
                thickness=mm(p.thickness, "g"),
                material=p.material,
                amps=p.amps,
            ),
            advice="measure on thinner plate and let `kerfproof charts estimate` carry it on",
        )


def rounded_process(bench: CouponRequest) -> Process:
    """Return the process with the kerf that the heading of a program can say."""
    return replace(bench.process, kerf=round(bench.process.kerf, 3))


def given_of(bench: CouponRequest) -> WriteContext:
    """Return what the writer works out of machine, process and control."""
    plan = CutPlan(name="", cuts=(), plate=(0.0, 0.0, 0.0, 0.0), machine=bench.machine, process=bench.process)
    return WriteContext.of(plan, bench.control)


def line_cut(number: int, label: str, start: Point, end: Point, bench: CouponRequest, **changes: Any) -> Cut:
    """Return a straight cut."""
    return path_cut(number, label, Path.polyline([start, end]), bench, **changes)


def path_cut(number: int, label: str, path: Path, bench: CouponRequest, **changes: Any) -> Cut:
    """Return a cut along an open path, pierced on it."""
    x, y = path.start
    given: dict[str, Any] = {
        "feature": number, "kind": FeatureKind.SLIT.value, "part": "test piece", "label": label,
        "pierce": (float(x), float(y)), "contour": path, "feed_mm_min": bench.process.feed_mm_min,
        "kerf": bench.process.kerf,
    }  # fmt: skip
    return Cut(**(given | changes))


def plan_contours(paths: Sequence[Path], plate: Box, bench: CouponRequest) -> tuple[Parts, list[Cut], list[Finding]]:
    """Return the parts that closed paths make and their cuts in order, planned as any job's are."""
    contours = [Contour(path, (), "") for path in paths]
    parts = build_parts(contours, (), "test piece")
    p = bench.process
    job = Job(
        drawings=(), machine=bench.machine.name, chart="", material=p.material, thickness=p.thickness,
        small_holes=SmallHoles.ROUGH, leads=LeadChoice(),
    )  # fmt: skip
    planned = plan_cuts(parts, plate, bench.machine, p, job)
    return parts, list(planned.cuts), list(planned.findings)


def finish(
    kind: str,
    bench: CouponRequest,
    cuts: Sequence[Cut],
    plate: Box,
    facts: Mapping[str, Any],
    guide: Sequence[Phrase],
    *,
    drawn: Sequence[Path] = (),
    found: Sequence[Finding] = (),
    meant: Sequence[str] = (),
) -> Coupon:
    """Return the piece: written, proven, and read back as meant.

    `drawn` are the closed contours it must leave; without any, every run of the text is compared with the cut it was
    meant to be. Findings of the rules `meant` are what the piece tries on purpose: they become notes.
    """
    check_room(plate, bench)
    facts = {"kind": kind, **facts, **({"meant": list(meant)} if meant else {}), **wish_of(bench)}
    plan = CutPlan(
        name=f"{kind} test piece",
        cuts=tuple(cuts),
        plate=plate,
        machine=bench.machine,
        process=bench.process,
        heading=heading(bench, plate, "cut", facts),
    )
    program = write(plan, bench.control)
    contours = tuple(Contour(path, (), "") for path in drawn) or None
    proof = prove(
        program.text,
        Against(control=bench.control, machine=bench.machine, process=bench.process, drawn=contours, plate=plate),
    )
    findings = [*found, *proof.findings]
    if not drawn:
        findings = [f for f in findings if f.rule != "not-compared"] + _unlike(proof, cuts, bench)
    proof = replace(proof, findings=spared(proof.findings, meant))
    told = spared(findings, meant)
    return Coupon(
        kind=kind, program=program, proof=proof, facts=facts, plate=plate, guide=tuple(guide),
        findings=told, tried=tuple(f for f, found in zip(told, findings, strict=True) if f is not found),
    )  # fmt: skip


def check_room(plate: Box, bench: CouponRequest) -> None:
    """Raise KerfproofError if the piece is larger than the machine's travel."""
    w, h = plate[2] - plate[0], plate[3] - plate[1]
    if w > bench.machine.travel_x + 1e-6 or h > bench.machine.travel_y + 1e-6:
        raise KerfproofError(
            say(
                "the piece needs {need}, the machine travels {travel}",
                need=mm_size(w, h),
                travel=mm_size(bench.machine.travel_x, bench.machine.travel_y),
            ),
            advice="ask for smaller sizes or fewer of them",
        )


def spared(findings: Sequence[Finding], meant: Sequence[str]) -> tuple[Finding, ...]:
    """Return the findings with those of the rules `meant` as notes that say so."""
    return tuple(
        replace(
            f,
            severity=Severity.NOTE,
            problem=say("meant: {what}", what=f.problem),
            remedy="this is what the piece tries",
        )
        if f.rule in meant and f.severity is not Severity.NOTE
        else f
        for f in findings
    )


def made_again(text: str, bench: CouponRequest) -> Coupon | None:
    """Return the test piece that the heading of a program names, made anew for a bench; None where it names none.

    What a program says of itself is only what to make; whether it does what that piece does is `likeness.unlike`'s.

    Raises
    ------
    KerfproofError
        If the piece can't be made, or what the heading says of it can't be read.
    """
    written = written_facts(text)
    if written is None:
        return None
    facts = read_facts(text)
    if facts is None:
        raise KerfproofError("what its heading says of it can't be read")
    try:
        wish = facts.get(WISH, {})
        kind = kind_of(facts["kind"])
        wished = replace(
            bench,
            sizes=tuple(float(size) for size in wish.get("sizes", ())),
            count=None if wish.get("count") is None else int(wish["count"]),
            vary=tuple(str(name) for name in wish.get("vary", ())),
        )
    except (TypeError, ValueError, AttributeError):
        raise KerfproofError("what its heading says of it can't be read") from None
    return kind.make(wished)


def _unlike(proof: Proof, cuts: Sequence[Cut], bench: CouponRequest) -> list[Finding]:
    """Return where the runs in the text differ from the cuts: number, place, length, feed, values tried."""
    if len(proof.runs) != len(cuts):
        return [_differs(f"the program has {len(proof.runs)} cuts, {len(cuts)} were meant", None)]
    out = []
    for run, cut in zip(proof.runs, cuts, strict=True):
        ends = np.abs(np.array([*run.start, *run.end]) - np.array([*cut.pierce, *cut.end])).max()
        rows = slice(run.first_row, run.last_row + 1)
        moved = np.hypot(*(proof.trace.end[rows, :2] - proof.trace.start[rows, :2]).T) > 1e-9
        feeds = proof.trace.feed[rows][moved]
        if ends > AS_MEANT or abs(run.length - cut.length()) > AS_MEANT:
            out.append(_differs(say("{label} lies elsewhere than meant", label=named(cut.label)), run.light_line))
        elif len(feeds) == 0 or np.abs(feeds - cut.feed_mm_min).max() > 1e-3 * cut.feed_mm_min + 0.1:
            out.append(
                _differs(
                    say(
                        "{label} does not run at {feed_mm_min}",
                        label=named(cut.label),
                        feed_mm_min=mm_min(cut.feed_mm_min),
                    ),
                    run.light_line,
                )
            )
        elif cut.trial is not None:
            out += _untried(proof, run.first_row, cut, bench, run.light_line)
    return out


def _untried(proof: Proof, first: int, cut: Cut, bench: CouponRequest, line: int) -> list[Finding]:
    """Return where the start of a cut does not try what it was meant to, as the text has it."""
    trial, trace, m, p = cut.trial, proof.trace, bench.machine, bench.process
    assert trial is not None
    steps = np.abs(trace.end[first:] - trace.start[first:])
    moving = first + int(np.flatnonzero(steps.max(axis=1) > 1e-9)[0])
    travel = first + int(np.flatnonzero(steps[:, :2].max(axis=1) > 1e-9)[0])
    waited = float(trace.value[first:moving][trace.kind[first:moving] == Step.DWELL].sum())
    delay = p.pierce_delay_s if trial.pierce_delay_s is None else trial.pierce_delay_s
    light = 0.0 if m.arc_wait else (m.light_delay_s if trial.light_delay_s is None else trial.light_delay_s)
    light = max(0.0, light - m.torch_on_delay_s)
    contact = m.start is StartKind.CONTACT
    pairs = [("wait before the first move", waited, light if contact else light + delay, 0.002)]
    if contact:
        down = trace.end[moving:travel, 2] < trace.start[moving:travel, 2] - 1e-9
        spent, rise = float(trace.seconds[moving:travel][~down].sum()), float(trace.seconds[moving])
        pairs.append(("pierce delay", spent, max(delay, rise), 0.01))
        preload = given_of(bench).preload if trial.preload is None else trial.preload
        if m.touch_off is TouchOff.FLOAT:
            pairs.append(("height at light-up", float(trace.frame_z[first, 1]), -preload, 0.01))
    if trial.rise_feed_mm_min is not None:
        pairs.append(("rise feed", float(trace.feed[moving]), trial.rise_feed_mm_min, 0.5))
    if trial.pierce_height is not None:
        height = float(trace.frame_z[moving if contact else first, 1])
        pairs.append(("pierce height", height, trial.pierce_height, 0.01))
    return [
        _differs(
            say(
                "{label}: the {name} is {have:.3g} instead of {wanted:.3g}",
                label=named(cut.label),
                name=name,
                have=have,
                wanted=wanted,
            ),
            line,
        )
        for name, have, wanted, off in pairs
        if abs(have - wanted) > off
    ]


def _differs(message: Phrase, line: int | None) -> Finding:
    return Finding("coupon-differs", Severity.ERROR, message, "report this: the program is not the piece meant", line)
