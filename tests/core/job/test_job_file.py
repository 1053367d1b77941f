from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kerfproof.errors import KerfproofError
from kerfproof.job.job import DrawingUse, Job, LeadChoice, Mode, Order, Origin, Pin, RoleRule, SmallHoles
from kerfproof.job.job_file import Names, job_schema, parse_job, write_job

TEXT = """# brackets for the gate
machine = "contact-float-inch"   # the table in the shed
chart = "air-50a"
material = "mild steel"
thickness = "1/8 in"  # measured: 0.124
plate = "48x24 in"

# the left one
[[drawing]]
name = "left.dxf"  # first
count = 2

[[drawing]]
name = "right.dxf"
unit = "in"

[leads]
# big ones
radius = "0.2 in"
"""
JOB = parse_job(TEXT, "gate.kerfproof.toml")


def refusal(text: str, known: Names | None = None) -> list[str]:
    with pytest.raises(KerfproofError) as caught:
        parse_job(text, "gate.kerfproof.toml", known)
    return str(caught.value).removeprefix("gate.kerfproof.toml: ").split("\n  ")


def test_a_job_is_read_in_mm() -> None:
    assert JOB.drawings == (DrawingUse(name="left.dxf", count=2), DrawingUse(name="right.dxf", mm_per_unit=25.4))
    assert (JOB.thickness, JOB.plate, JOB.leads.radius) == (3.175, (1219.2, 609.6), 5.08)
    assert (JOB.origin, JOB.mode, JOB.small_holes) == (Origin.CORNER, Mode.CUT, SmallHoles.DRILL)


def test_nothing_changed_gives_the_very_same_text() -> None:
    odd = TEXT.replace("\n", "\r\n") + "\r\n\r\n# end"
    assert write_job(JOB, TEXT) == TEXT
    assert write_job(parse_job(odd, "x"), odd) == odd


def test_only_the_changed_line_differs_and_keeps_its_unit_and_comment() -> None:
    written = write_job(replace(JOB, thickness=6.35), TEXT)
    before, after = ["format = 1", *TEXT.splitlines()], written.splitlines()
    assert [(a, b) for a, b in zip(before, after, strict=True) if a != b] == [
        ('thickness = "1/8 in"  # measured: 0.124', 'thickness = "0.25 in"  # measured: 0.124')
    ]


def test_a_new_key_stands_among_the_others_and_none_removes_one() -> None:
    written = write_job(replace(JOB, kerf=1.5, plate=None), TEXT)
    assert 'kerf = "1.5 mm"\n' in written.split("[[drawing]]")[0]
    assert "plate" not in written
    assert parse_job(written, "x") == replace(JOB, kerf=1.5, plate=None)


def test_a_drawing_taken_out_leaves_the_text_of_the_others() -> None:
    written = write_job(replace(JOB, drawings=JOB.drawings[:1]), TEXT)
    assert 'name = "left.dxf"  # first\ncount = 2\n' in written
    assert "right.dxf" not in written
    assert "# big ones" in written


def test_a_drawing_put_in_stands_behind_a_blank_line() -> None:
    written = write_job(replace(JOB, drawings=(*JOB.drawings, DrawingUse(name="new.dxf"))), TEXT)
    assert '\n\n[[drawing]]\nname = "new.dxf"\n\n[leads]\n' in written


def test_drawings_in_an_inline_list_can_be_changed_too() -> None:
    head = TEXT.split("\n# the left")[0]
    text = head + 'drawing = [{name = "a.dxf"}, {name = "b.dxf", count = 2}]  # two\n'
    job = parse_job(text, "x")
    changed = replace(job, drawings=(DrawingUse(name="new.dxf", mirror=True), replace(job.drawings[1], count=5)))
    written = write_job(changed, text)
    assert parse_job(written, "x") == changed
    assert "# two" in written
    more = replace(job, drawings=(*job.drawings, DrawingUse(name="c.dxf")))
    assert parse_job(write_job(more, text), "x") == more


def test_all_mistakes_are_told_with_their_key_paths() -> None:
    text = TEXT.replace('"1/8 in"', "3").replace("count = 2", "count = 0").replace("radius", "radios")
    assert refusal(text + '[[pin]]\ndrawing = "left.dxf"\nx = "1 mm"\n[[role]]\nlayer = "B*"\nrole = "kut"\n') == [
        "5 mistakes",
        'thickness: 3 needs a unit, for example "3 in" or "3 mm"',
        "leads.radios: is not known, did you mean radius?",
        "drawing 1.count: 0 must be at least 1",
        'pin 1.y: is missing, for example y = "20 mm"',
        'role 1.role: "kut" is not one of cut, slit, mark or ignore',
    ]


def test_names_are_checked_against_those_that_are_known() -> None:
    known = Names(machines=["a", "b"], charts=["air-50a"], leads=["arc", "half-circle"])
    pins = '[[pin]]\ndrawing = "other.dxf"\nx = "1 mm"\ny = "2 mm"\nshape = "ark"\n'
    assert refusal(TEXT.replace("# big ones", 'shape = "loop"') + pins, known) == [
        "4 mistakes",
        'machine: "contact-float-inch" is not known, only a or b',
        'leads.shape: "loop" is not known, only arc or half-circle',
        'pin 1.shape: "ark" is not known, only arc or half-circle',
        'pin 1.drawing: "other.dxf" is no drawing of this job, only left.dxf or right.dxf',
    ]


def test_a_machine_named_by_its_file_is_not_looked_up() -> None:
    text = TEXT.replace('"contact-float-inch"', '"shed.toml"')
    assert parse_job(text, "x", Names(machines=["a"])).machine == "shed.toml"


def test_a_job_without_drawings_is_refused() -> None:
    head = TEXT.split("\n# the left")[0]
    assert refusal(head) == ["drawing: is missing, the file needs a section [[drawing]]"]
    assert refusal(head + "drawing = []") == ["drawing: must not be empty"]


def _random_job(pick: random.Random) -> Job:
    def maybe(value: float) -> float | None:
        return value if pick.random() < 0.5 else None

    names = [f"{letter}.dxf" for letter in "abcde"]
    drawings = tuple(
        DrawingUse(
            name=name,
            count=pick.randint(1, 3),
            mm_per_unit=pick.choice([None, 1.0, 25.4, 0.1, pick.uniform(0.1, 9)]),
            turn_deg=pick.choice([0.0, 90.0, pick.uniform(-180, 180)]),
            mirror=pick.random() < 0.5,
            sha256=pick.choice(["", "0123456789abcdef" * 4]),
        )
        for name in pick.sample(names, pick.randint(1, 4))
    )
    pins = tuple(
        Pin(drawing=drawings[0].name, x=pick.uniform(-99, 99), y=2.0, area=maybe(pick.uniform(1, 1e6)))
        for _ in range(pick.randint(0, 3))
    )
    return Job(
        drawings=drawings,
        machine=pick.choice(["a", "b.toml", 'odd "name"']),
        chart="air-50a",
        material=pick.choice(["steel", "alu"]),
        thickness=pick.choice([3.0, 3.175, pick.uniform(0.5, 20)]),
        amps=maybe(40.0),
        kerf=maybe(pick.uniform(1, 2)),
        feed_mm_min=maybe(pick.choice([3048.0, pick.uniform(100, 5000)])),
        pierce_delay_s=maybe(0.5),
        plate=pick.choice([None, (1200.0, 600.0), (1219.2, 609.6), (pick.uniform(1, 999), 10.0)]),
        origin=pick.choice(list(Origin)),
        margin=maybe(10.0),
        mode=pick.choice(list(Mode)),
        order=pick.choice(list(Order)),
        spread=pick.random() < 0.5,
        sharp_corners=pick.random() < 0.5,
        small_holes=pick.choice(list(SmallHoles)),
        join_tolerance=pick.choice([0.05, 0.1]),
        leads=pick.choice([LeadChoice(), LeadChoice(shape="arc"), LeadChoice(radius=pick.uniform(1, 9), lead_out=0.0)]),
        pins=pins,
        roles=tuple(
            RoleRule(layer=f"L{n}*", role=pick.choice(["cut", "mark"]), kind=pick.choice(["", "TEXT"]))
            for n in range(pick.randint(0, 3))
        ),
    )


@given(st.integers(0, 10**9))
def test_any_job_is_read_back_the_same_also_when_written_over_another(seed: int) -> None:
    pick = random.Random(seed)
    first, second = _random_job(pick), _random_job(pick)
    text = write_job(first)
    assert parse_job(text, "x") == first
    assert write_job(first, text) == text
    over = write_job(second, text)
    assert parse_job(over, "x") == second
    assert parse_job(write_job(second, TEXT), "x") == second
    assert write_job(second, over) == over


def test_the_schema_of_jobs_offers_the_words_of_choices() -> None:
    properties = job_schema()["properties"]
    assert properties["small_holes"]["enum"] == ["drill", "rough", "error"]
    assert properties["join_tolerance"]["default"] == "0.05 mm"
    assert "drawing" in job_schema()["required"]


@pytest.mark.parametrize(
    ("text", "box", "moved"),
    [
        ("0,0,200,100 mm", (0.0, 0.0, 200.0, 100.0), "0,0,200,100.5 mm"),
        ("8,4,0,0 in", (0.0, 0.0, 203.2, 101.6), "0,0,203.2,100.5 mm"),
        ("0 mm,0 mm,8 in,4 in", (0.0, 0.0, 203.2, 101.6), "0,0,203.2,100.5 mm"),
    ],
)
def test_a_box_to_read_stays_as_written_until_it_changes(text: str, box: tuple[float, ...], moved: str) -> None:
    written = TEXT.replace("\n# the left one", f'window = "{text}"\nlayers = ["CUT", "HOLES*"]\n\n# the left one')
    job = parse_job(written, "gate.kerfproof.toml")
    assert job.window == pytest.approx(box)
    assert job.layers == ("CUT", "HOLES*")
    assert write_job(job, written) == written
    other = write_job(replace(job, window=(*job.window[:3], 100.5)), written)
    assert parse_job(other, "x").window == pytest.approx((*box[:3], 100.5))
    assert f'window = "{moved}"' in other


def test_a_box_that_is_none_says_why() -> None:
    for box, why in (("1,2,3 mm", "no box"), ("1,2,1,5 mm", "without a size"), ("a,b,c,d mm", "no length")):
        assert why in refusal(TEXT.replace("\n# the left one", f'window = "{box}"\n\n# the left one'))[0]
