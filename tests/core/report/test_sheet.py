"""The setup sheet, opened and read by another library than the one that made it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pypdfium2
import pytest

from kerfproof.errors import KerfproofError
from kerfproof.job.job import Mode, Rests, SmallHoles
from kerfproof.report.sheet.facts import least_shade, weight_words
from kerfproof.report.sheet.paint import _cubics, frame_for
from kerfproof.report.sheet.setup_sheet import SIZES, Paper, sheet
from kerfproof.shop.material import density
from kerfproof_resources import data
from support.shop.shop import built_in, cut, demo, dxf

FONTS = (data("fonts", "DejaVuSans", ".ttf"), data("fonts", "DejaVuSans-Bold", ".ttf"))


def plate(space) -> None:
    space.add_lwpolyline([(0, 0), (100, 0), (100, 60), (0, 60)], close=True)
    space.add_circle((50, 30), 10)


def read(data: bytes) -> tuple[str, pypdfium2.PdfPage]:
    document = pypdfium2.PdfDocument(data)
    assert len(document) == 1
    page = document[0]
    return " ".join(page.get_textpage().get_text_bounded().split()), page


@pytest.fixture(scope="module")
def gusset():
    return cut(demo("gusset"), name="gusset.dxf")


def test_the_sheet_says_what_the_person_must_set(gusset):
    text, _ = read(sheet(gusset, FONTS, Paper.A4, "gusset.nc"))
    for words in (
        "gusset.dxf", "PROVEN", "program gusset.nc", "mild steel", "3 mm (0.118 in)", "40 A", "2200 mm/min",
        "(86.6 in/min)", "1.45 mm (0.057 in)", "200 mm (7.87 in)", "150 mm (5.91 in)", "6 pierces", "6 of about 100",
        "lower left corner of the plate", "scale 1:", "Notes", "work clamp on the plate", "water table filled",
        "X and Y zero set", "--dry", "--frame", "shade 8 or darker", "35 ft", "Local codes, licensed practice",
        "allowed at 40 A", "not covered: arc failing to light",
    ):  # fmt: skip
        assert words in text, words


def test_each_pierce_has_its_number_on_the_page(gusset):
    _, page = read(sheet(gusset, FONTS))
    words = page.get_textpage().get_text_range().split()
    assert {str(k) for k in range(1, 7)} <= set(words)


def test_of_very_many_pierces_each_tenth_is_numbered():
    machine = replace(built_in(), travel_x=1300.0, travel_y=700.0)
    text, page = read(sheet(cut(dxf(crowd), machine), FONTS))
    assert "numbers: each 10th pierce in order of cutting" in text
    words = page.get_textpage().get_text_range().split()
    assert {str(k) for k in range(10, 201, 10)} <= set(words) and "111" not in words


def test_air_and_consumables_are_the_charts_words_or_lines_to_write_on(gusset):
    named = replace(gusset.process, air="5 bar at the gauge", consumables="tip 1.1, electrode new")
    text, _ = read(sheet(replace(gusset, process=named), FONTS))
    assert "5 bar at the gauge" in text and "tip 1.1, electrode new" in text
    text, _ = read(sheet(replace(gusset, process=replace(gusset.process, air="", consumables="")), FONTS))
    assert "______ bar flowing, clean, dry" in text and "tip ______ electrode ______" in text


@pytest.mark.parametrize(
    ("used", "words"),
    [
        (None, "6 of about 100 starts (6 %)"),
        (0.4, "40% used, 46% after this job: 6 of 100 starts"),
        (0.97, "97% used, 103% after this job: 6 of 100 starts; new tips: 1"),
    ],
)
def test_the_tips_life_is_told_as_it_was_counted(gusset, used, words):
    assert words in read(sheet(gusset, FONTS, tip_used=used))[0]


@pytest.mark.parametrize("paper", list(Paper))
def test_the_page_has_the_size_of_its_paper(gusset, paper):
    _, page = read(sheet(gusset, FONTS, paper))
    assert page.get_size() == pytest.approx(SIZES[paper], abs=0.01)


def test_a4_and_letter_are_what_the_standards_say():
    # ISO 216: 210 x 297 mm; letter: 8.5 x 11 in; one point is 1/72 in.
    assert SIZES[Paper.A4] == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72))
    assert SIZES[Paper.LETTER] == pytest.approx((8.5 * 72, 11 * 72))


def long_strip(space) -> None:
    space.add_lwpolyline([(0, 0), (1100, 0), (1100, 25), (0, 25)], close=True)


def tall_strip(space) -> None:
    space.add_lwpolyline([(0, 0), (25, 0), (25, 600), (0, 600)], close=True)


def crowd(space) -> None:
    for i in range(20):
        for j in range(10):
            x, y = 55 * i, 55 * j
            space.add_lwpolyline([(x, y), (x + 30, y), (x + 30, y + 30), (x, y + 30)], close=True)


@pytest.mark.parametrize("draw", [plate, long_strip, tall_strip, crowd])
@pytest.mark.parametrize("paper", list(Paper))
def test_no_text_leaves_the_page_or_runs_into_another(draw, paper):
    machine = replace(built_in(), travel_x=1300.0, travel_y=700.0)
    outcome = cut(dxf(draw), machine, name="a drawing with quite a long name that goes on and on and on.dxf")
    text, page = read(sheet(outcome, FONTS, paper, "a-program-with-a-long-name-too.nc"))
    assert "Beware" in text
    width, height = page.get_size()
    boxes = page.get_textpage()
    rects = [boxes.get_rect(k) for k in range(boxes.count_rects())]
    for left, bottom, right, top in rects:
        assert 25 < left and right < width - 25 and 25 < bottom and top < height - 25
    flat = [r for r in rects if r[2] - r[0] > 12]  # single figures stand on discs
    for i, a in enumerate(flat):
        for b in flat[i + 1 :]:
            deep = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
            assert min(deep) < 2.0, (boxes.get_text_bounded(*a), boxes.get_text_bounded(*b))


def test_the_same_outcome_gives_the_same_bytes(gusset):
    assert sheet(gusset, FONTS) == sheet(cut(demo("gusset"), name="gusset.dxf"), FONTS)


def test_the_plate_stands_on_the_page_to_scale():
    frame = frame_for((0.0, 0.0, 100.0, 60.0), 0.0, 0.0, 400.0, 300.0)
    a, b = frame.place(0, 0), frame.place(100, 60)
    point = 25.4 / 72
    assert ((b[0] - a[0]) * point * frame.one_to, (b[1] - a[1]) * point * frame.one_to) == pytest.approx((100, 60))
    assert frame.one_to in (0.75, 1.0)


@pytest.mark.parametrize("bulge", [1.0, -1.0, 0.4142, -0.2, 0.01])
def test_arcs_are_painted_round(bulge):
    a, b = np.array([3.0, 4.0]), np.array([13.0, -2.0])
    half = np.hypot(*(b - a)) / 2
    radius = half * (1 + bulge**2) / (2 * abs(bulge))
    middle = (a + b) / 2 + np.array([-(b - a)[1], (b - a)[0]]) * (1 - bulge**2) / (4 * bulge)
    at = a
    for c1, c2, end in _cubics(a, b, bulge):
        for t in np.linspace(0, 1, 21):
            p = (
                (1 - t) ** 3 * at
                + 3 * (1 - t) ** 2 * t * np.array(c1)
                + 3 * (1 - t) * t**2 * np.array(c2)
                + t**3 * np.array(end)
            )
            assert abs(np.hypot(*(p - middle)) - radius) < 3e-4 * radius
        at = np.array(end)
    assert at == pytest.approx(b)


def test_weights_are_those_of_the_handbook():
    # 100 x 60 x 6 mm at 7850 kg/m3 is 282.6 g, of 5052 (2680 kg/m3) 96.48 g.
    assert weight_words(6000, 6, "mild steel").startswith("282.6 g")
    assert weight_words(6000, 6, "5052").startswith("96.5 g")
    assert density("unobtainium") is None and "not known" in weight_words(1, 1, "unobtainium")


@pytest.mark.parametrize(("amps", "shade"), [(20, 8), (50, 8), (299, 8), (300, 9), (399, 9), (400, 10), (800, 10)])
def test_shades_are_those_of_29_cfr_1910_133(amps, shade):
    assert least_shade(amps) == shade


def test_metals_have_their_own_caution():
    for material, word in (("stainless steel", "chromium"), ("aluminium", "hydrogen")):
        text, _ = read(sheet(cut(dxf(plate), material=material), FONTS))
        assert word in text


def test_rests_a_dry_run_and_an_unproven_plan_are_said():
    slow = replace(built_in(), duty_percent=2.0)
    text, _ = read(sheet(cut(dxf(plate), slow, rests=Rests.STOP, thickness=6.0), FONTS))
    assert "rests" in text
    text, _ = read(sheet(cut(dxf(plate), mode=Mode.DRY), FONTS))
    assert "DRY RUN" in text and "switch the power source off" in text

    def small_hole(space) -> None:
        plate(space)
        space.add_circle((20, 20), 1)

    assert "NOT PROVEN" in read(sheet(cut(dxf(small_hole), small_holes=SmallHoles.ERROR), FONTS))[0]


def test_without_a_plan_there_is_no_sheet():
    outcome = replace(cut(dxf(plate)), plan=None, program=None, proof=None)
    with pytest.raises(KerfproofError, match="no program to set up"):
        sheet(outcome, FONTS)
