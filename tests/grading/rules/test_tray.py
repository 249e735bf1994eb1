"""Letters of the dishes: each its own, the chosen one first."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.queries.shipped import shipped_rule_sets
from grading.rules.closing import closing
from grading.rules.portion import Overlap
from grading.rules.tray import letter_mistakes, letters_of, tray_of
from tests.grading.bench import portion

RULES = {each.id: each for each in shipped_rule_sets()}


@pytest.mark.parametrize("rule_set", list(RULES.values()), ids=list(RULES))
def test_every_dish_of_a_shipped_rule_set_has_a_letter_of_its_own(rule_set) -> None:
    letters = [dish.letter for dish in tray_of(rule_set)]
    assert all(letters)
    assert len(set(letters)) == len(letters)


def test_the_chosen_letter_stands_before_any_other() -> None:
    assert letters_of({"splits": "splits", "stones": "stones"}, {"stones": "S"}) == {"stones": "S", "splits": "P"}


def test_the_order_of_the_tray_is_kept_and_the_rest_follows() -> None:
    names = [dish.name for dish in tray_of(RULES["QM-DEMO"], ["stones", "gone", "damaged"])]
    assert names[:3] == ["stones", "damaged", "splits"]


@given(st.lists(st.text("abcxyz ", min_size=1, max_size=8), unique=True, max_size=26))
def test_no_letter_is_given_twice(words: list[str]) -> None:
    letters = [letter for letter in letters_of({word: word for word in words}, {}).values() if letter]
    assert len(set(letters)) == len(letters) == len(words)


def test_a_letter_for_two_dishes_names_both() -> None:
    wrong = letter_mistakes({"splits": "splits", "stones": "stones"}, {"splits": "s", "stones": "S"})
    assert [mistake.says for mistake in wrong] == ["S stands for splits and for stones. Give each its own letter."]


def test_a_pan_is_added_up_exactly_and_what_lies_in_two_dishes_counts_once() -> None:
    picked = portion(
        "pinto 500.30: splits 2.40, damaged 3.10, contrasting_classes 0.50", sound_g=Decimal("494.65"),
        overlaps=(Overlap(("damaged", "contrasting_classes"), Decimal("0.50")),),
    )  # fmt: skip
    line = closing(RULES["QM-DEMO"], picked)
    assert (line.dishes_g, line.missing_g) == (Decimal("5.50"), Decimal("0.15"))
    assert line.is_closed


def test_a_pan_that_misses_just_over_a_thousandth_is_open() -> None:
    assert closing(RULES["QM-DEMO"], portion("pinto 500.0:", sound_g=Decimal("499.5"))).is_closed
    assert not closing(RULES["QM-DEMO"], portion("pinto 500.0:", sound_g=Decimal("499.49"))).is_closed
