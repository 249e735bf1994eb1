"""The numbers that labels carry beside a lot's own: digits only, so that a keypad and any reader can type them.

A lot's label carries its number, seven digits or eight. Everything else carries nine or more: a nought, a digit for the
kind of thing, its key, and a check digit (Damm, as in lot numbers), so that a scan says by itself what it is.
"""

from enum import IntEnum

from inventory.rules.lot_number import damm_digit
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted

KEY_DIGITS = 6
SHORTEST = 1 + 1 + KEY_DIGITS + 1


class LabelKind(IntEnum):
    """What a label that is not a lot's stands on; a card hangs on the wall and stands for an act."""

    CARD = 0
    BAG = 1
    PLOT = 2
    PLACE = 3
    CONTAINER = 4
    SAMPLE = 5
    LINE = 6
    CROSS = 7
    SHIPMENT = 8
    PLANT = 9


class Card(IntEnum):
    """What a card on the wall does when it is scanned."""

    SAVE = 1
    TAKE_BACK = 2
    PRINT_AGAIN = 3
    HOLD = 4


class LabelMisread(Mistake):
    """A label's number whose check digit is wrong."""

    code = "label_misread"

    def __init__(self, typed: str) -> None:
        super().__init__(f"{quoted(typed)} does not check: a digit is wrong or two are swapped. Scan the label again.")


def label_code(kind: LabelKind, key: int) -> str:
    """Write the number of a label.

    Args:
        kind: what it stands on.
        key: the thing's row, 1 or more.

    Returns:
        Nine digits or more, the last one a check digit.
    """
    digits = f"0{kind:d}{key:0{KEY_DIGITS}d}"
    return f"{digits}{damm_digit(digits)}"


def read_label_code(text: str) -> tuple[LabelKind, int] | None:
    """Read the number of a label; None where it is no such number.

    Raises:
        LabelMisread: it is one, and its check digit is wrong.
    """
    if len(text) < SHORTEST or not (text.isascii() and text.isdecimal()) or text[0] != "0" or not int(text):
        return None
    if damm_digit(text):
        raise LabelMisread(text)
    return LabelKind(int(text[1])), int(text[2:-1])
