"""Lots in a safe order with as few clean-outs as there are changes of line."""

from itertools import pairwise, permutations

import pytest

from inventory.rules.work_order import Waits, work_order


def waits(lot: str, line: str, market_class: str) -> Waits:
    return Waits(lot, line, market_class, 1)


DAY = [
    waits("1", "B-1", "black"), waits("2", "N-1", "navy"), waits("3", "P-1", "pinto"), waits("4", "N-2", "navy"),
    waits("5", "N-1", "navy"),
]  # fmt: skip


def told(*after: str, is_light_first: bool = True) -> list[tuple[str, bool, bool]]:
    turns = work_order(DAY, after or ("", ""), is_light_first=is_light_first)  # type: ignore[arg-type]
    return [(turn.waits.lot, turn.needs_clean_out, turn.shows) for turn in turns]


def test_light_lots_come_first_and_lots_of_a_line_stay_together() -> None:
    assert told() == [
        ("2", False, False), ("5", False, False), ("4", True, False), ("3", True, False), ("1", True, False),
    ]  # fmt: skip


def test_dark_lots_first_show_in_every_lighter_one_after_them() -> None:
    assert told(is_light_first=False) == [
        ("1", False, False), ("3", True, True), ("2", True, True), ("5", False, False), ("4", True, False),
    ]  # fmt: skip


def test_what_went_over_the_line_last_counts_for_the_first_lot() -> None:
    assert told("B-1", "black")[0] == ("2", True, True)
    assert told("N-2", "navy")[:2] == [("4", False, False), ("2", True, False)]


def test_blends_need_a_clean_out_between_them() -> None:
    turns = work_order([waits("1", "", "navy"), waits("2", "", "navy")])
    assert [turn.needs_clean_out for turn in turns] == [False, True]


@pytest.mark.parametrize("after", [("", ""), ("N-1", "navy"), ("X", "black")])
def test_no_other_order_needs_fewer_clean_outs_by_colour(after: tuple[str, str]) -> None:
    def changes(order: tuple[Waits, ...]) -> int:
        lines = [*([after[0]] if after[0] else []), *(one.line for one in order)]
        return sum(first != second for first, second in pairwise(lines))

    least = min(changes(order) for order in permutations(DAY))
    assert sum(turn.needs_clean_out for turn in work_order(DAY, after)) == least


def test_nothing_that_waits_is_an_empty_order() -> None:
    assert work_order([]) == []
