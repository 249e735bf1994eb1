"""Numbers as people write them: decimal comma or point, groups of three, full-width digits, cells of a sheet."""

import re
from dataclasses import dataclass
from decimal import Decimal

from inventory.rules.mistakes import Mistake, Note, Question
from inventory.rules.reading import ReadAs, field_words, plain, quoted, typed_text

# A sheet keeps fifteen significant digits (Microsoft, "Excel specifications and limits": number precision 15 digits),
# so 13.05 - 0.10, stored as 12.950000000000001, is read as 12.95.
SHEET_DIGITS = 15
MAX_LENGTH = 40
GROUPED = re.compile(r"[0-9]{1,3}(?:[ '][0-9]{3})+(?:[.,][0-9]+)?")
UNGROUPED = re.compile(r"[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+")
COMMAS_THEN_POINT = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]+|[0-9]{1,3}(?:,[0-9]{3}){2,}")
POINTS_THEN_COMMA = re.compile(r"[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+|[0-9]{1,3}(?:\.[0-9]{3}){2,}")
# One separator with three digits behind: 1,234 is 1.234 to some and 1234 to others; 0,234 and 1234,567 are not.
TWO_READINGS = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")


class AmountMissing(Mistake):
    """A number is needed and none is there."""

    code = "amount_missing"

    def __init__(self, *, field: str = "") -> None:
        super().__init__(f"{field_words(field)} has no number. Write one, such as 842.0.", field=field)


class NotANumber(Mistake):
    """What was typed cannot be read as a number."""

    code = "not_a_number"

    def __init__(self, typed: str, *, field: str = "") -> None:
        super().__init__(
            f"{field_words(field)} {quoted(typed)} cannot be read as a number. Write it in digits, such as 842.0.",
            field=field,
        )


class TwoReadings(Question):
    """A number that can be read in two ways.

    Attributes:
        readings: with the separator as the decimal sign, and as a mark between thousands.
    """

    code = "two_readings"

    def __init__(self, typed: str, readings: tuple[Decimal, Decimal], *, field: str = "") -> None:
        super().__init__(
            f"{field_words(field)} {quoted(typed)} can be {readings[0]} or {readings[1]:,}. Which is it?", field=field
        )
        self.readings = readings


@dataclass(frozen=True, slots=True)
class ReadAmount:
    """A number as it was understood, exact, with what was typed."""

    value: Decimal
    typed: str
    notes: tuple[Note, ...] = ()


def read_amount(value: object, *, field: str = "", decimal_comma: bool | None = None) -> ReadAmount:
    """Read a number from a text or a cell.

    Args:
        value: text, int, float or Decimal; a float is taken as the fifteen digits a sheet shows, never as its binary.
        field: the argument or column, for the sentence.
        decimal_comma: True where the person or sheet writes 12,5; False for 12.5; None if it is not known.

    Raises:
        AmountMissing, NotANumber: nothing can be read.
        TwoReadings: a question, with both readings.
    """
    if isinstance(value, int | float | Decimal) and not isinstance(value, bool):
        return ReadAmount(_from_number(value, field), typed_text(value))
    typed = typed_text(value)
    text = plain(typed).replace("’", "'")
    if not text:
        raise AmountMissing(field=field)
    match = re.fullmatch(r"([+-]?) ?(.+)", text)
    if isinstance(value, bool) or not match or len(text) > MAX_LENGTH:
        raise NotANumber(typed, field=field)
    number = _unsigned(match[2], typed, field, decimal_comma)
    number = -number if match[1] == "-" else number
    return ReadAmount(number, typed, _notes(typed, text, number, field, decimal_comma=decimal_comma))


def amount_text(number: Decimal) -> str:
    """Write a number with point and groups of three, its own decimals and at least one: 842 -> "842.0"."""
    decimals = f"{number:f}".partition(".")[2]
    return f"{number:,.{max(1, len(decimals))}f}"


def _from_number(value: int | float | Decimal, field: str) -> Decimal:
    if isinstance(value, float):
        value = Decimal(f"{value:.{SHEET_DIGITS}g}")
    number = Decimal(value)
    # A program may send 1e999999: finite, and a million digits long once written out.
    if not number.is_finite() or abs(number.adjusted()) > MAX_LENGTH:
        raise NotANumber(f"{number:.3g}", field=field)
    return number


def _unsigned(text: str, typed: str, field: str, decimal_comma: bool | None) -> Decimal:  # noqa: FBT001 - three-valued, not a flag
    if POINTS_THEN_COMMA.fullmatch(text):
        return Decimal(text.replace(".", "").replace(",", "."))
    if COMMAS_THEN_POINT.fullmatch(text):
        return Decimal(text.replace(",", ""))
    if TWO_READINGS.fullmatch(text):
        return _one_separator(text, typed, field, decimal_comma)
    if GROUPED.fullmatch(text) or UNGROUPED.fullmatch(text):
        return Decimal(re.sub("[ ']", "", text).replace(",", "."))
    raise NotANumber(typed, field=field)


def _one_separator(text: str, typed: str, field: str, decimal_comma: bool | None) -> Decimal:  # noqa: FBT001 - as above
    """Decide "1,234" and "1.234": the writer's own decimal sign is taken, the other one is asked about."""
    as_decimal, as_thousands = Decimal(text.replace(",", ".")), Decimal(re.sub("[.,]", "", text))
    if "," in text and decimal_comma is False:
        return as_thousands
    if decimal_comma is ("," in text) or ("." in text and decimal_comma is None):
        return as_decimal
    raise TwoReadings(typed, (as_decimal, as_thousands), field=field)


def _notes(typed: str, text: str, number: Decimal, field: str, *, decimal_comma: bool | None) -> tuple[Note, ...]:
    unasked_comma = decimal_comma is not True and "," in text and "." in f"{number:f}" and "." not in text
    if unasked_comma or any(sign.isdecimal() and not sign.isascii() for sign in typed):
        return (ReadAs(typed.strip(), f"{number:f}", field=field),)
    return ()
