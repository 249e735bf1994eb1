"""What readers type."""

import pytest

from inventory.rules.scanned import read_scan


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        (" 24-0016-5 ", "24-0016-5"),
        ("https://seed.example/l/2400165", "2400165"),
        ("https://seed.example/l/2400165/", "2400165"),
        ("QN-2104", "QN-2104"),
        ("&é", "&é"),
        ("", ""),
        ("24\x000016", "240016"),
    ],
)
def test_an_address_counts_by_its_last_part_and_other_text_stays(typed: str, text: str) -> None:
    assert read_scan(typed) == (text, ())


def test_the_digit_row_of_a_french_keyboard_is_put_right_and_said() -> None:
    text, notes = read_scan("é'àà&-(")
    assert text == "2400165"
    assert "another keyboard" in notes[0].says
