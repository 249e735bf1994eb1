"""The geometry of losses by month, as numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.drawing.losses import COLUMN, GAP, HEIGHT, THINNEST, Lost, columns

MONTHS = ["2024-09", "2024-10", "2024-11"]


def lost(column: int, mass: int, kind: str = "taken", name: str = "air-screen") -> Lost:
    return Lost(column, name, mass, kind, "")


def test_columns_share_one_scale_and_stand_on_the_base() -> None:
    drawn = columns(MONTHS, [lost(0, 50), lost(1, 100)])
    assert [(block.x, block.y, block.height) for block in drawn.blocks] == [
        (0, HEIGHT / 2, HEIGHT / 2), (COLUMN + GAP, 0, HEIGHT),
    ]  # fmt: skip


def test_unaccounted_of_every_machine_is_on_top() -> None:
    drawn = columns(MONTHS, [lost(0, 1, "unaccounted"), lost(0, 5), lost(0, 4, name="gravity")])
    kinds = [block.lost.kind for block in sorted(drawn.blocks, key=lambda block: -block.y)]
    assert kinds == ["taken", "taken", "unaccounted"]


def test_a_machine_keeps_its_fill_in_every_month() -> None:
    drawn = columns(MONTHS, [lost(0, 5), lost(0, 5, name="gravity"), lost(2, 5, name="gravity")])
    assert dict(drawn.shades) == {"air-screen": 0, "gravity": 1}
    assert [block.shade for block in drawn.blocks] == [0, 1, 1]


def test_a_few_grams_can_still_be_seen_and_nothing_is_not_drawn() -> None:
    drawn = columns(MONTHS, [lost(0, 10**9), lost(0, 1, "unaccounted"), lost(1, 0)])
    assert [block.height for block in drawn.blocks] == pytest.approx([HEIGHT, THINNEST])


def test_no_losses_leave_an_empty_drawing_with_its_months() -> None:
    drawn = columns(MONTHS, [])
    assert (drawn.blocks, drawn.highest) == ((), 0)
    assert [month for _x, month in drawn.labels] == MONTHS


@given(st.lists(st.tuples(st.integers(0, 2), st.integers(1, 10**9)), max_size=12))
def test_blocks_of_a_column_touch_and_never_overlap(given_: list[tuple[int, int]]) -> None:
    drawn = columns(MONTHS, [lost(column, mass) for column, mass in given_])
    for column in range(3):
        base = float(HEIGHT)
        for block in (block for block in drawn.blocks if block.lost.column == column):
            assert block.y + block.height == pytest.approx(base)
            base = block.y
