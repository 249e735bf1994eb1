"""The demo's swapped tags as the books showed them before anybody put them right, and after."""

from typing import Any
from unittest import mock

import pytest
from django.test import TestCase

from fixtures_demo import year_2025
from fixtures_demo.season import TODAY
from fixtures_demo.telling import build
from grading.queries.likeness import likeness_of
from grading.queries.looks import look_lines
from grading.queries.watch_list import watch_lines, watch_list
from inventory.models import Station

SWAPPED = ["25-0005-6", "25-0007-0"]


@pytest.mark.slow
class TestSwappedTags(TestCase):
    """One build for all of these: they only read."""

    @classmethod
    def setUpTestData(cls) -> None:
        put_right = year_2025._swap_the_tags_back

        def look_first(demo: Any) -> None:
            cls.before = look_lines(demo.station)
            put_right(demo)

        with mock.patch.object(year_2025, "_swap_the_tags_back", look_first):
            build()
        cls.station = Station.objects.get()

    def test_both_lots_are_named_each_with_the_other_line_and_as_a_pair(self) -> None:
        first, second, pair = self.before
        assert first.startswith("25-0005-6 is recorded as QN-2104, but 100 seeds weigh 21.7 g")
        assert "QN-2117" in first.rpartition("It looks like")[2]
        assert second.startswith("25-0007-0 is recorded as QN-2117, but 100 seeds weigh 18.0 g")
        assert "QN-2104" in second.rpartition("It looks like")[2]
        assert pair == "25-0005-6 and 25-0007-0 look like each other's line."

    def test_once_they_are_put_right_the_watch_names_no_lot(self) -> None:
        assert look_lines(self.station) == []
        assert "Not like its line:" not in watch_lines(watch_list(self.station, TODAY))

    def test_their_line_is_the_one_they_were_given(self) -> None:
        for lot in SWAPPED:
            answer = likeness_of(self.station, lot)
            assert answer is not None and answer.tail is not None
            assert answer.tail > 0.2
