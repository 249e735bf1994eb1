"""What was said of seed that left."""

from datetime import date

import pytest

from inventory.rules.feedback import about_mistakes, shipment_mistakes
from inventory.rules.mistakes import Level

LEFT = date(2025, 5, 5)


@pytest.mark.parametrize("named", [("S1", "", ""), ("", "24-0001-5", ""), ("", "", "N-1"), ("S1", "24-0001-5", "N-1")])
def test_one_of_shipment_lot_and_line_is_enough(named):
    assert about_mistakes(*named) == []


def test_a_word_about_nothing_is_refused():
    assert [mistake.level for mistake in about_mistakes("", "", "")] == [Level.ERROR]


@pytest.mark.parametrize(("said_on", "codes"), [
    (date(2025, 5, 4), ["said_before_it_left"]), (LEFT, []), (date(2026, 1, 1), []),
])  # fmt: skip
def test_a_word_older_than_the_shipment_is_asked_about(said_on, codes):
    said = shipment_mistakes("S1", left_on=LEFT, said_on=said_on)
    assert [mistake.code for mistake in said] == codes


def test_a_lot_that_was_not_in_the_shipment_is_asked_about_beside_the_day():
    said = shipment_mistakes("S1", left_on=LEFT, said_on=date(2025, 5, 4), other_lot="24-0002-8")
    assert [mistake.says for mistake in said] == [
        "Nothing of 24-0002-8 left with S1. Leave one of the two out, or say why both are meant.",
        "S1 left on 2025-05-05, but this was said on 2025-05-04. Check the day, or say why it is right.",
    ]
    assert {mistake.level for mistake in said} == {Level.QUESTION}
