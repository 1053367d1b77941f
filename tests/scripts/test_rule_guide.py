"""The guide's list of rules is the one that the rules make."""

from __future__ import annotations

from pathlib import Path

from kerfproof.report.data.rule_pages import guide, rules

GUIDE = Path(__file__).resolve().parents[2] / "resources" / "kerfproof_resources" / "guide" / "rules.md"


def test_the_guide_is_current():
    assert GUIDE.read_text(encoding="utf-8") == guide(), "run python3 scripts/rule_guide.py"


def test_every_rule_stands_in_the_guide_once_with_both_examples():
    text = guide()
    for page in rules():
        assert text.count(f"\n### {page.name}\n") == 1
        assert f"](#{page.name})" in text
    assert text.count("\nBad:\n") == text.count("\nGood:\n") == len(rules()) > 80
