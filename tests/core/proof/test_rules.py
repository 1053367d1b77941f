"""The whole folder of rules: each has a page, a name that reads, and examples that prove it."""

from __future__ import annotations

import re

import pytest

from kerfproof.errors import Severity
from kerfproof.proof.rule import all_rules
from kerfproof.registry import load_folder
from support.programs.examples import evidence_of
from support.programs.rule_pages import page_of

RULES = all_rules()


def test_every_rule_file_defines_one_rule_with_its_own_name():
    found = load_folder("kerfproof.proof.rules", "RULE")
    assert {module.replace("_", "-"): rule.name for module, rule in found.items()} == {n: n for n in RULES}
    assert len(found) == len(RULES) > 40


@pytest.mark.parametrize("name", RULES)
def test_a_rule_has_a_legal_name_and_a_page_in_plain_words(name):
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", name)
    page = page_of(RULES[name])
    assert page.title.endswith(".") and "\n" not in page.title
    for text in (page.finds, page.matters, page.do):
        assert len(text) > 15 and text.endswith(".")
    assert page.title.isascii() and page.finds.isascii()


@pytest.mark.parametrize("name", RULES)
def test_a_rule_finds_its_bad_example(name):
    findings = RULES[name].findings(evidence_of(page_of(RULES[name]).bad))
    assert findings, "the bad example is clean"
    for finding in findings:
        assert finding.rule == name
        assert finding.message and finding.severity in Severity
        assert not re.search(r"\d\.\d+ (?!mm|um|in|s\b|A\b|minutes|bar|and|at 40 A)", finding.message)


@pytest.mark.parametrize("name", RULES)
def test_a_rule_spares_its_good_example(name):
    assert RULES[name].findings(evidence_of(page_of(RULES[name]).good)) == ()
