"""Entries told as movements: every milligram once, each with one giver and one taker."""

from collections import defaultdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.brapi.movements import Movement, movements_of

HARVESTED = (None, None, "harvested")


@pytest.mark.parametrize(
    ("entries", "moved"),
    [
        ([(*HARVESTED, -5), (1, 9, "", 5)], [Movement(0, 1, "harvested", 5)]),
        ([(1, 9, "", -5), (1, 8, "", 5)], [Movement(1, 1, "", 5)]),
        ([(1, 9, "", -5), (None, None, "shipped", 5)], [Movement(1, 0, "shipped", 5)]),
        (
            [(1, 9, "", -10), (2, 9, "", 7), (None, None, "screenings", 3)],
            [Movement(1, 0, "screenings", 3), Movement(1, 2, "", 7)],
        ),
        (
            [(1, 9, "", -60), (2, 9, "", -40), (3, 9, "", 90), (None, None, "spilled", 10)],
            [
                Movement(1, 0, "spilled", 6), Movement(2, 0, "spilled", 4), Movement(1, 3, "", 54),
                Movement(2, 3, "", 36),
            ],
        ),
        ([(*HARVESTED, -2), (None, None, "unaccounted", 2)], []),
    ],
)  # fmt: skip
def test_an_act_is_told_from_lot_to_lot(entries, moved):
    assert movements_of(entries) == moved


@given(
    st.lists(st.integers(1, 10**12), min_size=1, max_size=5), st.lists(st.integers(1, 10**6), min_size=1, max_size=5)
)
def test_what_each_lot_gave_and_took_is_what_its_entries_say(given_mg, weights):
    total = sum(given_mg)
    parts = [total * weight // sum(weights) for weight in weights]
    parts[-1] += total - sum(parts)
    taken = [mg for mg in parts if mg > 0]
    entries = [(lot, 1, "", -mg) for lot, mg in enumerate(given_mg, 1)]
    entries += [(100 + lot, 1, "", mg) for lot, mg in enumerate(taken)]
    net: dict[int, int] = defaultdict(int)
    for one in movements_of(entries):
        assert one.mg > 0
        net[one.giver] -= one.mg
        net[one.taker] += one.mg
    assert dict(net) == {lot: mg for lot, _place, _account, mg in entries}
