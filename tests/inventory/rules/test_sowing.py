"""Seed shared out over plots."""

from decimal import Decimal

import pytest

from inventory.rules.sowing import TooLittleToShare, share_out


@pytest.mark.parametrize(
    ("areas", "expected"),
    [
        ([Decimal("14.4")] * 3, ([100, 100, 100], False)),
        ([Decimal(1), Decimal(2)], ([100, 200], False)),
        ([Decimal(1), None], ([150, 150], True)),
        ([None], ([300], False)),
    ],
)
def test_seed_is_shared_by_area_where_all_are_known_and_else_equally(areas, expected):
    assert share_out(300, areas) == expected


def test_a_plot_never_gets_nothing():
    with pytest.raises(TooLittleToShare, match="cannot be shared over 3 plots"):
        share_out(2, [None] * 3)
