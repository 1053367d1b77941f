from __future__ import annotations

from dataclasses import fields

import pytest

from kerfproof.errors import KerfproofError
from kerfproof.job.job import Job, LeadChoice, Order, Origin, RoleRule, SmallHoles
from kerfproof_app.batch.folder_settings import FolderFile, FolderSettings, job_of, nearest, parse_settings, reading_of

FULL = """
machine = "shed"
chart = "mine"
material = "stainless steel"
thickness = "0.125 in"
current = "40 A"
kerf = "1.6 mm"
feed = "90 in/min"
pierce_delay = "0.4 s"
units = "in"
layers = ["CUT", "HOLES*"]
count = 4
turn = "90 deg"
mirror = true
plate = "1200x600 mm"
margin = "12 mm"
origin = "drawing"
order = "holes first"
spread = true
sharp_corners = true
leave_out = true
bridges = true
small_holes = "drill"
join = "0.1 mm"
names = "{material}_{thickness}_*"
skip = ["draft*"]
drill_marks = "cross"
drill_below = "4 mm"
page = "ignore"
rests = "stop"
tabs = 3
tab_width = "2 mm"

[rules]
line-too-long = "note: the control takes it"

[materials]
va = "stainless steel"

[leads]
radius = "4 mm"

[[role]]
layer = "BEND*"
role = "mark"
"""


def test_every_key_reaches_the_job() -> None:
    settings = parse_settings(FULL, "kerfproof.toml")
    assert all(getattr(settings, field.name) is not None for field in fields(settings))
    job = job_of("a.dxf", settings, "shed", "mine", "stainless steel", 3.175)
    use = job.drawings[0]
    assert (use.count, use.turn_deg, use.mirror, use.mm_per_unit) == (4, 90.0, True, 25.4)
    assert (job.amps, job.kerf, job.feed_mm_min, job.pierce_delay_s) == (40.0, 1.6, 2286.0, 0.4)
    assert (job.plate, job.margin, job.join_tolerance, job.spread) == ((1200.0, 600.0), 12.0, 0.1, True)
    assert (job.origin, job.order, job.small_holes) == (Origin.DRAWING, Order.HOLES_FIRST, SmallHoles.DRILL)
    assert (job.drill_below, str(job.drill_marks), str(job.page), str(job.rests)) == (4.0, "cross", "ignore", "stop")
    assert (job.tabs, job.tab_width, job.leave_out, job.bridges) == (3, 2.0, True, True)
    assert [(r.rule, str(r.severity)) for r in job.rules] == [("line-too-long", "note")]
    assert (job.leads, job.roles) == (LeadChoice(radius=4.0), (RoleRule(layer="BEND*", role="mark"),))
    assert (reading_of(settings).mm_per_unit, reading_of(settings).layers) == (25.4, ("CUT", "HOLES*"))
    assert settings.thickness == pytest.approx(3.175)


def test_the_file_and_the_settings_have_the_same_keys() -> None:
    assert set(FolderFile.model_fields) == {field.name for field in fields(FolderSettings)}


def test_whatever_a_job_can_say_of_many_drawings_a_folder_can_say_too() -> None:
    of_one_drawing = {"drawings", "pins", "contour_roles", "sequence", "tab_places", "window"}
    of_one_time = {"mode"}
    missing = {field.name for field in fields(Job)} - {field.name for field in fields(FolderSettings)}
    assert missing - of_one_drawing - of_one_time == set(), "give FolderSettings and FolderFile this key"


def test_an_empty_file_says_nothing() -> None:
    assert parse_settings("", "kerfproof.toml") == FolderSettings()


def test_all_mistakes_of_a_file_come_at_once_with_their_key_paths() -> None:
    text = """
    thickness = 3
    count = 0
    order = "random"
    machin = "x"
    names = "{stuff}"
    [leads]
    radius = "-1 mm"
    [[role]]
    layer = "A"
    role = "burn"
    """
    with pytest.raises(KerfproofError) as caught:
        parse_settings(text, "sub/kerfproof.toml")
    said = str(caught.value)
    assert said.startswith("sub/kerfproof.toml: 7 mistakes")
    for path in ("thickness:", "count:", "order:", "machin:", "names:", "leads.radius:", "role 1.role:"):
        assert f"\n  {path}" in said, path
    assert "did you mean machine?" in said


def test_what_is_no_toml_is_told_with_its_line() -> None:
    with pytest.raises(KerfproofError, match="line 1"):
        parse_settings("thickness = 3 mm", "kerfproof.toml")


def test_the_nearest_folder_that_says_a_thing_wins() -> None:
    said = {
        "": FolderSettings(material="aluminium", thickness=2.0, count=3),
        "a": FolderSettings(thickness=4.0),
        "a/b/c": FolderSettings(material="mild steel"),
    }
    assert nearest(("", "a", "a/b", "a/b/c"), said) == FolderSettings(material="mild steel", thickness=4.0, count=3)
    assert nearest(("", "x"), said) == said[""]
    assert nearest(("",), {}) == FolderSettings()
