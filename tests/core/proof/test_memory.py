"""A proof beside the memory of another one is the proof without it, to the last bit."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from ezdxf.layouts import Modelspace

from kerfproof import api
from kerfproof.errors import Cancelled, Watch, no_watch
from kerfproof.gcode.machine_control import control_of
from kerfproof.gcode.trace import Changes
from kerfproof.job.job import Pin
from kerfproof.parts.model.contour import Contour
from kerfproof.planning import write_and_prove
from kerfproof.proof.evidence.kept_metal import Kept, kept_of
from kerfproof.proof.memory import ProofMemory
from kerfproof.proof.proof import Proof
from support.faulty.faults import FAULTS, Subject
from support.shop.shop import built_in, chart, cut, dxf


def plate(msp: Modelspace) -> None:
    msp.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    for x in (20, 40, 60, 80):
        msp.add_circle((x, 40), 7)


@cache
def subject() -> Subject:
    return Subject(cut(dxf(plate), built_in()))


def written(value: Any) -> object:
    """Return all of a value, floats and arrays to the last bit."""
    if isinstance(value, np.ndarray):
        return value.dtype.str, value.shape, value.tobytes()
    if isinstance(value, Changes):
        return list(value)
    if is_dataclass(value) and not isinstance(value, type):
        return type(value).__name__, [written(getattr(value, field.name)) for field in fields(value)]
    if isinstance(value, (tuple, list)):
        return [written(item) for item in value]
    return repr(value)


def proven(of: Subject, text: str, memory: ProofMemory | None = None, watch: Watch = no_watch, **changes: Any) -> Proof:
    o = of.outcome
    assert o.plan is not None
    drawn, slits = api.drawn_contours(o.parts, o.left_out)
    known = {"drawn": drawn, "slits": slits, "plate": o.plan.plate, "process": o.process, "machine": o.machine}
    known |= changes
    return api.prove(text, api.Against(control=control_of(known["machine"]), **known), memory=memory, watch=watch)


def texts(of: Subject) -> list[str]:
    """Return programs much like this one: with faults at the top, in the middle and at the end, and itself."""
    lines = of.lines
    moves = [k for k, line in enumerate(lines) if line.startswith("G1 X")]
    begin, stop = of.blocks()[1]
    digits = [[*lines[:k], lines[k].replace("G1 X", "G1 X1"), *lines[k + 1 :]] for k in (moves[0], moves[-1])]
    faults = [
        FAULTS[name](of) for name in ("hole moved by 0.2 mm", "touch-off dropped", "end word lost", "G91 left on")
    ]
    out = [
        lines,
        *digits,
        [*lines[:begin], *lines[stop:]],
        *(fault for fault in faults if fault),
        lines,
        ["(one more)", *lines],
        lines[:stop],
    ]
    return ["\n".join([*text, ""]) for text in out]


def test_a_proof_after_another_is_the_proof_from_nothing() -> None:
    of, memory = subject(), ProofMemory()
    for number, text in enumerate(texts(of)):
        plain = written(proven(of, text))
        assert written(proven(of, text, memory)) == plain, number


def test_nothing_is_taken_from_the_proof_for_another_machine_process_or_drawing() -> None:
    of, memory = subject(), ProofMemory()
    text, o = "\n".join([*of.lines, ""]), of.outcome
    drawn = proven_drawn(of)
    proven(of, text, memory, drawn=drawn)
    kept = memory.kept(drawn)
    others: list[dict[str, Any]] = [
        {"machine": replace(o.machine, float_travel=o.machine.float_travel + 0.5)},
        {"machine": replace(o.machine, arc_wait="G4 P0.6")},
        {"process": replace(o.process, kerf=o.process.kerf + 0.3)},
        {"mode": "dry"},
    ]
    for other in others:
        own = {"drawn": drawn, **other}
        assert written(proven(of, text, memory, **own)) == written(proven(of, text, **own)), other
        assert memory.kept(drawn) is kept, "the drawing is the same"
    for other in ({"drawn": drawn[1:]}, {"drawn": tuple(map(replace, drawn))}, {"placed": False}):
        assert written(proven(of, text, memory, **other)) == written(proven(of, text, **other)), other
    assert memory.kept(drawn) is not kept


def test_a_proof_that_is_broken_off_at_any_stage_leaves_the_memory_fit() -> None:
    of, memory = subject(), ProofMemory()
    right, wrong = texts(of)[:2]
    plain = [written(proven(of, text)) for text in (right, wrong)]
    for stage in ("reading the program", "read program", "comparing with the drawing", "applying the rules"):
        proven(of, right, memory)

        def stop(name: str, share: float, at: str = stage) -> None:
            if name == at:
                raise Cancelled("stopped")

        with pytest.raises(Cancelled):
            proven(of, wrong, memory, watch=stop)
        assert [written(proven(of, text, memory)) for text in (wrong, right)] == plain[::-1], stage


def test_a_bench_makes_the_drawing_ready_once_and_a_single_plan_holds_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[int] = []

    def counted(drawn: tuple[Contour, ...]) -> Kept:
        made.append(len(drawn))
        return kept_of(drawn)

    monkeypatch.setattr("kerfproof.proof.memory.kept_of", counted)
    o = subject().outcome
    moved = replace(o.job, pins=(Pin(drawing="part.dxf", x=60.0, y=0.0),))
    bench, sources, shop = api.Bench(), {"part.dxf": dxf(plate)}, api.Shop(o.machine, chart())
    first = bench.plan(o.job, sources, shop)
    again = bench.plan(moved, sources, shop)
    assert again.program is not None and first.program is not None and again.program != first.program
    assert made == [5]
    monkeypatch.setattr(write_and_prove, "ProofMemory", None)
    assert written(api.plan(moved, sources, shop).proof) == written(again.proof)


def proven_drawn(of: Subject) -> tuple[Any, ...]:
    return api.drawn_contours(of.outcome.parts, of.outcome.left_out)[0]
