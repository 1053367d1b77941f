"""A memo gives the same result only for the very same inputs and equal settings."""

from __future__ import annotations

import pytest

from kerfproof.memo import Memo


class Counted:
    def __init__(self) -> None:
        self.made = 0

    def __call__(self) -> str:
        self.made += 1
        return f"made {self.made}"


def test_the_same_inputs_and_equal_settings_are_not_worked_on_again() -> None:
    memo, make, sheet = Memo(), Counted(), [1, 2]
    assert memo.result("a", (sheet,), (1.5, "x"), make) == "made 1"
    assert memo.result("a", (sheet,), (1.5, "x"), make) == "made 1"
    assert make.made == 1


def test_equal_but_other_inputs_and_other_settings_are() -> None:
    memo, make, sheet = Memo(), Counted(), [1, 2]
    memo.result("a", (sheet,), (1.5,), make)
    assert memo.result("a", ([1, 2],), (1.5,), make) == "made 2"
    assert memo.result("a", (sheet,), (1.5,), make) == "made 3"
    assert memo.result("a", (sheet,), (1.6,), make) == "made 4"
    assert memo.result("a", (sheet, sheet), (1.6,), make) == "made 5"


def test_stages_do_not_disturb_each_other() -> None:
    memo, make = Memo(), Counted()
    assert memo.result("a", (), (1,), make) == "made 1"
    assert memo.result("b", (), (1,), make) == "made 2"
    assert memo.result("a", (), (1,), make) == "made 1"


def test_a_failure_leaves_what_was_there() -> None:
    memo, make = Memo(), Counted()
    memo.result("a", (), (1,), make)

    def fail() -> str:
        raise OSError

    with pytest.raises(OSError):
        memo.result("a", (), (2,), fail)
    assert memo.result("a", (), (1,), make) == "made 1"
