"""What the comparison and the simulated tables tell: each kind has a page, and examples that prove it."""

from __future__ import annotations

import re

import pytest

from kerfproof.proof.evidence import stock
from kerfproof.proof.evidence.evidence import Against
from kerfproof.proof.proof import Proof
from kerfproof.proof.prove import prove
from kerfproof.proof.rule import all_rules
from kerfproof.registry import load_folder
from support.programs.examples import CONTROLS, PROCESSES, before, contours, machine_of
from support.programs.rule_pages import Example, all_checks, page_from

CHECKS = all_checks()


def proof_of(example: Example) -> Proof:
    h = example.header
    text = before(h.get("Given", "")) + example.text * int(h.get("Repeat", "1"))
    if "M2" not in text:
        text += "M5\nG4 P0.3\nG0 Z25\nG92.1\nM2\n"
    drawn = contours(h["Drawing"]) if "Drawing" in h else None
    process = PROCESSES[h.get("Process", "steel 3")]
    machine, control = machine_of(h.get("Machine", "contact-float")), CONTROLS[h.get("Control", "blend")]
    against = Against(
        control=control,
        machine=machine,
        process=process,
        drawn=drawn,
        slits=contours(h.get("Slit", "")),
        mode=h.get("Mode", "cut"),
    )
    return prove(text, against)


def rules(example: Example) -> set[str]:
    return {f.rule for f in proof_of(example).findings}


def test_every_file_defines_one_check_with_its_own_name_and_none_is_a_rule():
    found = load_folder("kerfproof.proof.checks", "CHECK")
    assert {module.replace("_", "-") for module in found} == set(CHECKS)
    assert not set(CHECKS) & set(all_rules())


@pytest.mark.parametrize("name", CHECKS)
def test_a_check_has_a_page_in_plain_words(name: str):
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", name)
    page = page_from(name, CHECKS[name].text)
    assert page.title.endswith(".") and "\n" not in page.title
    for text in (page.finds, page.matters, page.do):
        assert len(text) > 15 and text.endswith(".")


@pytest.mark.parametrize("name", CHECKS)
def test_a_check_finds_its_bad_example_and_spares_its_good_one(name: str, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(stock, "MOST_PAIRS", 100_000)
    page = page_from(name, CHECKS[name].text)
    severities = [f.severity for f in proof_of(page.bad).findings if f.rule == name]
    assert CHECKS[name].severity in severities
    assert name not in rules(page.good)
