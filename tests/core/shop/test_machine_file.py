from __future__ import annotations

import random
import tomllib
from dataclasses import fields, replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import kerfproof_resources
from kerfproof.errors import KerfproofError
from kerfproof.shop.file_model import nested
from kerfproof.shop.machine_file import MachineFile, machine_schema, machine_to_toml, parse_machine
from kerfproof.shop.profile import Machine, StartKind, TouchOff

SMALL = """
[table]
travel_x = "48 in"
travel_y = "1200 mm"
rapid = "300 in/min"
acceleration = "400 mm/s2"

[z]
travel = "4.5 in"
rapid = "60 in/min"
acceleration = "300 mm/s2"
homed = false

[control]
dialect = "ngc"
units = "inch"

[torch]
start = "contact"

[touch_off]
kind = "float"
float = "0.75 in"
float_stroke = "1.25 in"
"""


def mistakes_of(text: str, **options: Any) -> list[str]:
    with pytest.raises(KerfproofError) as caught:
        parse_machine(text, "mine.toml", **options)
    message = str(caught.value)
    assert message.startswith("mine.toml: ")
    lines = message.removeprefix("mine.toml: ").split("\n  ")
    if len(lines) == 1:
        return lines
    assert lines[0] == f"{len(lines) - 1} mistakes"
    return lines[1:]


def changed(*swaps: tuple[str, str]) -> str:
    text = SMALL
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    return text


def test_a_small_file_becomes_a_machine_in_mm() -> None:
    machine = parse_machine(SMALL, "shop/mine.toml", dialects=["ngc"])
    assert machine.name == "mine"
    assert machine.travel_x == 1219.2
    assert machine.rapid_mm_min == 7620.0
    assert machine.inches is True
    assert machine.start is StartKind.CONTACT
    assert machine.touch_off is TouchOff.FLOAT
    assert machine.float_travel == 19.05
    assert machine.light_delay_s == 0.4


def test_three_mistakes_are_told_in_one_message_with_key_paths() -> None:
    text = changed(('float = "0.75 in"', "float = 0.75"), ('"contact"', '"contakt"'), ("homed", "homd"))
    assert mistakes_of(text) == [
        "z.homed: is missing, for example homed = false",
        "z.homd: is not known, did you mean homed?",
        'torch.start: "contakt" is not one of contact or pilot',
        'touch_off.float: 0.75 needs a unit, for example "0.75 in" or "0.75 mm"',
    ]


def test_mistakes_between_fields_are_told_together_with_those_of_single_fields() -> None:
    text = changed(('"1.25 in"', '"0.5 in"'), ('"48 in"', '"48 inn"'), ('dialect = "ngc"', 'dialect = "ngx"'))
    found = mistakes_of(text, dialects=["ngc", "skip"])
    assert [line.split(":")[0] for line in found] == ["table.travel_x", "touch_off.float_stroke", "control.dialect"]
    assert "0.5 in must be more than touch_off.float (0.75 in)" in found[1]
    assert found[2] == 'control.dialect: "ngx" is not known, only ngc, skip'


def test_a_mistake_in_one_field_does_not_bring_up_a_mistake_between_fields() -> None:
    # The float can't be read, so nothing is said about stroke, Z travel or preload that need it.
    assert len(mistakes_of(changed(('float = "0.75 in"', 'float = "0.75"')))) == 1


CASES = [
    (('"4.5 in"', '"3 in"'), "z.park_height_max", "a touch-off needs 3.37 in of Z"),
    (("homed = false", 'homed = false\ntravel_height = "3 mm"'), "z.travel_height", "must be more than z.plate_height"),
    (('"1.25 in"', '"0.77 in"'), "touch_off.fast_feed", "runs on by"),
    (('"contact"', '"contact"\npreload = "7 mm"'), "torch.preload", "at most a third"),
    (('"contact"', '"contact"\nlight_delay = "0 s"'), "torch.light_delay", "must be more than 0 s"),
    (('"contact"', '"contact"\nlight_delay = "-1 s"'), "torch.light_delay", '"-1 s" must be at least 0'),
    (('"contact"', '"contact"\nrise_feed = "100 in/min"'), "torch.rise_feed", "is more than z.rapid (60 in/min)"),
    (('"contact"', '"contact"\non = "M5"'), "torch.off", "is the same as torch.on"),
    (('"contact"', '"contact"\nduty = "120 %"'), "torch.duty", '"120 %" must be at most 100 %'),
    (('"inch"', '"inch"\nheader = ["G0 X0", 3]'), "control.header 2", "must be text in quotes"),
    (('"inch"', '"inch"\nfooter = ["caf\\u00e9"]'), "control.footer 1", "plain ASCII"),
    (
        ('"inch"', '"inch"\nwork_offset = "G53"'),
        "control.work_offset",
        '"G53" has not the right form, for example "G54"',
    ),
    (('"inch"', '"inch"\npath_tolerance = "0 mm"'), "control.path_tolerance", 'must be more than 0, or "exact"'),
    (('"inch"', '"inches"'), "control.units", "is not one of inch or mm"),
    (("homed = false", 'homed = "no"'), "z.homed", "must be true or false, without quotes"),
    (('float = "0.75 in"\n', ""), "touch_off.float", "is missing, measure it on your head"),
    (("[torch]", "[torch]\nfloat_stroke = 3"), "torch.float_stroke", "is not known here, it belongs to [touch_off]"),
    (("[torch]", "[torch]\nzzz = 3"), "torch.zzz", "is not known here, only start, chart, on,"),
    (('"1.25 in"', '"1.25 in"\nslow_feed = "50 in/min"'), "touch_off.slow_feed", "must not be more than fast_feed"),
    (('"1.25 in"', '"1.25 in"\nsense_on = "M8"'), "touch_off.sense_off", "sense_on needs it"),
    (('"float"', '"ohmic"'), "touch_off.sense_off", "must be disconnected before a contact-start torch"),
    (("[torch]", '[height_control]\non = "M7"\n[torch]'), "height_control.off", "is missing"),
    (("[torch]", "[[torch]]"), "torch", "must be a table"),
]


@pytest.mark.parametrize(("swap", "path", "words"), CASES)
def test_each_mistake_is_found_at_its_key(swap: tuple[str, str], path: str, words: str) -> None:
    found = mistakes_of(changed(swap))
    assert any(line.startswith(f"{path}: ") and words in line for line in found), found


@pytest.mark.parametrize("section", ["table", "z", "control", "torch", "touch_off"])
def test_a_missing_section_is_told_once(section: str) -> None:
    head, _, tail = SMALL.partition(f"[{section}]")
    rest = tail[tail.index("\n[") :] if "\n[" in tail else ""
    assert mistakes_of(head + rest) == [f"{section}: is missing, the file needs a section [{section}]"]


def test_broken_toml_is_told_with_its_line_and_what_to_put() -> None:
    assert mistakes_of(changed(('"48 in"', "48 in"))) == [
        "line 3, column 15: expected newline or end of document after a statement (put quotes round it: '48 in')"
    ]
    assert mistakes_of('[table]\nnote = "')[0].startswith("the last line: ")
    assert mistakes_of("[table]\n[table]\n") == ["line 2, column 7: cannot declare [table] twice (it reads: [table])"]


def test_contact_start_on_a_fixed_head_without_touch_off_is_allowed() -> None:
    text = SMALL.split("[touch_off]")[0] + '[touch_off]\nkind = "none"\n'
    machine = parse_machine(text, "mine.toml")
    assert machine.touch_off is TouchOff.NONE
    assert machine.preload == 0.0


def test_a_fixed_head_has_slow_touches_and_no_preload_unless_the_file_says_otherwise() -> None:
    text = SMALL.split("[touch_off]")[0] + '[touch_off]\nkind = "ohmic"\nsense_off = "M9"\n'
    machine = parse_machine(text, "mine.toml")
    assert (machine.preload, machine.touch_fast_mm_min, machine.touch_slow_mm_min) == (0.0, 300.0, 120.0)
    assert any(line.startswith("torch.preload") for line in mistakes_of(text.replace(
        '"contact"', '"contact"\npreload = "1 mm"')))  # fmt: skip
    # 25 mm/s with 10 ms and 300 mm/s2 overruns by 25 x 0.01 + 25^2 / 600 = 1.29 mm.
    assert (
        "1.292 mm" in mistakes_of(text.replace('"M9"', '"M9"\nfast_feed = "1500 mm/min"').replace('"inch"', '"mm"'))[0]
    )


def test_every_field_of_a_machine_has_its_key() -> None:
    keys = {"name", "title", "note", "rules"}
    for info in MachineFile.model_fields.values():
        section = nested(info)
        keys |= set(section.model_fields) if section else set()
    assert keys == {field.name for field in fields(Machine)}


@pytest.mark.parametrize("name", kerfproof_resources.machine_names())
def test_a_built_in_machine_is_what_would_be_written_for_it(name: str) -> None:
    text = kerfproof_resources.machine_text(name)
    machine = parse_machine(text, f"{name}.toml")
    assert machine.name == name
    assert machine_to_toml(machine) == text


def test_a_written_file_explains_each_key_above_it() -> None:
    lines = machine_to_toml(parse_machine(SMALL, "mine.toml")).splitlines()
    keys = [number for number, line in enumerate(lines) if " = " in line and not line.startswith('# "')]
    assert len(keys) >= len(fields(Machine)) - 3
    assert all(lines[number - 1].startswith("# ") for number in keys)


@given(st.integers(0, 10**9))
def test_any_machine_is_written_and_read_back_the_same(seed: int) -> None:
    pick = random.Random(seed)
    base = parse_machine(SMALL, "mine.toml")
    machine = replace(
        base,
        name=pick.choice(["a", 'with "quotes"', "umlaut ü", "back\\slash"]),
        note=pick.choice(["", "two\nlines", "tab\t", '"""']),
        inches=pick.random() < 0.5,
        travel_x=pick.uniform(1, 5000),
        rapid_mm_min=pick.uniform(100, 30000),
        acceleration_mm_s2=pick.uniform(1, 9999),
        arc_centers_absolute=pick.choice([None, True, False]),
        dwell_in_ms=pick.choice([None, True, False]),
        tip_stops=pick.choice([None, True, False]),
        path_tolerance=pick.choice([None, pick.uniform(0.001, 1)]),
        torch_on_speed=pick.choice([None, 1000, 0.5]),
        end_word=pick.choice([None, "M30"]),
        header_lines=pick.choice([(), ("G10 L2 P1 (keep)", "M7")]),
        light_delay_s=pick.uniform(0.001, 2),
        swirl_clockwise=pick.random() < 0.5,
        float_travel=pick.uniform(10, 20),
    )
    text = machine_to_toml(machine)
    assert parse_machine(text, "other.toml") == machine
    assert machine_to_toml(parse_machine(text, "other.toml")) == text


def test_the_schema_accepts_the_spelling_of_files_and_names_its_keys() -> None:
    schema = machine_schema()
    torch = schema["$defs"]["TorchSection"]["properties"]
    assert torch["light_delay"]["default"] == "0.4 s"
    assert torch["start"]["enum"] == ["contact", "pilot"]
    assert schema["$defs"]["ControlSection"]["properties"]["end_word"]["type"] == "string"
    written = tomllib.loads(kerfproof_resources.machine_text("contact-float-mm"))
    for section in ("table", "z", "control", "torch", "touch_off"):
        definition = schema["$defs"][schema["properties"][section]["$ref"].rsplit("/", 1)[1]]
        assert set(written[section]) <= set(definition["properties"])
        assert set(definition["required"]) <= set(written[section])


def test_a_light_delay_that_would_burn_the_tip_is_refused() -> None:
    # Relay, preflow and ignition take 0.2 to 0.6 s (common practice, from memory); 400 s is 400 ms misspelt.
    (found,) = mistakes_of(changed(('"contact"', '"contact"\nlight_delay = "400 s"')))
    assert found.startswith("torch.light_delay: 400 s") and "burns the tip" in found
    right = changed(('"contact"', '"contact"\nlight_delay = "400 ms"'))
    assert parse_machine(right, "mine.toml").light_delay_s == 0.4


def test_a_switch_that_never_lets_go_within_the_float_is_refused() -> None:
    text = changed(('float = "0.75 in"', 'float = "0.75 in"\nswitch_hysteresis = "0.9 in"'))
    (found,) = [m for m in mistakes_of(text) if "switch_hysteresis" in m]
    assert "the tip would lift before the switch lets go" in found
