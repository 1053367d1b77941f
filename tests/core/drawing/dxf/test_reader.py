from __future__ import annotations

from collections import Counter

import pytest
from ezdxf.document import Drawing as Document
from ezdxf.layouts.layout import Modelspace

from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.dxf.reader import read_dxf
from kerfproof.drawing.settings import ReadSettings
from kerfproof.errors import Cancelled
from support.drawings.drawings import as_bytes, as_text, drawn, new


def _mixed() -> Document:
    document, space = new()
    space.add_line((0, 0), (10, 0), dxfattribs={"layer": "Outline"})
    space.add_circle((5, 5), 2, dxfattribs={"layer": "holes-5"})
    space.add_arc((50, 50), 2, 0, 90, dxfattribs={"layer": "HOLES-8"})
    space.add_text("part 1", dxfattribs={"layer": "TEXT"})
    space.add_mtext("more")
    space.add_point((1, 1))
    space.add_hatch().paths.add_polyline_path([(0, 0), (1, 0), (1, 1)])
    space.add_3dface([(0, 0), (1, 0), (1, 1), (0, 1)])
    space.add_solid([(0, 0), (1, 0), (1, 1)])
    space.add_linear_dim((0, 5), (0, 0), (10, 0)).render()
    space.add_ray((0, 0), (1, 1))
    space.add_leader([(0, 0), (1, 1)])
    space.add_mline([(0, 0), (9, 9)])
    document.layout("Layout1").add_line((0, 0), (100, 100))
    return document


def test_all_that_a_file_holds_is_either_read_or_listed() -> None:
    document = _mixed()
    drawing = read_dxf(as_bytes(document), "mixed.dxf")
    text = as_text(document)
    entities = text[text.index("\nENTITIES\n") : text.index("\nENDSEC\n", text.index("\nENTITIES\n"))]
    lines = entities.strip("\n").split("\n")[1:]
    in_text = Counter(value for code, value in zip(lines[::2], lines[1::2], strict=False) if code.strip() == "0")
    in_drawing = Counter([e.kind for e in drawing.entities] + [s.kind for s in drawing.skipped])
    assert in_drawing == in_text
    assert drawing.entity_count == sum(in_text.values())
    assert {e.kind for e in drawing.entities} == {"LINE", "CIRCLE", "ARC", "POINT"}


def test_each_skipped_entity_has_a_reason_and_doubtful_ones_a_warning() -> None:
    drawing = read_dxf(as_bytes(_mixed()), "mixed.dxf")
    reasons = {s.kind: s.reason for s in drawing.skipped if s.reason != "it lies in paper space"}
    assert reasons == {
        "TEXT": "text is not cut",
        "MTEXT": "text is not cut",
        "HATCH": "a hatch is not cut",
        "3DFACE": "a body in space is no flat outline",
        "SOLID": "a filled area is not cut",
        "DIMENSION": "dimensions and leaders are not cut",
        "LEADER": "dimensions and leaders are not cut",
        "RAY": "an endless construction line is not cut",
        "MLINE": "a multiple line can't be read",
    }
    warned = [f for f in drawing.findings if f.rule == "entity-not-read"]
    assert sorted(f.message.split()[0] for f in warned) == ["MLINE", "SOLID"]
    notes = [f.message for f in drawing.findings if f.rule == "left-out"]
    assert "Not cut: 1 MTEXT, 1 TEXT; text is not cut." in notes
    assert any("paper space" in note for note in notes)


def test_attributes_of_references_and_unknown_kinds_are_listed() -> None:
    def draw(document: Document, space: Modelspace) -> None:
        document.blocks.new("B").add_line((0, 0), (1, 0))
        space.add_blockref("B", (0, 0)).add_attrib("NAME", "x", (0, 0))

    drawing = drawn(draw)
    assert [s.kind for s in drawing.skipped] == ["ATTRIB"]
    assert drawing.entity_count == 2
    text = as_text(_mixed()).replace("\nRAY\n", "\nNEWKIND\n")
    strange = read_dxf(text.encode(), "strange.dxf")
    assert ("NEWKIND", "this kind of entity is not known") in {(s.kind, s.reason) for s in strange.skipped}


@pytest.mark.parametrize(
    ("patterns", "kinds"),
    [
        (("HOLES*",), ["CIRCLE", "ARC"]),
        (("outline", "*-8"), ["LINE", "ARC"]),
        (("none",), []),
        ((), ["LINE", "CIRCLE", "ARC"]),
    ],
)
def test_layers_are_chosen_by_patterns_in_any_case(patterns: tuple[str, ...], kinds: list[str]) -> None:
    drawing = read_dxf(as_bytes(_mixed()), "mixed.dxf", ReadSettings(layers=patterns))
    assert [e.kind for e in drawing.entities if e.path is not None] == kinds
    assert drawing.entity_count == len(drawing.entities) + len(drawing.skipped)


def test_only_what_lies_wholly_inside_the_window_is_kept() -> None:
    document, space = new(units=1)
    space.add_circle((1, 1), 0.5)  # 12.7 to 38.1 mm
    space.add_circle((1, 1), 2)
    space.add_arc((1, 1), 1.5, 80, 100)  # only its bow is above 60 mm
    space.add_point((1, 1))
    space.add_point((9, 9))
    drawing = read_dxf(as_bytes(document), "w.dxf", ReadSettings(window=(0, 0, 60, 60)))
    assert [e.kind for e in drawing.entities] == ["CIRCLE", "POINT"]
    assert [s.kind for s in drawing.skipped] == ["CIRCLE", "ARC", "POINT"]
    assert {s.reason for s in drawing.skipped} == {"it does not lie wholly inside the chosen window"}


def _nothing(draw: object, **settings: object) -> str:
    drawing = drawn(draw, **settings)  # type: ignore[arg-type]
    (finding,) = [f for f in drawing.findings if f.rule == "nothing-to-cut"]
    assert finding.severity == "error"
    return finding.message


def test_a_drawing_with_nothing_to_cut_says_why() -> None:
    assert "it is empty" in _nothing(lambda d, m: None)
    assert "text and dimensions only" in _nothing(lambda d, m: m.add_text("x"))
    assert "bodies in space only" in _nothing(lambda d, m: m.add_3dface([(0, 0), (1, 0), (1, 1)]))
    assert "points only" in _nothing(lambda d, m: m.add_point((1, 1)))
    assert "paper space" in _nothing(lambda d, m: d.layout("Layout1").add_line((0, 0), (9, 9)))

    def frozen(document: Document, space: Modelspace) -> None:
        document.layers.add("ICE").freeze()
        space.add_line((0, 0), (9, 9), dxfattribs={"layer": "ICE"})

    assert "its layer ICE is frozen" in _nothing(frozen)


def test_reading_can_be_watched_and_stopped() -> None:
    seen: list[float] = []
    document, space = new()
    for k in range(2_000):
        space.add_line((k, 0), (k, 1))
    data = as_bytes(document)
    read_dxf(data, "long.dxf", watch=lambda stage, share: seen.append(share))
    assert seen == sorted(seen)
    assert seen[-1] == 1

    def stop(stage: str, share: float) -> None:
        if share > 0.4:
            raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        read_dxf(data, "long.dxf", watch=stop)


def test_the_same_bytes_give_the_same_drawing() -> None:
    data = as_bytes(_mixed())

    def told(drawing: Drawing) -> list[object]:
        paths = [e.path.vertices.tolist() for e in drawing.entities if e.path is not None]
        return [paths, drawing.skipped, drawing.findings, drawing.layers]

    assert told(read_dxf(data, "m.dxf")) == told(read_dxf(data, "m.dxf"))
    assert read_dxf(data, "m.dxf").layers == ("0", "HOLES-8", "Outline", "TEXT", "holes-5")
