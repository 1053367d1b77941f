from __future__ import annotations

import base64
import csv
import io
import json
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from kerfproof_app.batch import thumbnail
from kerfproof_app.batch.report_data import COLUMNS, csv_bytes, json_bytes, record
from kerfproof_app.batch.report_page import MOST_SENTENCES, page_bytes
from kerfproof_app.batch.result import Result, State
from support.app.batches import plate
from support.shop import shop

EVIL = "<script>alert(\"x\")</script> & 'Blech' \u00fc.dxf"
WARNING = {"rule": "r", "severity": "warning", "message": "<b>", "sentence": "look at <b> & mend", "advice": ""}


def results() -> list[Result]:
    numbers = {"parts": 1, "holes": 2, "width": 100.0, "height": 60.0, "pierces": 3, "cut_length": 400.0}
    times = {"torch_on_s": 20.0, "run_s": 60.0}
    return [
        Result(name="fine.dxf", state=State.PROVEN, code=0, program="fine.nc", picture="<svg/>", **numbers, **times),  # type: ignore[arg-type]
        Result(name=EVIL, state=State.WARNED, code=0, program="sub/a #1%.nc", findings=(WARNING,) * 9, **numbers),  # type: ignore[arg-type]
        Result(name="=no.dxf", state=State.REFUSED, code=1, reason="errors, \u00e4", thickness=3.0, material="steel"),
        Result(name="b\udcff.dxf", state=State.UNREADABLE, code=2, reason="no DXF"),
    ]


class Seen(HTMLParser):
    """Keeps the words by tag, the links, and whether tags close as they open."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.words: list[tuple[str, str]] = []
        self.links: list[str] = []
        self.ids: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in ("meta", "img"):
            self.open.append(tag)
        for key, value in attrs:
            if key in ("href", "src"):
                self.links.append(value or "")
            if key == "id":
                self.ids.append(value or "")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.words.append((self.open[-1], data.strip()))


def seen(page: bytes) -> Seen:
    found = Seen()
    found.feed(page.decode("utf-8"))
    assert found.open == []
    return found


def test_the_page_is_whole_by_itself_and_names_are_only_names() -> None:
    page = seen(page_bytes(results(), (), "my <parts>"))
    assert "script" not in {tag for tag, _ in page.words}
    assert [words for tag, words in page.words if tag == "h1"] == ["my <parts>: 4 drawings"]
    assert all(link.startswith("#d") or link in ("fine.nc", "sub/a%20%231%25.nc") for link in page.links)
    assert {link[1:] for link in page.links if link.startswith("#")} == set(page.ids)
    assert "http" not in page_bytes(results(), (), "x").decode("utf-8")


def test_what_needs_a_look_comes_first_and_worst_first() -> None:
    page = seen(page_bytes(results(), (), "x"))
    heads = [words for tag, words in page.words if tag == "h3"]
    assert heads == ["b\ufffd.dxf", "=no.dxf", EVIL, "fine.dxf"]
    badges = [words for tag, words in page.words if tag == "span" and words[2:].isupper() and len(words) > 5]
    assert [badge[2:] for badge in badges] == ["UNREADABLE", "REFUSED", "PROVEN WITH WARNINGS", "PROVEN"]
    assert [words for tag, words in page.words if tag == "h2"] == ["Need a look (3)", "Proven, nothing to say (1)"]


def test_a_card_tells_size_pierces_length_time_and_findings() -> None:
    words = [words for _, words in seen(page_bytes(results()[:2], (), "x")).words]
    for text in ("100 \u00d7 60 mm (3.937 \u00d7 2.362 in)", "3 pierces, 0.40 m of cut", "1 min 0 s, torch on 20 s"):
        assert text in words, text
    assert "look at <b> & mend" in words
    assert "and 8 more of this kind" in words


def test_a_card_says_where_the_findings_are_that_it_leaves_out() -> None:
    kinds = tuple({**WARNING, "rule": f"r{k}"} for k in range(MOST_SENTENCES + 1))
    few = Result(name="a.dxf", state=State.WARNED, code=0, findings=kinds[1:])
    told = []
    for result in (few, replace(few, findings=kinds), replace(few, more_findings=1)):
        told.append([words for tag, words in seen(page_bytes([result], (), "x")).words if words.startswith("there is")])
    in_json, by_itself = (
        ["there is more; the JSON report holds it"],
        ["there is more; cut this drawing alone to see it all"],
    )
    assert told == [[], in_json, by_itself]


def test_programs_that_are_left_behind_are_warned_of() -> None:
    words = [words for _, words in seen(page_bytes(results(), ("old.nc",), "x")).words]
    assert "Programs without a drawing (1)" in words
    assert "old.nc" in words


def test_what_a_stopped_run_left_is_a_row_of_its_own_everywhere() -> None:
    rows = [*results(), Result(name="z.dxf", state=State.LEFT, code=130, reason="not done: stopped")]
    page = seen(page_bytes(rows, (), "x"))
    assert ("h3", "z.dxf") in page.words
    assert "Need a look (4)" in [words for _, words in page.words]
    assert "\N{HORIZONTAL ELLIPSIS} left" in [words for _, words in page.words]
    assert "\N{HORIZONTAL ELLIPSIS} left" not in [words for _, words in seen(page_bytes(results(), (), "x")).words]
    data = record(rows, ())
    assert (data["exit_code"], data["counts"]["left"]) == (130, 1)
    assert "z.dxf,left," in csv_bytes(rows).decode("utf-8-sig")


def test_the_csv_has_a_row_for_each_drawing_and_no_formula() -> None:
    text = csv_bytes(results()).decode("utf-8")
    assert text.startswith("\ufeff")
    rows = list(csv.DictReader(io.StringIO(text[1:], newline="")))
    assert tuple(rows[0]) == COLUMNS
    assert [row["drawing"] for row in rows] == ["fine.dxf", EVIL, "'=no.dxf", "b\ufffd.dxf"]
    assert (rows[0]["cut_length_mm"], rows[0]["pierces"], rows[0]["run_s"]) == ("400", "3", "60")
    assert (rows[1]["warnings"], rows[1]["first_finding"]) == ("9", "look at <b> & mend")
    assert (rows[2]["result"], rows[2]["first_finding"], rows[2]["width_mm"]) == ("refused", "errors, \u00e4", "")


def test_the_json_tells_counts_sums_and_every_drawing_without_pictures() -> None:
    data = json.loads(json_bytes(results(), ("old.nc",)))
    assert data == json.loads(json.dumps(record(results(), ("old.nc",))))
    counts = {"proven": 1, "proven with warnings": 1, "refused": 1, "unreadable": 1, "failed": 0, "left": 0}
    assert (data["exit_code"], data["counts"]) == (2, counts)
    assert data["totals"] == {
        "programs": 2, "pierces": 6, "cut_length_mm": 800.0, "torch_on_s": 20.0, "run_s": 60.0,
    }  # fmt: skip
    assert data["left_behind"] == ["old.nc"]
    assert len(data["drawings"][1]["findings"]) == 9
    assert "svg" not in json_bytes(results(), ()).decode()


def pixels(svg_or_address: str) -> np.ndarray:
    from kerfproof.report.picture.png import png

    if svg_or_address.startswith("data:"):
        data = base64.b64decode(svg_or_address.partition(",")[2])
    else:
        data = png(svg_or_address, zoom=1.0)
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB")).astype(int)


@pytest.mark.parametrize("most", [thumbnail.LONGEST, 0])
def test_the_small_picture_shows_metal_hole_and_kerf(most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(thumbnail, "LONGEST", most)
    outcome = shop.cut(plate(20.0))
    text = thumbnail.thumbnail(outcome)
    assert text.startswith("data:image/png;base64," if most == 0 else "<svg ")
    if most:
        ElementTree.fromstring(text)
    shown = pixels(text)
    height, width, _ = shown.shape
    metal, scrap = np.array([0xE9, 0xEE, 0xF1]), np.array([0xB4, 0xBD, 0xC4])
    # The plate of 100 x 60 with its hole of 20 lies in the middle, so the middle is scrap and a quarter in is metal.
    assert np.abs(shown[height // 2, width // 2] - scrap).max() <= 2
    assert np.abs(shown[height // 2, width // 4] - metal).max() <= 2
    dark = (shown.sum(axis=2) < 250).mean()
    assert 0.02 < dark < 0.25


def test_what_is_not_cut_is_red_and_what_is_drilled_is_violet() -> None:
    for choice, colour in (("error", (0xC8, 0x32, 0x1E)), ("drill", (0x7A, 0x3E, 0x8E))):
        from kerfproof.job.job import SmallHoles

        shown = pixels(thumbnail.thumbnail(shop.cut(plate(4.0), small_holes=SmallHoles(choice))))
        assert (np.abs(shown - np.array(colour)).max(axis=2) <= 12).sum() > 10, choice


def test_the_sources_of_pages_hold_no_address_of_others() -> None:
    text = Path(thumbnail.__file__).with_name("report_page.py").read_text(encoding="utf-8")
    assert "http" not in text
