"""The float piece: touches only, the torch is never lit.

It touches off with the float that the machine file has, goes up to zero and to a known gap, where a slip of paper and
a feeler gauge tell how far the float is off; then it touches again and again, and the display tells how well the trip
repeats and whether the datum word took hold where it should. Over 300 lines, as all of a kind stands in its one file.
"""

from __future__ import annotations

import numpy as np

from kerfproof.coupon.facts import heading
from kerfproof.coupon.least_squares import mean_of
from kerfproof.coupon.make_program import given_of, spared
from kerfproof.coupon.piece import Coupon, CouponKind, CouponRequest, CouponResult, Facts, ShopChange
from kerfproof.coupon.readings import Asked, Readings
from kerfproof.cut_plan import CutPlan
from kerfproof.errors import Finding, KerfproofError, Severity
from kerfproof.gcode.dialect import Guard
from kerfproof.gcode.words import message
from kerfproof.gcode.writer.head import end, head
from kerfproof.gcode.writer.program import Program
from kerfproof.gcode.writer.touch_off import (
    AGREE,
    BACK_OFF_FEED,
    RETURN_FEED,
    SETTLE,
    SHORT,
    PlateKnowledge,
    find_plate,
)
from kerfproof.gcode.writer.write_context import WriteContext
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.prove import prove
from kerfproof.sentence import Phrase, joined_phrases, mm, say
from kerfproof.shop.profile import TouchOff
from kerfproof.units import ACCELERATION, FEED, LENGTH, format_length

TOUCHES = 8
RAISED = 5.0
"""How far the tip leaves the plate before it touches again."""
SAME = 0.05
"""The datum has taken hold where it should if the next trip shows the same within this."""
SHARE = 0.1
"""The trip repeats well enough if it spreads over less than this share of the cut height."""
SLIP = 0.15
"""A trip this far from the others may still belong to them."""
FARTHEST = 6.0
"""A float cannot be this far off without anyone having seen it."""


def make(bench: CouponRequest) -> Coupon:
    """Return the piece. It has no motion in the plane: it touches where the torch stands."""
    m, given = bench.machine, given_of(bench)
    if m.touch_off is TouchOff.NONE:
        raise KerfproofError("this machine has no touch-off to measure", where=f"machine {m.name}")
    count = TOUCHES if bench.count is None else bench.count
    if not 3 <= count <= 30:
        raise KerfproofError(f"3 to 30 touches, not {count}")
    gap = 1.016 if m.inches else 1.0
    facts = {
        "kind": "float", "touch_off": m.touch_off.value, "float": m.trip_depth, "gap": gap, "count": count,
        "feed": given.touch_slow, "acceleration": m.z_acceleration_mm_s2, "back_off": bench.control.control_back_off,
        "reads_trip": given.reads_trip, "cut_height": bench.process.cut_height,
    }  # fmt: skip
    plate = (0.0, 0.0, 0.0, 0.0)
    plan = CutPlan(
        name="float test piece: touches only, the torch is never lit", cuts=(), plate=plate, machine=m,
        process=bench.process, heading=heading(bench, plate, "touch", facts),
    )  # fmt: skip
    lines = [*head(plan, given), *find_plate(given, m.park_height_max, PlateKnowledge.NOTHING)]
    lines += _stop(f"display must show Z {given.words.length(-m.trip_depth)}: note it as first")
    lines += _gaps(given, gap)
    for number in range(1, count + 1):
        lines += [*touch_again(given), *_stop(f"touch {number} of {count}: note the Z of the display")]
    program = Program("\n".join([*lines, *end(plan, given)]) + "\n", ())
    proof = prove(program.text, Against(control=bench.control, machine=m, process=bench.process, mode="touch"))
    return Coupon(
        kind="float", program=program, proof=proof, facts=facts, plate=plate, guide=_guide(given, gap, count),
        findings=spared(proof.findings, ()),
    )  # fmt: skip


def _guide(given: WriteContext, gap: float, count: int) -> tuple[Phrase, ...]:
    w = given.words
    return (
        "Switch the torch's power source off. Park the tip raised over flat plate, the very sheet if it is thin.",
        f"first: the Z on the display at the first stop, {w.length(-given.machine.trip_depth)} if all is right.",
        "zero: at the second stop, the thickest paper or feeler that goes under the tip (0 if none does).",
        f"gap: at the third stop, the feeler gauge that just fits under the tip; {w.size(gap)} if the float is right.",
        f"touch: the {count} numbers that the display then shows, one at each stop.",
    )


def _stop(text: str) -> list[str]:
    return [message(text), "M0"]


def _gaps(given: WriteContext, gap: float) -> list[str]:
    """Return the way up to zero and to the gap; always up, so that slack in Z lies on the side it has in a cut."""
    w = given.words
    up = w.feed(given.z_feed(BACK_OFF_FEED))
    slow = w.feed(given.z_feed(RETURN_FEED))
    lines = [f"G1 Z{w.length(-given.preload)} {up}"] if given.machine.touch_off is TouchOff.FLOAT else []
    return [
        *lines,
        f"G1 Z0 {slow}",
        *w.dwell(SETTLE),
        *_stop("zero: paper or feeler that just goes under the tip"),
        f"G1 Z{w.length(gap)} {slow}",
        *w.dwell(SETTLE),
        *_stop(f"gap: feeler that just fits, {w.length(gap)} is right"),
    ]


def touch_again(given: WriteContext) -> list[str]:
    """Return a touch in the frame of the first one: nothing is set, Z ends where the trip was."""
    m, w, control = given.machine, given.words, given.control
    depth = m.trip_depth + m.plate_height_band + 1.0
    lines = [f"G1 Z{w.length(RAISED)} {w.feed(given.z_feed(BACK_OFF_FEED))}", *w.dwell(SETTLE)]
    sense = bool(m.sense_on) and m.touch_off is TouchOff.OHMIC
    lines += [m.sense_on, *w.dwell(SETTLE)] if sense else []
    if given.reads_trip:
        trip = f"#{control.trip_parameter}"
        pause = w.dwell(SETTLE) if control.guard is Guard.COMPARE else []
        lines += [
            f"{control.probe_word} Z{w.length(-depth)} {w.feed(given.touch_fast)}",
            *pause,
            f"#101={trip}",
            f"G1 Z[#101+{w.length(m.back_off)}] {w.feed(given.z_feed(BACK_OFF_FEED))}",
            *w.dwell(SETTLE / 2),
            f"{control.probe_word} Z[#101-{w.length(SHORT)}] {w.feed(given.touch_slow)}",
            *pause,
            *_agree(given, trip),
            f"G1 Z{trip} {w.feed(given.z_feed(RETURN_FEED))}",
        ]
    else:  # where the trip can't be read, the rest of the slow touch is what counts
        lines += [f"{control.probe_word} Z{w.length(-depth)} {w.feed(given.touch_slow)}"]
    return [*lines, *w.dwell(SETTLE), *([m.sense_off, *w.dwell(SETTLE)] if sense and m.sense_off else [])]


def _agree(given: WriteContext, trip: str) -> list[str]:
    limit, apart = given.words.length(AGREE), f"ABS[{trip}-#101]"
    if given.control.guard is Guard.SQRT:
        return [f"#102=SQRT[{limit}-{apart}]"]
    if given.control.guard is Guard.COMPARE:
        return [given.control.guard_above.format(value=apart, limit=limit)]
    return []


# --- readings -------------------------------------------------------------------------------------------------


def asks(facts: Facts) -> tuple[Asked, ...]:
    """Return the readings."""
    return (
        Asked(name="first", text="Z on the display at the first stop", expected=-facts["float"]),
        Asked(name="zero", text="gap under the tip at zero", expected=0.0),
        Asked(name="gap", text="gap under the tip at the third stop", expected=facts["gap"]),
        Asked(name="touch", text="Z on the display at each touch", expected=-facts["float"]),
    )


def solve(facts: Facts, readings: Readings) -> CouponResult:
    """Return the float as it should be, how well the trip repeats, and whether the datum word can be trusted."""
    findings: list[Finding] = []
    lines: list[tuple[str, Phrase]] = []
    values: dict[str, float] = {}
    touches = _touches(facts, readings, findings)
    if len(touches):
        _repeats(facts, touches, values, lines, findings)
        _timing(facts, readings, touches, values, lines, findings)
    changes = _corrected(facts, readings, values, lines, findings)
    if changes and "spread" in values:
        changes.append(
            ShopChange(file="machine", place=("touch_off", "float_spread"), value=values["spread"], quantity=LENGTH)
        )
    return CouponResult(
        values=values, lines=tuple(lines), findings=tuple(findings), changes=tuple(changes), note=_note(facts, values)
    )


def _note(facts: Facts, values: dict[str, float]) -> str:
    text = f"float piece: touched at {facts['feed']:g} mm/min, Z acceleration {facts['acceleration']:g} mm/s2, "
    text += f"control back-off {facts['back_off']:g} mm"
    if "spread" in values:
        text += f", trips within {values['spread']:.3f} mm (std {values['std']:.3f} mm)"
    return text


def _both(mm: float, sign: str = "") -> str:
    """Return a length as it is told of readings, in mm and in inches."""
    return f"{mm:{sign}.3f} mm ({mm / 25.4:{sign}.4f} in)"


def _touches(facts: Facts, readings: Readings, findings: list[Finding]) -> np.ndarray:
    """Return the trips that can be true; all others are findings."""
    expected, good = -facts["float"], []
    for value in readings.get("touch", ()):
        why = ""
        if abs(value - expected) > FARTHEST:
            why = "too far off to be true"
            for factor, text in (
                (25.4, "inches typed as mm"),
                (1 / 25.4, "mm typed as inches"),
                (-1.0, "the sign is lost"),
            ):
                if abs(value * factor - expected) <= FARTHEST and expected:
                    why = f"it looks like {text}" if factor > 0 else text
        if why:
            message = f"touch = {_both(value)}, about {_both(expected)} is expected: {why}"
            findings.append(Finding("reading-impossible", Severity.ERROR, message, "read it again, or leave it out"))
        else:
            good.append(value)
    return np.array(good)


def _repeats(
    facts: Facts,
    touches: np.ndarray,
    values: dict[str, float],
    lines: list[tuple[str, Phrase]],
    findings: list[Finding],
) -> None:
    fit = mean_of(touches.tolist(), SLIP)
    for k in np.flatnonzero(~fit.used).tolist():
        message = f"touch {k + 1} = {_both(touches[k])} is {_both(fit.residuals[k], '+')} off the others"
        advice = "a false trip, dirt, or a typing mistake: touch again"
        findings.append(Finding("reading-outlier", Severity.WARNING, message, advice))
    kept = touches[fit.used]
    values |= {
        "trip_mean": round(float(kept.mean()), 4), "trip_min": round(float(kept.min()), 4),
        "trip_max": round(float(kept.max()), 4), "std": round(float(kept.std(ddof=1)) if len(kept) > 1 else 0.0, 4),
        "spread": round(float(np.ptp(kept)), 4),
    }  # fmt: skip
    band = f"{_both(kept.min())} to {_both(kept.max())}, std {_both(values['std'])}"
    lines.append(("repeats", f"{len(kept)} of {len(touches)} touches: {band}"))
    if len(touches) < 5:
        message = f"{len(touches)} touches say little about how the trip repeats"
        findings.append(Finding("few-readings", Severity.NOTE, message, "take eight"))
    allowed = SHARE * facts["cut_height"]
    if values["spread"] > allowed:
        message = (
            f"the trips spread over {format_length(values['spread'])}, more than a tenth of the cut height "
            f"({format_length(allowed)})"
        )
        advice = "look at switch, slide and wiring; touch slower"
        findings.append(Finding("touch-spreads", Severity.WARNING, message, advice))


def _timing(
    facts: Facts,
    readings: Readings,
    touches: np.ndarray,
    values: dict[str, float],
    lines: list[tuple[str, Phrase]],
    findings: list[Finding],
) -> None:
    """Judge the datum word: the trips after it must show what it set."""
    first = readings.get("first", (-facts["float"],))[-1]
    if abs(first + facts["float"]) > SAME:
        message = say(
            "right after the datum word the display showed {first} instead of {float}",
            first=mm(first, "g"),
            float=mm(-facts["float"], "g"),
        )
        advice = "another datum word or a work offset is in the way; see the dialect's datum word"
        findings.append(Finding("datum-not-taken", Severity.ERROR, message, advice))
        return
    off = float(np.median(touches)) - first
    values["datum_off"] = round(off, 4)
    if abs(off) <= max(SAME, 2 * values["spread"] / max(1.0, np.sqrt(len(touches)))):
        lines.append(("datum word", f"takes hold where it should: {_both(off, '+')}"))
        return
    message = say(
        "the touches after the datum show {off}: the control took it while Z was still moving", off=mm(off, "+.3f")
    )
    advice = "a longer dwell before the datum word, or another datum word (control.dialect); nothing was corrected"
    findings.append(Finding("datum-timing", Severity.ERROR, message, advice))


def _corrected(
    facts: Facts, readings: Readings, values: dict[str, float], lines: list[tuple[str, Phrase]], findings: list[Finding]
) -> list[ShopChange]:
    """Return the float that makes zero zero. A gap too wide means that the head was raised too far: less float."""
    offs = []
    for name, at in (("zero", 0.0), ("gap", facts["gap"])):
        for value in readings.get(name, ()):
            if value < 0 or value - at > FARTHEST:
                slip = " (mm typed as inches?)" if abs(value / 25.4 - at) < 1.0 else ""
                message = say(
                    "{name} = {value} is no gap under the tip here{slip}", name=name, value=mm(value, "g"), slip=slip
                )
                findings.append(Finding("reading-impossible", Severity.ERROR, message, "measure it again"))
            elif name == "gap" or value > 0:
                offs.append((name, value - at))
    if not offs:
        return []
    if 0.0 in readings.get("zero", ()) and max(o for _, o in offs) > 0.0:
        offs.append(("zero", 0.0))  # nothing went under: the tip lies at zero or lower
    apart = max(o for _, o in offs) - min(o for _, o in offs)
    if apart > 0.3:
        message = say(
            "the gaps contradict each other by {apart}: {gaps}",
            apart=mm(apart, ".2f"),
            gaps=joined_phrases(say("{name} {off}", name=n, off=mm(o, "+.2f")) for n, o in offs),
        )
        advice = "one is a slip, or Z has slack: measure both again"
        findings.append(Finding("gaps-disagree", Severity.ERROR, message, advice))
    off = float(np.mean([o for _, o in offs]))
    values["off"] = round(off, 4)
    if facts["touch_off"] != TouchOff.FLOAT.value:
        lines.append(
            (
                "contact",
                say("is felt {off} off the plate: clean the tip, look at the sense circuit", off=mm(off, "+.3f")),
            )
        )
        return []
    corrected = round(facts["float"] - off, 3)
    values["float"] = corrected
    lines.append(("float", f"{_both(corrected)}, it was {_both(facts['float'])}"))
    if corrected <= 0:
        findings.append(
            Finding(
                "reading-impossible",
                Severity.ERROR,
                say("a float of {corrected} is none", corrected=mm(corrected, "g")),
            )
        )
    return [
        ShopChange(file="machine", place=("touch_off", "float"), value=corrected, quantity=LENGTH),
        ShopChange(file="machine", place=("touch_off", "float_measured_at"), value=float(facts["feed"]), quantity=FEED),
        ShopChange(
            file="machine", place=("touch_off", "float_acceleration"), value=float(facts["acceleration"]),
            quantity=ACCELERATION,
        ),
    ]  # fmt: skip


COUPON = CouponKind(
    name="float", title="touches without the torch: the float, how the trip repeats, the datum word",
    make=make, asks=asks, solve=solve,
)  # fmt: skip
