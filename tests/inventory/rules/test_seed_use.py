"""Which lot is sown first, and taking in that order."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.seed_use import Source, draw, in_order


def lots(text: str) -> list[Source]:
    """Lots as a line of text: "A 2024 tested 60, B 2025 untested 100, C 2024 barred 9"."""
    parts = [part.split() for part in text.split(", ")]
    return [
        Source(lot, int(mg), word == "tested", int(crop), date(int(crop), 10, 1), "on hold" if word == "barred" else "")
        for lot, crop, word, mg in parts
    ]


def test_the_oldest_good_lot_is_used_first_and_an_untested_one_last():
    order = in_order(lots("A 2025 tested 60, B 2023 untested 100, C 2024 tested 5, D 2022 barred 9, E 2024 tested 0"))
    assert [one.lot for one in order] == ["C", "A", "B"]


def test_lots_are_taken_whole_in_order_until_there_is_enough():
    drawn, missing = draw(100, lots("A 2025 tested 60, B 2024 tested 70"))
    assert [(one.lot, one.mg, one.left_mg) for one in drawn] == [("B", 70, 0), ("A", 30, 30)]
    assert missing == 0


def test_what_is_missing_is_said():
    drawn, missing = draw(100, lots("A 2025 tested 60, B 2024 barred 70"))
    assert ([one.lot for one in drawn], missing) == (["A"], 40)
    assert draw(0, lots("A 2025 tested 60")) == ([], 0)


@given(st.integers(0, 500), st.lists(st.integers(0, 100), max_size=8))
def test_nothing_is_lost_between_need_taken_and_missing(need, masses):
    sources = [Source(str(place), mg, True, 2024, date(2024, 1, 1)) for place, mg in enumerate(masses)]
    drawn, missing = draw(need, sources)
    assert sum(one.mg for one in drawn) + missing == need
    assert missing == max(0, need - sum(masses))
    assert all(one.mg > 0 and one.left_mg >= 0 for one in drawn)
