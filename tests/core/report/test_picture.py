from __future__ import annotations

import math
import re
from typing import Any

import pytest

from kerfproof import api
from kerfproof.errors import Finding, Severity
from kerfproof.job.job import DrawingUse, Mode
from kerfproof.programs.prove_program import ProgramAtHand
from kerfproof.report.data.facts import edge_words
from kerfproof.report.picture.picture import compose
from kerfproof.report.picture.proof_picture import compose_proved
from kerfproof.report.picture.svg import draw
from support.shop import outcomes, shop

CUT = {"kerf", "lead_in", "lead_out", "travel"}


@pytest.mark.parametrize("mode", [Mode.DRY, Mode.FRAME, Mode.TOUR])
def test_what_never_lights_the_torch_says_so_and_looks_like_no_cut(mode: Mode) -> None:
    outcome = shop.cut(shop.demo("gusset"), mode=mode)
    shown = compose(outcome)
    assert not CUT & {layer.role for layer in shown.layers}
    assert not shown.arrows
    assert len(shown.discs) == (0 if mode is Mode.FRAME else 6)
    assert dict(shown.facts)["Cuts"] == "none, the torch stays off"
    assert "Edge" not in dict(shown.facts)
    (raised,) = (layer for layer in shown.layers if layer.role == "raised")
    trace = outcome.proof.trace
    moved = sum(math.dist(a[:2], b[:2]) for a, b, s in zip(trace.start, trace.end, trace.sweep, strict=True) if not s)
    assert sum(path.length() for path in raised.paths) >= moved - 1e-6 > 100
    text = draw(shown)
    assert "TORCH STAYS OFF" in text
    assert re.search(r'<path class="raised" [^>]*stroke-dasharray', text)
    assert "way of the raised torch" in text
    assert "TORCH STAYS OFF" not in draw(compose(shop.cut(shop.demo("gusset"))))


def test_a_proven_program_that_never_lights_the_torch_is_drawn_the_same_way() -> None:
    outcome = shop.cut(shop.demo("gusset"), mode=Mode.DRY)
    program = ProgramAtHand(
        text=outcome.program.text, name="g.nc", shop=api.Shop(outcome.machine, shop.chart()), material="mild steel",
        thickness=3.0,
    )  # fmt: skip
    proven = api.prove_program(program)
    shown = compose_proved("g.nc", proven, ())
    assert shown.verdict == proven.verdict
    assert shown.notice == "TORCH STAYS OFF"
    assert {layer.role for layer in shown.layers} == {"raised"}


def test_an_edge_that_is_far_off_is_told_in_millimetres() -> None:
    assert edge_words(0.0051) == "within 5.1 µm of the drawing"
    assert edge_words(14.5) == "up to 14.5 mm (0.571 in) off the drawing"


def test_findings_keep_their_places_when_alike_ones_share_a_flag() -> None:
    many = [Finding("gap", Severity.WARNING, f"gap {k}", x=float(k), y=1.0, drawing="a") for k in range(9)]
    (flag,) = compose(outcomes.outcome(*many)).callouts
    assert (flag.at, flag.more) == ((10.0, 11.0), tuple((10.0 + k, 11.0) for k in range(1, 9)))


def test_chains_that_do_not_close_are_seen_where_they_lie_on_the_plate() -> None:
    def drawing(space: Any) -> None:
        space.add_lwpolyline([(100, 0), (200, 0), (200, 80), (100, 80)], close=True)
        space.add_lwpolyline([(120, 20), (140, 20), (140, 35)])

    outcome = shop.cut(shop.dxf(drawing))
    (uncut,) = (layer for layer in compose(outcome).layers if layer.role == "uncut")
    (path,) = uncut.paths
    dx, dy = outcome.shift
    ends = {(round(float(x - dx), 6), round(float(y - dy), 6)) for x, y in (path.start, path.end)}
    assert ends == {(120.0, 20.0), (140.0, 35.0)}


def test_the_flag_of_a_finding_lies_on_the_drawing_it_is_of() -> None:
    def part(space: object) -> None:
        space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
        space.add_line((20, 30), (40, 35))

    data = shop.dxf(part)
    uses = (DrawingUse(name="a.dxf"), DrawingUse(name="b.dxf", turn_deg=90))
    made = shop.cut(data, drawings=uses)
    flags = [c.at for c in compose(made).callouts if "does not close" in c.text]
    assert len(flags) == 2
    for at, piece in zip(flags, made.parts.parts, strict=True):
        x0, y0, x1, y1 = piece.outline.contour.path.bounds()
        assert x0 < at[0] < x1 and y0 < at[1] < y1
