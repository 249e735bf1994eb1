"""The geometry of a run's flow, as numbers."""

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.drawing.flow import SLOT, THICK, THINNEST, TOP, Spout, flow


def off(mass: int | None, name: str = "throughs") -> Spout:
    return Spout(name, mass, "off", "")


# R14 of a plant's season [100 g]: 1,130.0 fed, 1,041.0 clean, 12.0, 38.5, 16.5 off, 22.0 missing.
RUN = [
    Spout("clean", 10410, "clean", "1,041.0"), off(120, "scalpings"), off(385), off(165, "liftings"),
    Spout("unaccounted", 220, "unaccounted", "22.0"),
]  # fmt: skip


def test_branches_are_to_one_scale() -> None:
    drawn = flow(11300, RUN)
    assert drawn.feed == pytest.approx(THICK)
    clean, _scalpings, throughs, _liftings, missing = drawn.branches
    assert clean.thickness == pytest.approx(THICK * 10410 / 11300)
    assert throughs.thickness / missing.thickness == pytest.approx(385 / 220)


def test_branches_leave_the_feed_one_under_the_other_and_fill_it() -> None:
    drawn = flow(11300, [Spout("clean", 6000, "clean", ""), off(3000), off(2300)])
    ends = [(branch.leaves, branch.leaves + branch.thickness) for branch in drawn.branches]
    assert ends[0][0] == TOP
    assert [end for _start, end in ends[:-1]] == pytest.approx([start for start, _end in ends[1:]])
    assert ends[-1][1] == pytest.approx(TOP + drawn.feed)


def test_a_spout_of_a_few_grams_can_still_be_seen() -> None:
    assert flow(1_130_000, [off(1_129_999), off(1)]).branches[1].thickness == THINNEST


def test_a_spout_that_gave_nothing_keeps_its_branch() -> None:
    assert flow(1000, [off(1000), off(0)]).branches[1].thickness == THINNEST


def test_a_spout_that_waits_has_its_own_slot_and_takes_nothing_of_the_feed() -> None:
    drawn = flow(1000, [off(500), off(None), off(500)])
    assert [branch.is_waiting for branch in drawn.branches] == [False, True, False]
    assert drawn.branches[2].leaves == pytest.approx(TOP + THICK / 2)


def test_more_out_than_in_makes_the_feed_the_thinner_one() -> None:
    drawn = flow(1000, [off(1250), Spout("too much", 250, "over", "")])
    assert drawn.feed == pytest.approx(THICK * 0.8)
    assert drawn.branches[0].thickness == pytest.approx(THICK)


def test_a_feed_that_was_not_weighed_is_as_wide_as_what_came_of_it() -> None:
    assert flow(None, [off(30), off(10)]).feed == pytest.approx(THICK)
    assert flow(None, [off(None)]).feed == 0


@given(st.integers(0, 10**9), st.lists(st.one_of(st.none(), st.integers(0, 10**9)), max_size=12))
def test_branches_never_touch_at_their_ends_and_stay_on_the_drawing(feed: int, masses: list[int | None]) -> None:
    drawn = flow(feed, [off(mass) for mass in masses])
    ends = [(branch.arrives, branch.arrives + branch.thickness) for branch in drawn.branches]
    assert all(below[0] > above[1] for above, below in pairwise(ends))
    assert all(branch.thickness >= THINNEST and branch.room >= SLOT for branch in drawn.branches)
    assert all(
        TOP <= branch.leaves <= branch.leaves + branch.thickness <= TOP + THICK + 0.01 for branch in drawn.branches
    )
    assert all(end <= drawn.height for _start, end in ends)


def test_the_outline_of_a_branch_begins_and_ends_at_its_edges() -> None:
    [branch] = flow(100, [off(100)]).branches
    numbers = [float(number) for number in re.findall(r"[\d.]+", branch.path)]
    assert numbers[1] == TOP
    assert numbers[-1] == TOP + THICK
