from __future__ import annotations

from dataclasses import replace

import pytest

import kerfproof_resources
from kerfproof.errors import KerfproofError
from kerfproof.gcode.machine_control import control_of, dialect_of, dialects
from kerfproof.shop.machine_file import parse_machine

MACHINE = parse_machine(kerfproof_resources.machine_text("contact-float-mm"), "m.toml")


def test_a_machine_without_changes_has_its_dialect() -> None:
    blended = replace(MACHINE, path_tolerance=0.05)
    assert control_of(blended) == dialects()["ngc_blend"]


def test_the_machine_changes_centres_dwells_and_end_word() -> None:
    control = control_of(replace(MACHINE, arc_centers_absolute=True, dwell_in_ms=True, end_word="M30"))
    assert control.arc_centers_absolute
    assert control.dwell_in_ms
    assert control.end_word == "M30"


def test_a_dialect_that_states_the_centre_mode_states_the_one_in_force() -> None:
    stating = next(d for d in dialects().values() if d.arc_center_word == "G91.1")
    assert control_of(replace(MACHINE, dialect=stating.name, arc_centers_absolute=True)).arc_center_word == "G90.1"
    assert control_of(replace(MACHINE, dialect=stating.name)).arc_center_word == "G91.1"


def test_exact_path_mode_never_writes_the_blend_word() -> None:
    control = control_of(replace(MACHINE, path_tolerance=None))
    assert control.path_blend_word == control.path_exact_word == "G61"


def test_an_unknown_dialect_is_told_with_those_there_are() -> None:
    with pytest.raises(KerfproofError) as caught:
        control_of(replace(MACHINE, dialect="ngx"))
    assert str(caught.value).startswith('there is no dialect "ngx" (there are ')
    assert all(name in str(caught.value) for name in ("ngc", "compact", "skip", "skip_macro"))


def test_a_hyphen_is_as_good_as_an_underscore() -> None:
    assert dialect_of("Skip-Macro") is dialects()["skip_macro"]


@pytest.mark.parametrize("name", kerfproof_resources.machine_names())
def test_every_built_in_machine_has_a_control(name: str) -> None:
    machine = parse_machine(kerfproof_resources.machine_text(name), name, dialects=dialects())
    assert control_of(machine).name == machine.dialect
