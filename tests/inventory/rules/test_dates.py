"""Dates as people write them."""

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import from_excel

from inventory.rules.dates import (
    DateImpossible,
    DateMissing,
    DateTooEarly,
    DateTwoReadings,
    FutureDate,
    NotADate,
    month_of,
    read_date,
)
from inventory.rules.mistakes import Mistake

SEPT_24 = date(2024, 9, 24)


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("24 Sept 24", SEPT_24),
        ("24 Sep 2024", SEPT_24),
        ("24-sept.-2024", SEPT_24),
        ("Sept 24, 2024", SEPT_24),
        ("September 24th 2024", SEPT_24),
        ("Tue 24 Sep 2024", SEPT_24),
        ("2024-Sep-24", SEPT_24),
        ("24sep2024", SEPT_24),
        ("2024/9/24", SEPT_24),
        ("2024.09.24", SEPT_24),
        ("24.09.2024", SEPT_24),
        ("09/24/2024", SEPT_24),
        ("20240924", SEPT_24),
        ("２０２４－０９－２４", SEPT_24),
        ("24 septembre 2024", SEPT_24),
        ("mardi 24 septembre 2024", SEPT_24),
        ("24 de setiembre de 2024", SEPT_24),
        ("30 mars 2026", date(2026, 3, 30)),
        ("1er mars 2026", date(2026, 3, 1)),
        ("3 févr. 2026", date(2026, 2, 3)),
        ("3 fevr 2026", date(2026, 2, 3)),
        ("14 AOÛT 2025", date(2025, 8, 14)),
        ("14 août 2025", date(2025, 8, 14)),
        ("18-ene-2026", date(2026, 1, 18)),
        ("18 de enero de 2026", date(2026, 1, 18)),
        ("2 dic 25", date(2025, 12, 2)),
        ("5 juil. 2025", date(2025, 7, 5)),
        ("5 juin 2025", date(2025, 6, 5)),
        ("10/10/24", date(2024, 10, 10)),
    ],
)
def test_a_written_day_is_read_with_a_note(typed, day):
    read = read_date(typed)
    assert read.value == day
    assert read.notes[0].says == f"Read '{typed}' as {day}."


@pytest.mark.parametrize(
    "value",
    ["2024-09-24", "2024-09-24 08:00:00", "2024-09-24T08:00Z", SEPT_24, datetime(2024, 9, 24, 8, tzinfo=UTC)],
)
def test_a_day_in_standard_form_is_read_without_a_note(value):
    assert read_date(value).value == SEPT_24
    assert read_date(value).notes == ()


@pytest.mark.outside("openpyxl, the reference reader of the format (ECMA-376 part 1, 18.17.4.1), agrees")
@pytest.mark.parametrize(
    ("serial", "day"), [(45567, date(2024, 10, 2)), (45567.5, date(2024, 10, 2)), ("45567", date(2024, 10, 2))]
)
def test_a_serial_number_is_read_in_the_1900_system(serial, day):
    assert from_excel(45567).date() == day
    assert read_date(serial).value == day
    assert len(read_date(serial).notes) == 1


def test_an_unknown_order_is_asked_about_with_both_days():
    with pytest.raises(DateTwoReadings) as caught:
        read_date("10/02/24", near=date(2024, 10, 1))
    assert caught.value.says == (
        "10/02/24 can be 10 Feb or 2 Oct. Rows above are Oct 2024. Which order does this sheet use?"
    )
    assert caught.value.readings == (date(2024, 2, 10), date(2024, 10, 2))
    assert caught.value.proposal == "2024-10-02"
    assert caught.value.level == "question"


def test_a_near_day_of_rows_below_is_not_said_to_stand_above():
    with pytest.raises(DateTwoReadings, match="Rows below are Oct 2024"):
        read_date("10/02/24", near=date(2024, 10, 1), near_is_below=True)


def test_without_a_near_day_nothing_is_proposed():
    with pytest.raises(DateTwoReadings) as caught:
        read_date("10/02/2024")
    assert caught.value.proposal is None


def test_a_day_that_may_begin_with_its_year_names_all_readings():
    with pytest.raises(DateTwoReadings) as caught:
        read_date("24-09-26")
    assert caught.value.readings == (date(2026, 9, 24), date(2024, 9, 26))
    assert "24 Sep 2026 or 26 Sep 2024" in caught.value.says


@pytest.mark.parametrize(("day_first", "day"), [(True, date(2024, 2, 10)), (False, date(2024, 10, 2))])
def test_a_known_order_settles_it(day_first, day):
    assert read_date("10/02/24", day_first=day_first).value == day


def test_a_known_order_that_the_calendar_refuses_gives_way():
    assert read_date("25/10/24", day_first=False).value == date(2024, 10, 25)


@pytest.mark.parametrize("typed", ["31/02/2024", "30 Feb 2024", "2023-02-29", "32/13/2024", "2024-00-10", "1 Jan 9999"])
def test_a_day_that_is_not_in_the_calendar_is_refused(typed):
    with pytest.raises(DateImpossible):
        read_date(typed)


@pytest.mark.parametrize(
    "typed", ["soon", "24 Sept", "2024-09", "24 jui 2024", "12", "1/2/3/4", "24*09*2024", "TOTAL", "9" * 30, True, 1.5]
)
def test_what_is_not_a_date_is_refused(typed):
    with pytest.raises(NotADate):
        read_date(typed)


@pytest.mark.parametrize("value", [None, "", "  "])
def test_an_empty_date_is_missing(value):
    with pytest.raises(DateMissing):
        read_date(value)


def test_a_day_that_has_not_come_is_refused():
    today = date(2026, 3, 31)
    assert read_date("2026-03-31", today=today).value == today
    with pytest.raises(FutureDate) as caught:
        read_date("2026-04-01", today=today)
    assert caught.value.says == ("Date 2026-04-01 has not come yet: today is 2026-03-31. Check the day and the year.")


def test_a_day_before_all_books_is_refused():
    with pytest.raises(DateTooEarly):
        read_date(date(1900, 1, 1))


@given(st.dates(date(1950, 1, 1), date(2100, 12, 31)))
def test_any_day_is_read_back_from_its_standard_form(day):
    assert read_date(day.isoformat()).value == day
    assert read_date(f"{day.day} {day:%B} {day.year}").value == day


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text):
    try:
        read_date(text)
    except Mistake as mistake:
        assert mistake.says.endswith((".", "?"))


@pytest.mark.parametrize(
    ("word", "month"), [("mar", 3), ("ma", None), ("jui", None), ("set", 9), ("Déc", 12), ("x", None)]
)
def test_a_month_is_known_by_three_letters_that_fit_only_one(word, month):
    assert month_of(word) == month
