"""The joint piece: dry rounds of one circle; a stopwatch tells whether the control stops where two moves meet.

A hole is cut as arcs that go on in the same direction where they meet. A control that brakes there all the same leaves
a dimple in the edge at each joint. The same rounds in quarters and in halves take the same time where it does not; no
torch is lit.
"""

from __future__ import annotations

import math

import numpy as np

from kerfproof.coupon.facts import heading
from kerfproof.coupon.make_program import given_of, margin_of, spared
from kerfproof.coupon.piece import Coupon, CouponKind, CouponRequest, CouponResult, Facts
from kerfproof.coupon.readings import Asked, Readings
from kerfproof.cut_plan import CutPlan
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.gcode.words import comment, message
from kerfproof.gcode.writer.head import end, head
from kerfproof.gcode.writer.program import Program
from kerfproof.gcode.writer.strokes import strokes
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.geom.path import Floats
from kerfproof.job.job import Mode
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.prove import prove
from kerfproof.sentence import Phrase, mm_min, say
from kerfproof.units import TIME

RADIUS = 10.0
ROUNDS = 10
PIECES = {"quarters": 4, "halves": 2}
STOPS = 1.2
"""A control that takes so many times as long as predicted stops at joints (common practice, no source)."""
FASTEST = 0.85
"""No control takes less than this share: then the feed is turned up, or the watch was slow."""
MODES = (
    "Exact path: the control may brake at every joint, and corners stay sharp.",
    "Blending: it goes on through joints and rounds corners within the tolerance.",
)


def make(bench: CouponRequest) -> Coupon:
    """Return the piece: rounds in quarters, a stop, the same rounds in halves; raised and dark."""
    m, given = bench.machine, given_of(bench)
    rounds = ROUNDS if bench.count is None else bench.count
    if not 3 <= rounds <= 50:
        raise KerfproofError(f"3 to 50 rounds, not {rounds}")
    # Slow enough that the arc itself does not brake it (v2 / r within half the acceleration).
    feed = float(round(min(bench.process.feed_mm_min, 60.0 * 0.7 * math.sqrt(m.acceleration_mm_s2 * RADIUS))))
    margin = margin_of(bench)
    center = margin + RADIUS
    plate = (0.0, 0.0, 2 * center, 2 * center)
    facts = {
        "kind": "joints", "feed": feed, "rounds": rounds, "radius": RADIUS, "acceleration": m.acceleration_mm_s2,
        "blends": m.path_tolerance is not None,
    }  # fmt: skip
    plan = CutPlan(
        name="joint test piece: dry rounds, the torch is never lit", cuts=(), plate=plate, machine=m,
        process=bench.process, heading=heading(bench, plate, Mode.DRY.value, facts), mode=Mode.DRY,
    )  # fmt: skip
    lines = [*head(plan, given), *map(comment, MODES)]
    lines.append(f"G0 X{given.words.length(center + RADIUS)} Y{given.words.length(center)}")
    for name, pieces in PIECES.items():
        lines += [message(f"{name}: go on and start the watch as it moves, stop it as it stops"), "M0"]
        lines += _rounds(given, center, pieces, rounds, feed)
    lines += [message("note both times"), "M0"]
    program = Program("\n".join([*lines, *end(plan, given)]) + "\n", ())
    proof = prove(
        program.text, Against(control=bench.control, machine=m, process=bench.process, mode="dry", plate=plate)
    )
    return Coupon(
        kind="joints", program=program, proof=proof, facts=facts, plate=plate, guide=_guide(facts),
        findings=spared(proof.findings, ()),
    )  # fmt: skip


def _rounds(given: WriteContext, center: float, pieces: int, rounds: int, feed: float) -> list[str]:
    angles = np.arange(pieces * rounds + 1) * 2 * np.pi / pieces
    vertices: Floats = np.column_stack(
        [
            center + RADIUS * np.cos(angles),
            center + RADIUS * np.sin(angles),
            np.full(len(angles), math.tan(math.pi / 2 / pieces)),
        ]
    )
    vertices[-1, 2] = 0.0
    texts = strokes([vertices], given.words, given.control).texts(given.words)
    return [text + (f" {given.words.feed(feed)}" if k == 0 else "") for k, text in enumerate(texts)]


def _predicted(facts: Facts) -> float:
    """Return how long (s) the rounds take without a stop between: the way at the feed, and speeding up and braking."""
    speed = facts["feed"] / 60.0
    return float(facts["rounds"] * 2 * math.pi * facts["radius"] / speed + speed / facts["acceleration"])


def _guide(facts: Facts) -> tuple[Phrase, ...]:
    return (
        "Switch the torch's power source off. Nothing needs to lie on the table.",
        f"Time each set of {facts['rounds']} rounds with a stopwatch, with the feed at 100 %.",
        f"quarters and halves: {_predicted(facts):.1f} s each where the control does not stop at joints.",
    )


def asks(facts: Facts) -> tuple[Asked, ...]:
    """Return the readings: the seconds of both sets."""
    seconds = _predicted(facts)
    return tuple(Asked(name=name, text=f"time of the {name}", expected=seconds, quantity=TIME) for name in PIECES)


def solve(facts: Facts, readings: Readings) -> CouponResult:
    """Return whether the control stops at joints, and what to write."""
    predicted = _predicted(facts)
    findings: list[Finding] = []
    lines: list[tuple[str, Phrase]] = [
        ("predicted", say("{s} s at {feed}", s=f"{predicted:.1f}", feed=mm_min(facts["feed"], "g")))
    ]
    taken = {name: float(np.mean(readings[name])) for name in PIECES if readings.get(name)}
    values = {f"{name}_s": round(seconds, 2) for name, seconds in taken.items()}
    for name, seconds in taken.items():
        lines.append((name, f"{seconds:.1f} s, {seconds / predicted - 1:+.0%}"))
        if seconds < FASTEST * predicted:
            what = f"{name} took {seconds:.1f} s, less than the feed allows ({predicted:.1f} s)"
            findings.append(
                Finding("reading-impossible", Severity.ERROR, what, "set the feed to 100 % and time it again")
            )
    if len(taken) == len(PIECES) and taken["quarters"] < FASTEST * taken["halves"]:
        what = "quarters took less time than halves, which have fewer joints: the readings contradict each other"
        findings.append(Finding("reading-impossible", Severity.ERROR, what, "time both again"))
    if "quarters" in taken and not findings:
        findings += _judged(facts, taken["quarters"], predicted, values, lines)
    return CouponResult(values=values, lines=tuple(lines), findings=tuple(findings), note="")


def _judged(
    facts: Facts, seconds: float, predicted: float, values: dict[str, float], lines: list[tuple[str, Phrase]]
) -> list[Finding]:
    joint = max(0.0, seconds - predicted) / (PIECES["quarters"] * facts["rounds"])
    values["joint_s"] = round(joint, 3)
    if seconds <= STOPS * predicted:
        lines.append(("joints", "the control goes on through them"))
        return []
    what = f"the control stops at joints: {joint:.2f} s at each, and holes get a dimple there"
    advice = (
        "blending is written already: look whether the control heeds it, and how it wants it said"
        if facts["blends"]
        else "let it blend: path_tolerance = 0.05 mm in the machine's section [control], with a dialect that has it"
    )
    return [Finding("joints-stop", Severity.WARNING, what, advice)]


COUPON = CouponKind(
    name="joints",
    title="a circle run dry: whether the control stops where arcs meet",
    make=make,
    asks=asks,
    solve=solve,
)
