"""Rules that a shop weighs otherwise: changed, silenced, always with a reason, and still counted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerfproof.errors import Finding, KerfproofError, RuleChoice, Severity
from kerfproof.gcode.dialects.ngc_blend import DIALECT
from kerfproof.job.job import DrawingUse, Job
from kerfproof.job.job_file import parse_job, write_job
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from kerfproof.proof.rule_choices import weighed
from kerfproof.shop.machine_file import machine_to_toml, parse_machine
from support.shop.known_plate import MACHINE, PLATE, PROCESS, drawn, program
from support.shop.shop import built_in

ERRORS = (Finding("torch-left-on", Severity.ERROR, "on", line=7), Finding("off-plate", Severity.WARNING, "off"))


def test_without_choices_nothing_changes():
    assert weighed(ERRORS, (), ()) == ERRORS


def test_a_changed_severity_is_counted_with_its_reason():
    out = weighed(ERRORS, [RuleChoice("off-plate", Severity.NOTE, "the plate is larger")], ())
    assert [(f.rule, f.severity.value) for f in out] == [
        ("torch-left-on", "error"), ("off-plate", "note"), ("rule-weighed", "note"),
    ]  # fmt: skip
    assert out[-1].message == "1 finding of off-plate count as note, because: the plate is larger"


def test_a_silenced_error_leaves_a_warning_behind():
    out = weighed(ERRORS, [RuleChoice("torch-left-on", None, "the supply has its own timer")], ())
    assert [(f.rule, f.severity.value) for f in out] == [("off-plate", "warning"), ("rule-weighed", "warning")]
    assert out[-1].line == 7


def test_the_last_choice_counts_and_what_found_nothing_is_not_told():
    choices = [RuleChoice("off-plate", None, "a"), RuleChoice("off-plate", Severity.WARNING, "b"),
               RuleChoice("gouge", None, "c")]  # fmt: skip
    assert weighed(ERRORS, choices, ["gouge"]) == ERRORS


def test_a_rule_that_does_not_exist_is_told():
    (*_, told) = weighed(ERRORS, [RuleChoice("torch-left-off", None, "typo")], ["torch-left-on"])
    assert told.severity is Severity.WARNING and "torch-left-off" in told.message


def test_a_job_makes_less_of_no_error_and_leaves_a_warning_for_a_warning():
    choices = [RuleChoice("torch-left-on", None, "a timer"), RuleChoice("off-plate", None, "a large sheet")]
    out = weighed(ERRORS, choices, (), shop=False)
    assert [(f.rule, f.severity.value) for f in out] == [
        ("torch-left-on", "error"), ("rule-weighed", "note"), ("rule-weighed", "warning"),
    ]  # fmt: skip
    assert "only the machine file" in out[1].message and "1 finding of off-plate not told" in out[2].message
    raised = weighed(ERRORS, [RuleChoice("off-plate", Severity.ERROR, "never here")], (), shop=False)
    assert [(f.rule, f.severity.value) for f in raised] == [
        ("torch-left-on", "error"), ("off-plate", "error"), ("rule-weighed", "note"),
    ]  # fmt: skip


def test_what_the_shop_weighed_is_told_whatever_a_job_says_of_that():
    first = weighed(ERRORS, [RuleChoice("torch-left-on", None, "a timer")], ())
    assert [f for f in first if f.rule == "rule-weighed"]
    assert weighed(first, [RuleChoice("rule-weighed", None, "quiet")], (), shop=False) == first


def test_no_error_that_a_simulated_table_shows_is_silenced_by_a_job():
    text = program(DIALECT)
    lines = text.split("\n")
    first = next(k for k, line in enumerate(lines) if line.startswith("G38.2"))
    bad = "\n".join([*lines[:first], lines[first].replace("G38.2", "G1"), *lines[first + 1 :]])
    plain = prove(bad, Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=drawn(), plate=PLATE))
    errors = {f.rule for f in plain.findings if f.severity is Severity.ERROR}
    assert errors
    quiet = tuple(RuleChoice(rule, None, "quiet") for rule in errors)
    told = prove(
        bad, Against(control=DIALECT, machine=MACHINE, process=PROCESS, drawn=drawn(), plate=PLATE, choices=quiet)
    )
    assert {f.rule for f in told.findings if f.severity is Severity.ERROR} == errors


def proof_of(machine=MACHINE, choices: tuple[RuleChoice, ...] = ()) -> Proof:
    text = program(DIALECT).replace("M2\n", "")
    return prove(
        text, Against(control=DIALECT, machine=machine, process=PROCESS, drawn=drawn(), plate=PLATE, choices=choices)
    )


def test_the_machine_weighs_and_a_job_makes_less_of_no_error():
    assert proof_of().verdict == "PROVEN WITH WARNINGS"
    machine = replace(MACHINE, rules=(RuleChoice("program-end-missing", Severity.ERROR, "this control runs on"),))
    assert proof_of(machine).verdict == "NOT PROVEN"
    quiet = (RuleChoice("program-end-missing", None, "joined with the next file"),)
    assert proof_of(machine, quiet).verdict == "NOT PROVEN"
    proof = proof_of(choices=quiet)
    assert proof.verdict == "PROVEN WITH WARNINGS"
    assert [(f.rule, f.severity.value) for f in proof.findings] == [("rule-weighed", "warning")]
    proof = proof_of(replace(MACHINE, rules=quiet))
    assert proof.verdict == "PROVEN" and [f.rule for f in proof.findings] == ["rule-weighed"]


def test_a_machine_with_rules_of_its_own_is_still_the_same_machine():
    weighed_one = replace(MACHINE, rules=(RuleChoice("off-plate", None, "x"),))
    assert repr(weighed_one) == repr(MACHINE), "its fingerprint in programs is the same"


def test_machine_files_hold_rules():
    text = machine_to_toml(built_in())
    assert "# [rules]" in text and parse_machine(text, "m").rules == ()
    text = text.replace("# [rules]", '[rules]\nline-too-long = "note: it reads 400"\noff-plate="off: big sheet"')
    machine = parse_machine(text, "m")
    assert machine.rules == (
        RuleChoice("line-too-long", Severity.NOTE, "it reads 400"), RuleChoice("off-plate", None, "big sheet"),
    )  # fmt: skip
    assert parse_machine(machine_to_toml(machine), "m") == machine


@pytest.mark.parametrize("value", ['"note"', '"note:"', '"loud: why"', "3", '""'])
def test_a_choice_needs_a_severity_and_a_reason(value: str):
    text = machine_to_toml(built_in()).replace("# [rules]", f"[rules]\noff-plate = {value}")
    with pytest.raises(KerfproofError, match="off-plate must be error, warning, note or off, a colon and the reason"):
        parse_machine(text, "m")


def test_job_files_hold_rules():
    job = Job(
        drawings=(DrawingUse(name="a.dxf"),), machine="m", chart="c", material="mild steel", thickness=3.0,
        rules=(RuleChoice("duty-over", Severity.NOTE, "the new supply"),),
    )  # fmt: skip
    text = write_job(job)
    assert '[rules]\nduty-over = "note: the new supply"' in text
    assert parse_job(text, "job") == job
    changed = replace(job, rules=(RuleChoice("duty-over", None, "enough"),))
    assert parse_job(write_job(changed, text), "job") == changed
    assert parse_job(write_job(replace(job, rules=()), text), "job").rules == ()
