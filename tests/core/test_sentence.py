"""Sentences: told in mm and in inches from one template, and every template of the house has its values."""

from __future__ import annotations

import ast
import pickle
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import kerfproof
import kerfproof_app
from kerfproof.errors import Finding, KerfproofError, NothingToCut, Severity, refusals
from kerfproof.proof.rule import all_rules
from kerfproof.sentence import (
    Sentence,
    clause,
    fields_of,
    joined_phrases,
    mm,
    mm_at,
    mm_min,
    mm_places,
    mm_s2,
    mm_size,
    mm_span,
    named,
    of_line,
    option,
    said,
    say,
    um,
    unended,
)
from support.inches_by_text import in_inches
from support.programs.examples import evidence_of
from support.programs.rule_pages import page_of

FOLDERS = [Path(kerfproof.__path__[0]), Path(kerfproof_app.__path__[0])]


@pytest.mark.parametrize(
    ("value", "text", "inches"),
    [
        (mm(1.5, ".2f"), "1.50 mm", "0.0591 in"),
        (mm(1219.2), "1219.2 mm", "48 in"),
        (mm(-0.3, "+.2f"), "-0.30 mm", "-0.0118 in"),
        (mm(0.0, ".3f"), "0.000 mm", "0 in"),
        (um(25), "25 um", "0.001 in"),
        (um(0.02, ".2f"), "0.02 um", "0.000001 in"),
        (mm_min(2540), "2540 mm/min", "100 in/min"),
        (mm_s2(500), "500 mm/s2", "19.7 in/s2"),
        (mm_size(2.9, 30), "2.9 x 30 mm", "0.114 x 1.181 in"),
        (mm_span(0.1, 0.2), "0.1 to 0.2 mm", "0.004 to 0.008 in"),
        (mm_at(12.7, 25.4), "12.70, 25.40 mm", "0.5, 1 in"),
        (
            mm_at(25.4, -50.8, drawing=True),
            "25.40, -50.80 mm of the drawing",
            "1, -2 in (25.40, -50.80 mm) of the drawing",
        ),
        (mm_places((0, 25.4), (50.8, 76.2), between=" to "), "0.00, 25.40 to 50.80, 76.20 mm", "0, 1 to 2, 3 in"),
        (named("hole 3 D12.7"), "hole 3 D12.7", "hole 3 D0.5 in"),
        (named("outline 50.8 x 25.4"), "outline 50.8 x 25.4", "outline 2 x 1 in"),
        (named("slit 1 254 mm long"), "slit 1 254 mm long", "slit 1 10 in long"),
        (named("hole 2 D25.4, stretch 1 of 2"), "hole 2 D25.4, stretch 1 of 2", "hole 2 D1 in, stretch 1 of 2"),
        (option("join", 0.41), "--join 0.41mm", "--join 0.0162in"),
        (option("units"), "--units", "--units"),
        (of_line(12), "of line 12", "of line 12"),
        ('the field says "3 mm"', 'the field says "3 mm"', 'the field says "3 mm"'),
    ],
)
def test_a_value_is_told_in_inches_about_as_exactly_as_in_mm(value: object, text: str, inches: str) -> None:
    assert said(value, False) == text
    assert said(value, True) == inches


def test_a_sentence_holds_sentences_names_and_numbers() -> None:
    gap = say("{over} beside an open kerf", over=mm(2.54, ".2f"))
    whole = say("{part!r} is found {gap}, {share:.0%} of it", part="3 mm.dxf", gap=gap, share=0.5)
    assert str(whole) == "'3 mm.dxf' is found 2.54 mm beside an open kerf, 50% of it"
    assert whole.told(inches=True) == "'3 mm.dxf' is found 0.1 in beside an open kerf, 50% of it"
    assert whole.data() == {
        "part": "3 mm.dxf",
        "gap": {"over": {"unit": "mm", "numbers": [2.54]}},
        "share": 0.5,
    }
    assert whole.value("over") == mm(2.54, ".2f") and whole.value("absent") is None
    assert str(joined_phrases([gap, "and so on"], "; ")) == "2.54 mm beside an open kerf; and so on"
    assert str("; " + gap + ".") == "; 2.54 mm beside an open kerf."


def test_braces_in_a_name_are_no_fields() -> None:
    assert str(say("no row for {plate}", plate="{steel}")) == "no row for {steel}"


def test_a_sentence_becomes_part_of_another() -> None:
    ended = say("The drawing is {wide} wide.", wide=mm(1))
    assert str(clause(ended)) == "the drawing is 1 mm wide" and str(unended(ended)) == "The drawing is 1 mm wide"
    assert clause("It is empty.") == "it is empty"


def test_findings_are_equal_and_travel_between_processes() -> None:
    def found(width: float) -> Finding:
        return Finding(
            "x", Severity.NOTE, say("{wide} wide", wide=mm(width)), "look", line=7, x=25.4, y=-50.8, drawing="a"
        )

    one = found(25.4)
    assert one == found(25.4) and hash(one) == hash(found(25.4)) and one != found(25.5)
    assert pickle.loads(pickle.dumps(one)) == one
    assert (one.message, one.advice, one.values) == (
        "25.4 mm wide",
        "look",
        {"wide": {"unit": "mm", "numbers": [25.4]}},
    )
    assert one.sentence() == "25.4 mm wide (line 7, at 25.40, -50.80 mm of the drawing) -> look"
    assert one.sentence(inches=True) == "1 in wide (line 7, at 1, -2 in (25.40, -50.80 mm) of the drawing) -> look"


def test_a_refusal_keeps_its_values_between_processes() -> None:
    what, advice = say("a slot of {wide}", wide=mm(2.54)), say("make it {wide} wide", wide=mm(25.4))
    again = pickle.loads(pickle.dumps(NothingToCut(what, where="plate 3 mm.dxf", advice=advice)))
    assert type(again) is NothingToCut
    assert again.told(inches=True) == "plate 3 mm.dxf: a slot of 0.1 in (make it 1 in wide)"
    assert (again.what, again.advice) == ("a slot of 2.54 mm", "make it 25.4 mm wide")
    assert KerfproofError("plain").told(inches=True) == "plain"


def test_a_refusal_is_told_in_the_unit_of_its_reader() -> None:
    error = NothingToCut(say("a slot of {wide}", wide=mm(2.54)), where="plate 3 mm.dxf", advice="widen it")
    with pytest.raises(NothingToCut) as told, refusals(inches=True):
        raise error
    assert told.value is error and error.args == (error.what,)
    assert str(error) == "plate 3 mm.dxf: a slot of 0.1 in (widen it)"


@pytest.mark.parametrize("name", all_rules())
def test_what_the_rules_find_is_told_in_inches_as_its_text_would_be(name: str) -> None:
    rule = all_rules()[name]
    findings = rule.findings(evidence_of(page_of(rule).bad))
    assert findings
    for finding in findings:
        assert said(finding.problem, True) == in_inches(finding.message)
        assert said(finding.remedy, True) == in_inches(finding.advice)


def _calls() -> Iterator[tuple[str, ast.Call]]:
    """Yield where and what for each ``say(...)`` of the house that names its template."""
    for folder in FOLDERS:
        for file in sorted(folder.rglob("*.py")):
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "say":
                    yield f"{file.relative_to(folder.parent)}:{node.lineno}", node


def _template(call: ast.Call) -> str | None:
    first = call.args[0]
    if isinstance(first, ast.Call) and first.args:  # a text to be translated
        first = first.args[0]
    return first.value if isinstance(first, ast.Constant) and isinstance(first.value, str) else None


def test_every_template_has_its_values_and_no_length_of_its_own() -> None:
    seen, wrong = 0, []
    for where, call in _calls():
        template = _template(call)
        if template is None:
            continue
        seen += 1
        given = {keyword.arg for keyword in call.keywords}
        if fields_of(template) != given:
            wrong.append(f"{where}: {sorted(fields_of(template) ^ {str(name) for name in given})}")
        options = any(isinstance(node, ast.Name) and node.id == "option" for node in ast.walk(call))
        if re.search(r"[\d}] ?(?:mm|um)\b", template) and not options:  # behind an option stands what is to be typed
            wrong.append(f"{where}: a length stands in {template!r}")
    assert seen > 200 and wrong == []


TEXTS_WITH_OPTIONS = (
    "report/",  # pages and reports are written for the command line
    "parts/model/changes.py",  # told by the command line alone
    "coupon/kinds/hole.py",
    "gcode/writer/pauses.py",  # stands in a program, for who runs it
    "sentence.py",
)


def test_no_option_of_the_command_line_stands_in_a_text_of_the_core() -> None:
    core, found = FOLDERS[0], []
    for file in sorted(core.rglob("*.py")):
        if str(file.relative_to(core)).startswith(TEXTS_WITH_OPTIONS):
            continue
        tree = ast.parse(file.read_text(encoding="utf-8"))
        docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
                if re.search(r"(?<![\w-])--[a-z]", node.value):
                    found.append(f"{file.relative_to(core)}:{node.lineno}: {node.value}")
    assert found == []


def test_no_template_is_made_of_another_text() -> None:
    made = [where for where, call in _calls() if isinstance(call.args[0], ast.JoinedStr | ast.BinOp)]
    assert made == []


def test_a_template_is_a_sentence() -> None:
    assert say("as it is") == Sentence("as it is")
