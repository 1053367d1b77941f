from __future__ import annotations

import numpy as np
import pytest

from kerfproof.gcode.header_lines import heading_lines, read_heading

PAIRS = (
    ("machine", "0.75 in float, contact"),
    ("drawing", "part (2) Ø8; 50%.dxf"),
    ("empty", ""),
    ("spaces", "  two  and  end "),
    ("long", "roles " + "outer=cut; inner=hole " * 20),
    ("back", "a\\b\\20"),
    ("lines", "one\ntwo\r\nthree"),
    ("wide", "日本語" * 30),
    ("like", "proof: kerf = 9"),
)


def test_a_heading_reads_back_to_the_letter() -> None:
    assert read_heading(heading_lines(PAIRS)) == dict(PAIRS)


def test_a_heading_survives_readers_that_trim_and_other_comments_between() -> None:
    lines = [line.removeprefix("(").removesuffix(")").strip() for line in heading_lines(PAIRS)]
    assert read_heading(["SAFETY: arc", *lines, "cut 1 of 2"]) == dict(PAIRS)


def test_heading_lines_are_legal_comments_of_80_characters() -> None:
    for line in heading_lines(PAIRS):
        assert len(line) <= 80 and line.isascii() and line.isprintable()
        assert line[0] == "(" and line[-1] == ")" and not set("();!~?$%") & set(line[1:-1])


def test_plain_values_stay_readable() -> None:
    assert heading_lines([("kerf", "1.5 mm")]) == ["(proof: kerf = 1.5 mm)"]


def test_values_of_any_letters_read_back() -> None:
    rng = np.random.default_rng(11)
    alphabet = list(" \\()ab;~Ø漢\n20=+:")
    for _ in range(300):
        value = "".join(rng.choice(alphabet, int(rng.integers(0, 300))))
        assert read_heading(heading_lines([("k", value), ("after", "1")])) == {"k": value, "after": "1"}


def test_a_key_twice_counts_once() -> None:
    assert read_heading(["proof: kerf = 1", "proof: kerf = 2", "proof: kerf + 3"]) == {"kerf": "1"}


def test_a_key_with_a_space_is_a_wrong_call() -> None:
    with pytest.raises(ValueError, match="heading key"):
        heading_lines([("two words", "x")])
