"""The rule set of a day and class."""

from datetime import date

import pytest

from grading.queries.editions import edition_of
from grading.queries.germination import months_before
from grading.queries.in_force import rule_set_for
from inventory.rules.mistakes import Mistake

ON = date(2024, 10, 10)


def test_the_stations_own_limits_go_first() -> None:
    assert rule_set_for("", "pinto", ON, "QM").id == "QM-DEMO"


def test_another_station_is_asked_which_of_several_it_means() -> None:
    with pytest.raises(Mistake, match=r"pinto is graded by CA-BEANS and QM-DEMO\. Say by which rule set"):
        rule_set_for("", "pinto", ON, "ST")


def test_the_only_one_in_force_needs_no_name() -> None:
    assert rule_set_for("", "pinto", date(2023, 10, 10), "QM").id == "CA-BEANS"


def test_one_named_out_of_its_dates_is_refused() -> None:
    with pytest.raises(Mistake, match="QM-DEMO was not in force for pinto on 2023-10-10"):
        rule_set_for("qm-demo", "pinto", date(2023, 10, 10), "QM")


def test_an_edition_that_is_gone_is_none() -> None:
    assert edition_of("QM-DEMO", "1") is not None
    assert edition_of("QM-DEMO", "0") is None


@pytest.mark.parametrize(
    ("day", "before"),
    [
        (date(2026, 3, 31), date(2025, 3, 31)),
        (date(2024, 2, 29), date(2023, 2, 28)),
        (date(2025, 1, 5), date(2024, 1, 5)),
    ],
)
def test_twelve_months_before_is_the_same_day_of_the_year_before(day: date, before: date) -> None:
    assert months_before(day, 12) == before
