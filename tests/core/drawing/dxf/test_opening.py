from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable

import numpy as np
import pytest
from ezdxf.lldxf.const import DXFStructureError
from ezdxf.lldxf.tagger import ascii_tags_loader
from ezdxf.lldxf.types import DXFTag

from kerfproof.drawing.drawing import Drawing
from kerfproof.drawing.dxf.opening import ascii_tags
from kerfproof.drawing.dxf.reader import read_dxf
from kerfproof.drawing.dxf.text import TagColumns, curves_in
from kerfproof.errors import KerfproofError, Severity
from support.drawings.drawings import as_bytes, as_text, bare, new, rules, tags

VERSIONS = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]


def _part(version: str = "R2010", layer: str = "0") -> bytes:
    document, space = new(version=version)
    space.add_line((0, 0), (26.263876, 4.5), dxfattribs={"layer": layer})
    space.add_circle((10.25, 3.5), 1.5)
    return as_bytes(document)


def _shapes(drawing: Drawing) -> list[list[list[float]]]:
    return [np.round(e.path.vertices, 9).tolist() for e in drawing.entities if e.path is not None]


@pytest.mark.parametrize("version", VERSIONS)
def test_ascii_and_binary_of_all_versions_are_equal(version: str) -> None:
    document, space = new(version=version)
    space.add_line((0, 0), (26.263876, 4.5))
    space.add_arc((10.25, 3.5), 1.5, 20, 250)
    ascii_one = read_dxf(as_bytes(document), "a.dxf")
    binary_one = read_dxf(as_bytes(document, binary=True), "b.dxf")
    assert len(ascii_one.entities) == 2
    assert _shapes(ascii_one) == _shapes(binary_one)
    assert ascii_one.version == binary_one.version == document.dxfversion
    # The oldest format has no header variable for the unit.
    assert ascii_one.units == binary_one.units
    assert ascii_one.units.source == ("unknown" if version == "R12" else "header")


@pytest.mark.parametrize("ends", [b"\r\n", b"\r", b"\n", b"\r\r\n", b"  \n"])
def test_all_line_ends_are_read(ends: bytes) -> None:
    data = _part().replace(b"\r\n", b"\n").replace(b"\n", ends)
    assert len(read_dxf(data, "ends.dxf").entities) == 2


@pytest.mark.parametrize(
    ("page", "encoding", "layer"),
    [("ANSI_1252", "cp1252", "Löcher"), ("ansi_1250", "cp1250", "řez"), ("ANSI_932", "cp932", "切断"),
     ("ANSI_936", "gbk", "切断"), ("ANSI_1251", "cp1251", "контур")],
)  # fmt: skip
def test_layer_names_are_read_in_the_encoding_of_the_header(page: str, encoding: str, layer: str) -> None:
    text = _part("R2000", "LAYERNAME").decode("ascii").replace("ANSI_1252", page).replace("LAYERNAME", layer)
    assert read_dxf(text.encode(encoding), "e.dxf").entities[0].layer == layer


@pytest.mark.parametrize("page", [b"ASCII", b"UNDEFINED", b"ANSI_9999", b""])
def test_unknown_encodings_and_bytes_that_fit_none_do_no_harm(page: bytes) -> None:
    data = _part("R2000", "NAME").replace(b"ANSI_1252", page).replace(b"NAME", b"L\xf6cher\x81")
    drawing = read_dxf(data, "e.dxf")
    assert len(drawing.entities) == 2
    drawing.entities[0].layer.encode("utf-8")


def test_a_new_drawing_that_is_not_utf8_and_one_in_utf16_are_read() -> None:
    data = _part("R2010", "NAME")
    assert read_dxf(data.replace(b"NAME", b"L\xf6cher"), "e.dxf").entities[0].layer == "Löcher"
    assert len(read_dxf(data.decode().encode("utf-16"), "u.dxf").entities) == 2
    assert len(read_dxf(b"\xef\xbb\xbf" + data, "m.dxf").entities) == 2


def test_a_header_that_names_the_wrong_code_page_over_utf8_does_not_garble_layer_names() -> None:
    data = _part("R2000", "LAYERNAME").replace(b"LAYERNAME", "Löcher".encode())
    assert b"ANSI_1252" in data
    assert read_dxf(data, "w.dxf").entities[0].layer == "Löcher"


def test_rubbish_after_the_end_of_the_file_is_not_read() -> None:
    for rubbish in (b"\r\n<html>404</html>\r\n", bytes(range(256)), b"\x1a\x00\x00"):
        drawing = read_dxf(_part() + rubbish, "r.dxf")
        assert len(drawing.entities) == 2, rubbish
    document, space = new()
    space.add_circle((0, 0), 5)
    assert len(read_dxf(as_bytes(document, binary=True) + b"\r\nrubbish", "b.dxf").entities) == 1


def test_an_end_mark_in_the_middle_is_refused_with_its_line() -> None:
    text = _part().decode().replace("\r\n", "\n")
    at = text.index("  0\nCIRCLE\n")
    line = text[:at].count("\n") + 2
    with pytest.raises(KerfproofError, match=f"end mark stands in the middle, at line {line}"):
        read_dxf((text[:at] + "  0\nEOF\n" + text[at:]).encode(), "m.dxf")


@pytest.mark.parametrize(("tag", "words"), [("10\n10.25", "x"), ("40\n1.5", "radius")])
def test_what_is_missing_in_an_entity_does_not_become_zero(tag: str, words: str) -> None:
    text = _part().decode().replace("\r\n", "\n")
    at = text.index(tag, text.index("AcDbCircle"))
    changed = text[: at - 1] + text[at + len(tag) + 1 :]
    try:
        drawing = read_dxf(changed.encode(), "m.dxf")
    except KerfproofError as error:
        assert words in str(error)
        return
    (broken,) = [f for f in drawing.findings if f.rule == "entity-broken"]
    assert broken.severity == "error" and "missing" in broken.message


def test_a_polyline_that_lost_a_vertex_is_an_error_with_its_line() -> None:
    document, space = new()
    space.add_lwpolyline([(0, 0), (50, 0), (50, 30), (0, 30)], close=True)
    text = as_text(document).replace("\r\n", "\n").replace(" 10\n50.0\n 20\n30.0\n", "")
    (broken,) = [f for f in read_dxf(text.encode(), "v.dxf").findings if f.rule == "entity-broken"]
    assert "says it has 4 vertices and holds 3 x and 3 y" in broken.message
    line = int(broken.message.split("line ")[1].split()[0])
    assert text.split("\n")[line - 1] == "LWPOLYLINE"


@pytest.mark.parametrize("kind", ["3DFACE", "LINE", "LWPOLYLINE"])
def test_the_vertices_of_a_polyline_are_counted_up_to_the_next_entity_whatever_it_is(kind: str) -> None:
    document, space = new()
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
    corners = [(0, 0, 0), (9, 0, 0), (9, 9, 0)]
    {"3DFACE": space.add_3dface, "LINE": lambda c: space.add_line(*c[:2]), "LWPOLYLINE": space.add_lwpolyline}[kind](
        corners
    )
    assert not [f for f in read_dxf(as_bytes(document), "a.dxf").findings if f.severity is Severity.ERROR]


def test_an_entity_without_its_name_is_told_as_lost() -> None:
    text = _part().decode().replace("\r\n", "\n").replace("  0\nCIRCLE\n", "")
    drawing = read_dxf(text.encode(), "n.dxf")
    assert "1 CIRCLE of the file can't be read: the name is missing." in [f.message for f in drawing.findings]


@pytest.mark.parametrize("number", ["1e308", "-1e30", "1e11"])
def test_coordinates_beyond_all_measure_are_faults(number: str) -> None:
    text = _part().decode().replace("26.263876", number)
    (broken,) = [f for f in read_dxf(text.encode(), "f.dxf").findings if f.rule == "entity-broken"]
    assert "it reaches to" in broken.message


def test_the_library_says_nothing_on_its_own(capfd: pytest.CaptureFixture[str]) -> None:
    text = _part().decode().replace("\r\n", "\n")
    document = read_dxf(text.replace("\n  5\n30\n", "\n  5\n2F\n").encode(), "h.dxf")
    assert document.entities
    assert capfd.readouterr().err == ""


def _picture_of_zip() -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("part.dxf", "0\nEOF\n")
    return stream.getvalue()


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (b"", "an empty file"), (b"\n \r\n", "blanks"), (b"\x89PNG\r\n\x1a\n" + bytes(50), "PNG"),
        (b"%PDF-1.7\n%\xe2\xe3", "PDF"), (_picture_of_zip(), "ZIP"), (b"\xff\xd8\xff\xe0" + bytes(9), "JPEG"),
        (b"<?xml version='1.0'?>\n<svg width='5'/>", "SVG"), (b"<html></html>", "HTML"),
        (b"ISO-10303-21;\nHEADER;\n", "STEP"), (b"AC1027" + bytes(100), "DWG"), (b"{\"a\": 1}", "JSON"),
        (b"solid part\nfacet", "STL"), (b"G21 G90\nG0 X0 Y0\n", "a cut program"),
        (bytes(range(256)) * 3, "another kind"),
    ],
)  # fmt: skip
def test_what_is_no_drawing_is_named_in_one_sentence(data: bytes, name: str) -> None:
    with pytest.raises(KerfproofError, match=name) as caught:
        read_dxf(data, "thing.dxf")
    assert caught.value.where == "thing.dxf"
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("share", [0.03, 0.3, 0.6, 0.9, 0.999])
def test_a_file_that_breaks_off_is_refused(share: float) -> None:
    data = _part()
    with pytest.raises(KerfproofError, match=r"breaks off|holds"):
        read_dxf(data[: int(len(data) * share)], "half.dxf")


def test_a_file_that_breaks_off_says_in_which_entity_also_on_a_layer_whose_name_is_a_number() -> None:
    text = _part().decode("ascii").replace("\r\n", "\n")
    cut = text[: text.index("AcDbCircle") + len("AcDbCircle")]
    start = text[: text.index("\nCIRCLE")].count("\n") + 2
    with pytest.raises(
        KerfproofError, match=rf"breaks off at line {cut.count(chr(10)) + 1}, inside the CIRCLE of line {start}"
    ):
        read_dxf(cut.encode(), "half.dxf")


def test_a_binary_file_that_breaks_off_or_is_damaged_is_refused() -> None:
    document, space = new()
    space.add_line((0, 0), (5, 5))
    data = as_bytes(document, binary=True)
    with pytest.raises(KerfproofError, match="breaks off"):
        read_dxf(data[:-200], "half.dxf")
    at = data.rindex(b"AcDbLine") + 16
    with pytest.raises(KerfproofError, match="damaged"):
        read_dxf(data[:at] + data[at + 1 :], "hurt.dxf")


def test_a_missing_end_mark_after_a_whole_drawing_is_only_a_warning() -> None:
    drawing = read_dxf(_part().rstrip().removesuffix(b"EOF").rstrip().removesuffix(b"0").rstrip() + b"\n", "no_end.dxf")
    assert len(drawing.entities) == 2
    assert rules(drawing) == ["file-end-missing"]


LINE = tags((0, "LINE"), (8, "0"), (10, "26,263876"), (20, "4,5"), (30, 0), (11, "0,5"), (21, "-1,25"), (31, "0"))
HOLE = tags((0, "CIRCLE"), (8, "0"), (10, "10,25"), (20, "3,5"), (30, "0"), (40, "1,5E+00"))


def test_decimal_commas_are_read_as_such_when_no_number_has_a_point() -> None:
    drawing = read_dxf(bare(LINE, HOLE), "commas.dxf")
    assert _shapes(drawing) == [[[26.263876, 4.5, 0], [0.5, -1.25, 0]], [[11.75, 3.5, 1], [8.75, 3.5, 1]]]
    (finding,) = [f for f in drawing.findings if f.rule == "decimal-comma"]
    assert "7 numbers" in finding.message
    assert "'26,263876' in line 10" in finding.message


def test_all_commas_of_a_whole_file_are_found() -> None:
    document, space = new(version="R2000")
    space.add_line((0, 0), (26.263876, 4.5))
    space.add_circle((10.25, 3.5), 1.5)
    text = as_text(document)
    lines = text.split("\n")
    for k in range(0, len(lines) - 1, 2):
        if lines[k].strip().isdigit() and (10 <= int(lines[k]) <= 59 or 110 <= int(lines[k]) <= 239):
            lines[k + 1] = lines[k + 1].replace(".", ",")
    changed = "\n".join(lines)
    assert changed != text
    assert _shapes(read_dxf(changed.encode(), "commas.dxf")) == _shapes(read_dxf(text.encode(), "points.dxf"))


@pytest.mark.parametrize(
    ("entity", "why"),
    [
        (LINE.replace("4,5", "4.5"), "line 12 has a decimal point"),
        (tags((0, "LINE"), (8, "0"), (10, "1,250"), (20, "3,500"), (11, "7"), (21, "8")), "group thousands"),
    ],
)
def test_commas_that_may_mean_something_else_are_refused(entity: str, why: str) -> None:
    with pytest.raises(KerfproofError, match=why):
        read_dxf(bare(entity), "commas.dxf")


@pytest.mark.parametrize("number", ["26.2.6", "12x", "", "1,234.5", "#INF", "26,5,1", "0x10"])
def test_a_number_that_would_have_to_be_guessed_is_refused_with_its_line(number: str) -> None:
    entity = tags((0, "LINE"), (8, "0"), (10, 0), (20, 0), (11, number), (21, "5.0"))
    with pytest.raises(KerfproofError, match=r"line 14 holds '.*' where a number belongs"):
        read_dxf(bare(entity), "numbers.dxf")


def test_a_guessed_flag_is_refused_too() -> None:
    entity = tags((0, "POLYLINE"), (8, "0"), (66, 1), (70, "one"), (0, "VERTEX"), (8, "0"), (10, 0), (20, 0))
    with pytest.raises(KerfproofError, match="'one' where a whole number belongs"):
        read_dxf(bare(entity, tags((0, "SEQEND"))), "flags.dxf")


def test_the_old_order_of_coordinates_is_read_right() -> None:
    entity = tags((0, "LINE"), (8, "0"), (10, 1.5), (11, 2.5), (20, 3.5), (21, 4.5), (30, 0), (31, 0))
    drawing = read_dxf(bare(entity, entity), "old.dxf")
    assert _shapes(drawing) == [[[1.5, 3.5, 0], [2.5, 4.5, 0]]] * 2
    assert drawing.entity_count == 2
    assert all(f.severity != "error" for f in drawing.findings if f.rule != "units-unknown")


def test_a_spline_without_its_subclass_is_named_with_its_line() -> None:
    document, space = new(version="R2000")
    spline = space.add_open_spline([(0, 0), (1, 5), (5, 5), (9, 0)])
    text = as_text(document).replace("100\nAcDbSpline\n", "")
    line = text[: text.index("\nSPLINE\n")].count("\n") + 2
    with pytest.raises(KerfproofError, match=f"the SPLINE at line {line} \\(handle {spline.dxf.handle}\\)"):
        read_dxf(text.encode(), "spline.dxf")


def test_what_gets_lost_with_a_damaged_block_is_an_error_and_listed() -> None:
    document, space = new()
    block = document.blocks.new("B")
    block.add_circle((0, 0), 3)
    space.add_line((0, 0), (9, 9))
    text = as_text(document)
    at = text.rindex("ENDBLK")
    drawing = read_dxf((text[:at] + "ENDBLX" + text[at + 6 :]).encode(), "hurt.dxf")
    assert [s.kind for s in drawing.skipped] == ["CIRCLE"]
    assert "entity-lost" in rules(drawing)
    assert drawing.entity_count == len(drawing.entities) + len(drawing.skipped)


def test_curves_are_counted_by_name_and_values_that_look_alike_are_not() -> None:
    text = bare(LINE, HOLE, tags((0, "TEXT"), (1, "LINE"), (0, "VERTEX"), (70, "     0"))).decode()
    assert curves_in(TagColumns.of(text)) == {"LINE": 1, "CIRCLE": 1}


def test_one_place_that_was_mended_is_told_as_one() -> None:
    whole = _part().decode()
    found = read_dxf(whole.replace("ENDSEC\n  0\nEOF", "EOF").encode(), "damaged.dxf").findings
    (mended,) = (f for f in found if f.rule == "file-mended")
    assert "was mended in one place: " in mended.message


@pytest.mark.parametrize(
    "text",
    ["", "0\n", "0\nEOF", "  0 \nSECTION\n999\nwords\n 2\n\nx\n", "1\nEOF\n 0\nEOF\n0\nMORE\n",
     "0\nA\n999\nB\n0\nEOF\n9x\n", "0\nA\n10", "0\nA\n1x\nB\n"],
)  # fmt: skip
def test_tags_are_those_of_the_library(text: str) -> None:
    def told(tags: Iterable[DXFTag]) -> list[object]:
        out: list[object] = []
        try:
            out += ((tag.code, tag.value) for tag in tags)
        except DXFStructureError as error:
            out.append(str(error))
        return out

    assert told(ascii_tags(text, TagColumns.of(text))) == told(ascii_tags_loader(io.StringIO(text)))
