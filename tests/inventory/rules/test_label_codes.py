"""Numbers of labels: digits only, checked, and never one of a lot."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.label_codes import LabelKind, LabelMisread, label_code, read_label_code
from inventory.rules.lot_number import damm_digit

kinds, keys = st.sampled_from(list(LabelKind)), st.integers(1, 10**12)


@given(kinds, keys)
def test_what_is_printed_is_read_again(kind: LabelKind, key: int) -> None:
    code = label_code(kind, key)
    assert code.isdecimal() and len(code) >= 9
    assert read_label_code(code) == (kind, key)


@given(kinds, keys, st.data())
def test_one_wrong_digit_and_two_swapped_ones_are_caught(kind: LabelKind, key: int, data: st.DataObject) -> None:
    code = label_code(kind, key)
    place = data.draw(st.integers(2, len(code) - 1))
    wrong = str((int(code[place]) + data.draw(st.integers(1, 9))) % 10)
    with pytest.raises(LabelMisread, match="does not check"):
        read_label_code(code[:place] + wrong + code[place + 1 :])
    if place + 1 < len(code) and code[place] != code[place + 1]:
        with pytest.raises(LabelMisread):
            read_label_code(code[:place] + code[place + 1] + code[place] + code[place + 2 :])


@given(st.integers(0, 99), st.integers(1, 99_999))
def test_no_lot_number_is_taken_for_a_label_of_something_else(year: int, running: int) -> None:
    digits = f"{year:02d}{running:04d}"
    assert read_label_code(f"{digits}{damm_digit(digits)}") is None


@pytest.mark.parametrize("text", ["", "24-0016-5", "000000000", "²" * 9, "0x000001"])
def test_other_text_is_no_label(text: str) -> None:
    assert read_label_code(text) is None
