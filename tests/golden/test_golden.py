"""Programs of the demo drawings, byte for byte, in two dialects and both units.

A difference is a choice that moved: look at it, then run ``python scripts/accept_golden.py``.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from support.shop.golden_cases import CASES, program_of

HERE = Path(__file__).parent


@pytest.mark.parametrize("case", CASES)
def test_the_program_is_the_accepted_one(case):
    expected = (HERE / f"{case}.nc").read_text(encoding="ascii")
    actual = program_of(case)
    if actual != expected:
        kept = HERE / "actual" / f"{case}.nc"
        kept.parent.mkdir(exist_ok=True)
        kept.write_text(actual, encoding="ascii", newline="\n")
    assert actual == expected, f"{case} differs: compare golden/actual/{case}.nc with golden/{case}.nc"
