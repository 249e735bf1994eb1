"""Numbers of GS1: check digits, prefixes, and the addresses that are made of them."""

import re

import pytest

from inventory.rules.gs1 import (
    Gs1CheckDiffers,
    NotGs1Number,
    TradeNumbers,
    bag_link,
    begins_with,
    check_digit,
    lot_link,
    place_link,
    read_gln,
    read_gtin,
    read_prefix,
)
from inventory.rules.lot_number import LotNumber

# The syntax of constrained GS1 Digital Link URIs, as a draft of the working group of EPCIS and CBV 2.0 has it, read in
# a public copy without its place: one key, at most one qualifier, no sign that would be percent-encoded.
_SIGNS = r'["%.0-9A-Z_a-z-]{1,20}'
CLASS, INSTANCE = (
    re.compile(rf"https?://[^/?#]+/01/\d{{14}}/10/{_SIGNS}"),
    re.compile(rf"https?://[^/?#]+/01/\d{{14}}/21/{_SIGNS}"),
)
PLACE = re.compile(rf"https?://[^/?#]+/414/\d{{13}}(/254/{_SIGNS})?")


@pytest.mark.outside("GS1, How to calculate a check digit manually: worked example of a GTIN-13")
def test_the_check_digit_of_the_published_example() -> None:
    """629104150021: 6×1 + 2×3 + 9×1 + 1×3 + 0 + 4×3 + 1 + 5×3 + 0 + 0 + 2×1 + 1×3 = 57, and 60 less 57 is 3."""
    assert check_digit("629104150021") == "3"


@pytest.mark.outside("GS1 Sweden, Så beräknas kontrollsiffran; GS1 India, How to calculate the Check Digit")
@pytest.mark.parametrize("number", ["7300011000017", "8904000210037"])
def test_the_check_digits_of_two_member_organisations_examples(number: str) -> None:
    assert check_digit(number[:-1]) == number[-1]
    assert read_gln(number) == number


@pytest.mark.outside("GS1, EPC Tag Data Standard: examples of SGTIN and SGLN, prefix 0614141 (from memory)")
def test_numbers_of_the_tag_standard_check_and_begin_with_their_prefix() -> None:
    assert begins_with(read_gtin("80614141123458"), "0614141")
    assert read_gln("0614141123452").startswith("0614141")


def test_a_check_digit_of_nothing_over_is_nought() -> None:
    assert check_digit("000000000000") == "0"


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("9506000134352", "09506000134352"), ("614141 00003 6", "00614141000036"), (9506000134352, "09506000134352"),
        ("9-506000-13435-2", "09506000134352"), ("19506000134359", "19506000134359"),
    ],
)  # fmt: skip
def test_a_gtin_is_read_in_fourteen_digits(typed: object, read: str) -> None:
    assert read_gtin(typed) == read


@pytest.mark.parametrize(
    "typed", ["950600013435", "95060001", "9506000134352X", "٩٥٠٦٠٠٠١٣٤٣٥٢", "", "1" * 15, None, "½" * 13]
)
def test_what_is_no_gtin_is_said_with_its_digits(typed: object) -> None:
    with pytest.raises((NotGs1Number, Gs1CheckDiffers)) as said:
        read_gtin(typed)
    assert said.value.field == "gtin"


def test_a_digit_that_differs_is_told_with_the_one_that_fits() -> None:
    with pytest.raises(Gs1CheckDiffers, match=r"950600013435 is followed by 2"):
        read_gtin("9506000134353")


@pytest.mark.parametrize(
    ("typed", "is_read"), [("123456", True), ("1" * 12, True), ("12345", False), ("1" * 13, False)]
)
def test_a_prefix_has_six_to_twelve_digits(typed: str, is_read: bool) -> None:
    if is_read:
        assert read_prefix(typed) == typed
        return
    with pytest.raises(NotGs1Number, match="6 to 12 digits"):
        read_prefix(typed)


@pytest.mark.outside("Constrained GS1 Digital Link URIs: draft of the working group of EPCIS and CBV 2.0, without date")
@pytest.mark.parametrize("number", [LotNumber(24, 16), LotNumber(99, 99_999)])
def test_links_keep_the_published_syntax(number: LotNumber) -> None:
    gtin = "09506000134352"
    assert CLASS.fullmatch(lot_link(gtin, number.text))
    assert INSTANCE.fullmatch(bag_link(gtin, number.text, 9_999_999))
    assert PLACE.fullmatch(place_link("9506000134376", "A-01"))


def test_what_does_not_fit_is_not_named_so() -> None:
    assert bag_link("09506000134352", "24-00016-5", 9_999_999_999) == ""
    assert [place_link("9506000134376", code) for code in ("A 01", "Ä-1", "x" * 21, "a/b")] == [""] * 4


def test_a_class_without_a_number_of_its_own_has_that_of_all() -> None:
    one, both = TradeNumbers(gtins={3: "a"}), TradeNumbers(gtins={3: "a", None: "b"})
    assert [(one.gtin_of(key), both.gtin_of(key)) for key in (3, 4, None)] == [("a", "a"), ("", "b"), ("", "b")]
