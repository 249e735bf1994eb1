"""Lot numbers: the check digit, forgiving reading, near numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.lot_number import (
    BagReference,
    CheckDigitWrong,
    LotNumber,
    NotABag,
    NotALotNumber,
    damm_digit,
    near_numbers,
    read_bag,
    read_lot_number,
)

LOT_16 = LotNumber(24, 16)
numbers = st.builds(LotNumber, st.integers(0, 99), st.integers(1, 99_999))
digit_rows = st.text("0123456789", min_size=1, max_size=12)

SEASON = [
    "24-0001-5",
    "24-0002-8",
    "24-0003-1",
    "24-0004-4",
    "24-0005-3",
    "24-0006-6",
    "24-0007-7",
    "24-0008-9",
    "24-0009-0",
    "24-0010-6",
    "24-0011-1",
    "24-0012-2",
    "24-0013-3",
    "24-0014-0",
    "24-0015-4",
    "24-0016-5",
    "24-0017-9",
    "24-0018-7",
    "24-0019-8",
    "24-0020-1",
    "24-0021-7",
    "24-0022-5",
    "24-0023-0",
    "24-0024-9",
    "24-0025-8",
    "25-0001-9",
    "25-0002-4",
    "25-0003-5",
    "25-0004-3",
    "25-0005-6",
    "25-0006-2",
    "25-0007-0",
    "25-0008-1",
    "25-0009-7",
    "25-0010-0",
    "25-0011-3",
    "25-0012-1",
    "25-0013-7",
    "25-0014-5",
    "25-0015-9",
    "25-0016-8",
    "25-0017-6",
    "25-0018-4",
    "25-0019-2",
]


@pytest.mark.outside(
    "Rosetta Code, task 'Damm algorithm': 5724 and 112946 check, 5727 and 112949 do not; 572 -> 4 is also the "
    "worked example of the encyclopaedia article on the algorithm"
)
@pytest.mark.parametrize(("digits", "check"), [("572", 4), ("11294", 6)])
def test_the_check_digit_is_that_of_published_examples(digits, check):
    assert damm_digit(digits) == check
    assert [last for last in "0123456789" if damm_digit(digits + last) == 0] == [str(check)]


@pytest.mark.parametrize("text", SEASON)
def test_every_number_of_the_season_checks(text):
    assert read_lot_number(text).value.text == text


def test_the_season_has_forty_four_different_numbers():
    assert len({read_lot_number(text).value for text in SEASON}) == 44


@given(digit_rows, st.data())
def test_one_wrong_digit_never_checks(row, data):
    whole = row + str(damm_digit(row))
    place = data.draw(st.integers(0, len(whole) - 1))
    other = data.draw(st.sampled_from([digit for digit in "0123456789" if digit != whole[place]]))
    assert damm_digit(whole[:place] + other + whole[place + 1 :]) != 0


@given(digit_rows, st.data())
def test_two_swapped_neighbours_never_check(row, data):
    whole = row + str(damm_digit(row))
    place = data.draw(st.integers(0, len(whole) - 2))
    left, right = whole[place], whole[place + 1]
    if left != right:
        assert damm_digit(whole[:place] + right + left + whole[place + 2 :]) != 0


@given(numbers)
def test_a_printed_number_reads_as_itself_without_a_note(number):
    for text in (number.text, number.digits):
        read = read_lot_number(text)
        assert (read.value, read.notes) == (number, ())


@given(numbers.filter(lambda number: number.running <= 9999))
def test_a_number_without_check_digit_is_completed_without_a_note(number):
    assert read_lot_number(number.stem).value == number
    assert read_lot_number(number.stem).notes == ()


def test_text_and_digits_are_written_as_on_the_label():
    assert (LOT_16.text, LOT_16.digits, LOT_16.stem, str(LOT_16)) == ("24-0016-5", "2400165", "24-0016", "24-0016-5")


def test_after_9999_the_running_number_has_five_digits():
    text = LotNumber(24, 10_000).text
    assert text.startswith("24-10000-")
    assert read_lot_number(text).value == LotNumber(24, 10_000)


@pytest.mark.parametrize(
    "typed",
    [
        " 24 0016 5",
        "240016-5",
        "24-OO16-5",
        "24-oo16-5",
        "24-00l6-5",
        "24-00I6-5",
        "24-0016-5 ",
        "24 - 0016 - 5",
        "24–0016–5",
        "２４－００１６－５",
        "24\u00a00016\u00a05",
        "24-0016-5\u200b",
    ],
)
def test_other_writings_find_the_same_lot_and_say_so(typed):
    read = read_lot_number(typed)
    assert read.value == LOT_16
    assert len(read.notes) == 1
    assert "24-0016-5" in read.notes[0].says


@pytest.mark.parametrize("cell", [240016, 240016.0, 2400165, 2400165.0])
def test_a_number_that_a_sheet_made_a_number_is_read(cell):
    assert read_lot_number(cell).value == LOT_16


def test_letters_read_as_digits_are_named():
    assert read_lot_number("24-OOO2 ").notes[0].says == "Read O as 0: 24-0002-8."
    assert read_lot_number("24-OOI6-5").notes[0].says == "Read I as 1 and O as 0: 24-0016-5."


def test_blanks_are_shown_with_what_was_read():
    assert read_lot_number(" 24 0016 5").notes[0].says == "Read ' 24 0016 5' as 24-0016-5."


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "  ",
        "QN-2104",
        "24-09-24",
        "2024-09-24",
        "24-0000-2",
        "24",
        "24-001",
        "24-00016-5",
        "24_0016_5",
        "24-0016-5/14",
        "x" * 500,
        None,
        True,
        pytest.param(10**5000, id="long"),
    ],
)
def test_other_things_are_not_lot_numbers(typed):
    with pytest.raises(NotALotNumber):
        read_lot_number(typed)


def test_a_wrong_check_digit_is_worded_with_the_number_as_typed():
    with pytest.raises(CheckDigitWrong) as caught:
        read_lot_number("2400615")
    assert caught.value.says == (
        "24-0061-5 does not check: a digit is wrong or two are swapped. Scan the label, or type it again."
    )


def test_a_wrong_check_digit_can_name_the_lots_that_exist():
    mistake = CheckDigitWrong("24-0061-5", did_you_mean=("24-0016-5 (QN-2104, 584.3 kg)",))
    assert mistake.says == (
        "24-0061-5 does not check: a digit is wrong or two are swapped. Did you mean 24-0016-5 (QN-2104, 584.3 kg)?"
    )
    assert mistake.proposal == "24-0016-5"


def test_swapped_neighbours_come_first_among_near_numbers():
    near = near_numbers("24-0061-5")
    assert near[0] == LOT_16
    assert len(near) <= 13


@given(numbers, st.data())
def test_a_single_slip_always_leaves_the_true_number_near(number, data):
    digits = number.digits
    place = data.draw(st.integers(3, len(digits) - 1))
    other = data.draw(st.sampled_from([digit for digit in "0123456789" if digit != digits[place]]))
    near = near_numbers(digits[:place] + other + digits[place + 1 :])
    assert number in near
    assert all(damm_digit(found.digits) == 0 for found in near)


@pytest.mark.parametrize(
    ("typed", "notes"), [("24-0016-5/14", 0), ("24-0016/14", 0), ("24 0016 5 / 14", 1), ("24-OO16-5/I4", 1)]
)
def test_a_bag_is_lot_slash_number(typed, notes):
    read = read_bag(typed)
    assert read.value == BagReference(LOT_16, 14)
    assert read.value.text == "24-0016-5/14"
    assert len(read.notes) == notes


@pytest.mark.parametrize("typed", ["24-0016-5", "24-0016-5/", "24-0016-5/0", "24-0016-5/x", ""])
def test_other_things_are_not_bags(typed):
    with pytest.raises(NotABag):
        read_bag(typed)


def test_a_bag_of_a_mistyped_lot_is_answered_with_the_check_digit():
    with pytest.raises(CheckDigitWrong):
        read_bag("24-0061-5/14")


@pytest.mark.parametrize(("year", "running"), [(100, 1), (-1, 1), (24, 0), (24, 100_000)])
def test_no_number_is_made_outside_its_range(year, running):
    with pytest.raises(ValueError, match="No lot number"):
        LotNumber(year, running)
