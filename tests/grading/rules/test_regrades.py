"""Which gradings come back, and who may pick one."""

import hashlib

import pytest

from grading.rules.regrades import grader_mistakes, is_chosen


def a_hash(number: int) -> str:
    return hashlib.sha256(str(number).encode()).hexdigest()


@pytest.mark.parametrize("one_in", [2, 10, 25])
def test_about_one_in_so_many_is_chosen(one_in: int) -> None:
    chosen = sum(is_chosen(a_hash(number), one_in) for number in range(20_000))
    spread = (20_000 / one_in * (1 - 1 / one_in)) ** 0.5
    assert abs(chosen - 20_000 / one_in) < 4 * spread


def test_the_choice_is_the_same_again_whoever_looks() -> None:
    assert [is_chosen(a_hash(7), 10), is_chosen("0a", 10), is_chosen("0b", 10)] == [
        is_chosen(a_hash(7), 10),
        True,
        False,
    ]


def test_one_in_one_is_every_grading_and_nought_is_none() -> None:
    assert all(is_chosen(a_hash(number), 1) for number in range(50))
    assert not any(is_chosen(a_hash(number), 0) for number in range(50))


@pytest.mark.parametrize(
    ("grader", "code"),
    [("bench-1", "same_grader"), (" Bench-1 ", "same_grader"), ("records", "laid_it_out"), ("bench-2", None)],
)
def test_neither_the_first_grader_nor_who_laid_it_out_may_pick_it(grader: str, code: str | None) -> None:
    found = grader_mistakes("G17", grader, first=["bench-1"], laid_out_by="records")
    assert [mistake.code for mistake in found] == ([code] if code else [])
    assert all("G17" in mistake.says for mistake in found)
