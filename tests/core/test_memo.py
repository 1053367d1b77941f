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


def test_a_sealed_memo_knows_what_was_held_and_holds_nothing_more() -> None:
    memo, make = Memo(), Counted()
    memo.result("read", (), (1,), make)
    sealed = memo.sealed()
    assert not sealed.holds
    assert [sealed.result("read", (), (1,), make) for _ in range(2)] == ["made 1"] * 2
    assert [sealed.result("look", (), (1,), make) for _ in range(2)] == ["made 2", "made 3"]
    assert memo.result("look", (), (1,), make) == "made 4", "nor does the memo learn from it"


def test_a_failure_leaves_what_was_there() -> None:
    memo, make = Memo(), Counted()
    memo.result("a", (), (1,), make)

    def fail() -> str:
        raise OSError

    with pytest.raises(OSError):
        memo.result("a", (), (2,), fail)
    assert memo.result("a", (), (1,), make) == "made 1"


def test_pieces_used_the_last_time_are_not_made_again_and_older_ones_are_forgotten() -> None:
    memo, made = Memo(), list[str]()

    def work(*keys: str, settings: int = 1) -> list[str]:
        made.clear()
        with memo.pieces("cuts", (settings,)) as known:
            several = known.all(keys[:-1], lambda new: [made.append(keys[k]) or keys[k].upper() for k in new])
            return [*several, known.one(keys[-1], lambda: made.append(keys[-1]) or keys[-1].upper())]

    assert work("a", "b", "c") == ["A", "B", "C"]
    assert work("c", "a", "d", "a") == ["C", "A", "D", "A"] and made == ["d"]
    assert work("b", "a", "b") == ["B", "A", "B"] and made == ["b"], "b was not used the last time"
    assert work("a", "b", settings=2) == ["A", "B"] and made == ["a", "b"]


def test_pieces_stay_as_they_were_where_the_work_is_broken_off() -> None:
    memo, make = Memo(), Counted()
    with memo.pieces("a", ()) as known:
        known.one("x", make)
    with pytest.raises(OSError), memo.pieces("a", ()) as known:
        known.one("y", make)
        raise OSError
    with memo.pieces("a", ()) as known:
        assert [known.one("x", make), known.one("y", make)] == ["made 1", "made 3"]
