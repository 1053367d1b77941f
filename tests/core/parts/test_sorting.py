"""Roles by layer, colour and line type."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.drawing.drawing import Entity, Skipped
from kerfproof.errors import Finding, Severity
from kerfproof.geom.path import Path
from kerfproof.parts.classify.roles import RolePattern, chosen_role, type_means
from kerfproof.parts.classify.sorting import settled_findings
from kerfproof.parts.join_contours import JoinSettings, join_contours
from kerfproof.parts.model.contour import Role
from support.referees.strategies import drawing_of

PLATE = Path.rectangle(0, 0, 100, 60)


def line(linetype: str = "CONTINUOUS", layer: str = "0", color: int = 7, rgb: str = "", at: float = 20) -> Entity:
    path = Path.polyline([(0, at), (100, at)])
    return Entity("LINE", path, layer, color, linetype, "L", rgb=rgb)


def joined(*entities, rules=()):
    return join_contours(drawing_of(*entities), JoinSettings(rules=tuple(rules)))


def told(contours, rule):
    return [f for f in contours.findings if f.rule == rule]


@pytest.mark.parametrize(
    ("name", "meaning"),
    [("CENTER", "axis"), ("CENTERX2", "axis"), ("Mitte2", "axis"), ("DASHDOT", "axis"), ("ACAD_ISO10W100", "axis"),
     ("DASHED", "hidden"), ("HIDDEN2", "hidden"), ("Verdeckt", "hidden"), ("ACAD_ISO02W100", "hidden"),
     ("Continuous", ""), ("BYLAYER", ""), ("", "")],
)  # fmt: skip
def test_line_types_mean_axes_or_hidden_lines_by_their_usual_names(name, meaning):
    assert type_means(name) == meaning


@pytest.mark.parametrize("name", ["CENTER", "DASHED", "HIDDEN"])
def test_lines_drawn_as_axes_or_bends_are_not_cut_and_it_is_said_how_to_cut_them(name):
    got = joined(PLATE, line(name))
    assert len(got.closed) == 1 and not got.open
    (note,) = told(got, "linetype-not-cut")
    assert note.severity is Severity.NOTE and f"--role linetype:{name}=cut" in note.advice
    assert joined(PLATE, line(name), rules=[RolePattern(role=Role.CUT, linetype=name)]).open


def test_a_bolt_circle_drawn_as_an_axis_is_a_warning_because_a_closed_curve_is_left_out():
    bolts = Entity("CIRCLE", Path.circle((50, 30), 20), "0", linetype="CENTER", handle="C")
    got = joined(PLATE, bolts)
    assert len(got.closed) == 1
    assert [f.severity for f in told(got, "linetype-not-cut")] == [Severity.WARNING]


def test_a_closed_curve_drawn_dashed_is_cut_with_a_warning():
    hole = Entity("CIRCLE", Path.circle((50, 30), 20), "0", linetype="DASHED", handle="C")
    got = joined(PLATE, hole)
    assert len(got.closed) == 2
    (warning,) = told(got, "linetype-cut")
    assert warning.severity is Severity.WARNING and "linetype:DASHED=ignore" in warning.advice


def test_a_dashed_line_that_a_contour_needs_to_close_is_cut():
    three = Path.polyline([(100, 0), (100, 60), (0, 60), (0, 0)])
    got = joined(three, line("DASHED", at=0))
    assert len(got.closed) == 1 and not got.open
    assert told(got, "linetype-cut")


def test_a_drawing_all_in_dashes_is_cut():
    sides = [replace(e, linetype="DASHED") for e in drawing_of(PLATE).entities]
    assert len(joined(*sides).closed) == 1


def test_rules_pick_by_colour_number_name_and_true_colour():
    red = line(color=1)
    for color in ("1", "red", "Rot", "#ff0000"):
        assert chosen_role(red, [RolePattern(role=Role.IGNORE, color=color)]) is Role.IGNORE
    assert chosen_role(red, [RolePattern(role=Role.IGNORE, color="blue")]) is None
    true = line(color=1, rgb="#0000ff")
    assert chosen_role(true, [RolePattern(role=Role.MARK, color="blue")]) is Role.MARK
    assert chosen_role(true, [RolePattern(role=Role.MARK, color="1")]) is None, "the true colour is what is seen"


def test_a_rule_needs_all_it_names():
    rule = RolePattern(role=Role.SLIT, layer="cut*", color="red")
    assert chosen_role(line(layer="CUT 2", color=1), [rule]) is Role.SLIT
    assert chosen_role(line(layer="CUT 2", color=3), [rule]) is None


def test_layers_match_whatever_the_case_and_the_spelling_of_accents():
    rule = RolePattern(role=Role.IGNORE, layer="LÖCHER*")
    for name in ("löcher 3", "Lo\u0308cher", "LÖCHER"):
        assert chosen_role(line(layer=name), [rule]) is Role.IGNORE


def test_a_rule_that_nothing_matches_is_told_with_the_layers_there_are():
    got = joined(PLATE, rules=[RolePattern(role=Role.SLIT, layer="SLOTS")])
    (warning,) = told(got, "role-unused")
    assert "layer SLOTS" in warning.message


def test_a_layer_ignored_by_its_name_is_a_warning_only_where_it_holds_closed_curves():
    bend = line(layer="BEND")
    ring = Entity("CIRCLE", Path.circle((50, 30), 5), "center", handle="R")
    severities = {f.layer: f.severity for f in told(joined(PLATE, bend, ring), "layer-ignored")}
    assert severities == {"BEND": Severity.NOTE, "center": Severity.WARNING}


def test_what_could_not_be_read_on_an_ignored_layer_is_only_a_note():
    fault = Finding("entity-broken", Severity.ERROR, "SPLINE on layer X is not cut", handle="7")
    drawing = drawing_of(PLATE)
    for layer, severity in (("BEND", Severity.NOTE), ("0", Severity.ERROR)):
        skipped = (Skipped("SPLINE", layer, "7", "no"),)
        (found,) = settled_findings(replace(drawing, skipped=skipped, findings=(fault,)), ())
        assert found.severity is severity
