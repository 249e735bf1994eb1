"""Lot numbers: year, running number, check digit. Digits only; reading is forgiving, storing is strict."""

import re
from dataclasses import dataclass

from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import ReadAs, ReadCode, listed, plain, quoted, typed_text

# Totally anti-symmetric quasigroup of order 10: H. Michael Damm, Total anti-symmetrische Quasigruppen (Dissertation,
# Philipps-Universität Marburg, 2004, urn:nbn:de:hebis:04-z2004-05162), in its usual form with zeros on the diagonal.
QUASIGROUP = (
    (0, 3, 1, 7, 5, 9, 8, 6, 4, 2),
    (7, 0, 9, 2, 1, 5, 4, 8, 6, 3),
    (4, 2, 0, 6, 8, 7, 1, 3, 5, 9),
    (1, 7, 5, 0, 9, 8, 3, 4, 2, 6),
    (6, 1, 2, 3, 0, 4, 5, 9, 7, 8),
    (3, 6, 7, 4, 2, 0, 9, 5, 8, 1),
    (5, 8, 6, 9, 7, 2, 0, 1, 3, 4),
    (8, 9, 4, 5, 3, 6, 2, 0, 1, 7),
    (9, 4, 3, 8, 6, 1, 7, 2, 0, 5),
    (2, 5, 8, 1, 4, 3, 6, 7, 9, 0),
)
LAST_RUNNING = 99_999
LETTERS_FOR_DIGITS = {"O": "0", "o": "0", "I": "1", "i": "1", "L": "1", "l": "1", "|": "1"}
# Groups stand apart by hyphens, blanks or nothing, but only where a group ends: 24-09-24 is a date, not a lot.
FOUR_DIGITS = re.compile(r"([0-9]{2})[- ]*([0-9]{4})[- ]*([0-9])?")
# Five digits are read only with their check digit, or 24-10000 could be 24-1000-0 as well.
FIVE_DIGITS = re.compile(r"([0-9]{2})[- ]*([1-9][0-9]{4})[- ]*([0-9])")


class NotALotNumber(Mistake):
    """What was typed cannot be a lot number."""

    code = "not_a_lot_number"

    def __init__(self, typed: str, *, field: str = "lot") -> None:
        super().__init__(
            f"{quoted(typed)} is not a lot number. Scan the label, or type it like 24-0016-5."
            if typed.strip()
            else "No lot number is given. Scan the label, or type it like 24-0016-5.",
            field=field,
        )


class NotABag(Mistake):
    """What was typed cannot be a bag of a lot."""

    code = "not_a_bag"

    def __init__(self, typed: str, *, field: str = "bag") -> None:
        super().__init__(
            f"{quoted(typed)} is not a bag. Scan the bag's label, or type lot, slash and bag number: 24-0016-5/14.",
            field=field,
        )


class CheckDigitWrong(Mistake):
    """The digits do not fit the check digit.

    Args:
        typed: the number as read.
        did_you_mean: near numbers that exist, in words: "24-0016-5 (QN-2104, 584.3 kg)".
    """

    code = "check_digit_wrong"

    def __init__(self, typed: str, *, field: str = "lot", did_you_mean: tuple[str, ...] = ()) -> None:
        says = f"{typed} does not check: a digit is wrong or two are swapped."
        says += f" Did you mean {listed(list(did_you_mean))}?" if did_you_mean else " Scan the label, or type it again."
        super().__init__(says, field=field, proposal=did_you_mean[0].split(" ")[0] if did_you_mean else None)
        self.typed = typed


class ReadLetterAsDigit(Note):
    """Letters stood where digits belong."""

    code = "read_letter_as_digit"

    def __init__(self, letters: str, read: str, *, field: str = "lot") -> None:
        pairs = [f"{letter} as {LETTERS_FOR_DIGITS[letter]}" for letter in sorted(set(letters))]
        super().__init__(f"Read {listed(pairs, 'and')}: {read}.", field=field, proposal=read)


@dataclass(frozen=True, slots=True, order=True)
class LotNumber:
    """The number of a lot at its station.

    Args:
        year: two digits of the local year in which the lot was made, 0 to 99.
        running: 1 to 99,999 within station and year.

    Raises:
        ValueError: a number outside these ranges.
    """

    year: int
    running: int

    def __post_init__(self) -> None:
        if not (0 <= self.year <= 99 and 1 <= self.running <= LAST_RUNNING):
            raise ValueError(f"No lot number has year {self.year} and running number {self.running}.")

    @property
    def check(self) -> int:
        return damm_digit(self.stem.replace("-", ""))

    @property
    def stem(self) -> str:
        """The number without its check digit: "24-0016"."""
        return f"{self.year:02d}-{self.running:04d}"

    @property
    def text(self) -> str:
        """The number as printed and stored: "24-0016-5"."""
        return f"{self.stem}-{self.check}"

    @property
    def digits(self) -> str:
        """The number as a bar code carries it: "2400165"."""
        return self.text.replace("-", "")

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True, order=True)
class BagReference:
    """One numbered bag of a lot."""

    lot: LotNumber
    bag: int

    @property
    def text(self) -> str:
        return f"{self.lot.text}/{self.bag}"

    def __str__(self) -> str:
        return self.text


def damm_digit(digits: str) -> int:
    """Work out the check digit that belongs behind a row of digits.

    Args:
        digits: ASCII digits; a whole number with its right check digit behind gives 0.
    """
    interim = 0
    for digit in digits:
        interim = QUASIGROUP[interim][int(digit)]
    return interim


def read_lot_number(typed: object, *, field: str = "lot") -> ReadCode[LotNumber]:
    """Read a lot number as people type, scan and store it, with or without its check digit.

    Args:
        typed: text, or the number a sheet made of it.

    Returns:
        The number; notes tell letters read as digits and blanks or hyphens put right. Completing a missing check
        digit is not worth a note.

    Raises:
        NotALotNumber: it has another shape.
        CheckDigitWrong: a digit is wrong, or two are swapped.
    """
    text = typed_text(typed)
    number = _number(_as_digits(plain(text)), text, field)
    return ReadCode(number, text, _notes(text, (number.text, number.stem), number.text, field))


def read_bag(typed: object, *, field: str = "bag") -> ReadCode[BagReference]:
    """Read a bag: lot number, slash, number of the bag.

    Raises:
        NotABag: it has another shape.
        NotALotNumber, CheckDigitWrong: the lot before the slash cannot be read.
    """
    text = typed_text(typed)
    lot_text, slash, bag_text = _as_digits(plain(text)).partition("/")
    bag_match = re.fullmatch(r" ?#?0*([1-9][0-9]{0,4})", bag_text)
    if not slash or not bag_match:
        raise NotABag(text, field=field)
    bag = BagReference(_number(lot_text.strip(), text, field), int(bag_match[1]))
    return ReadCode(bag, text, _notes(text, (bag.text, f"{bag.lot.stem}/{bag.bag}"), bag.text, field))


def near_numbers(typed: str) -> tuple[LotNumber, ...]:
    """List the numbers that check and differ from a mistyped one by two swapped neighbours or one digit.

    Args:
        typed: a full number with a wrong check digit, in any writing `read_lot_number` takes.

    Returns:
        At most thirteen numbers (fifteen with five running digits), swaps first: swapped keys are the commoner slip.
    """
    digits = re.sub(r"[^0-9]", "", _as_digits(plain(typed)))
    swaps = [digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :] for i in range(len(digits) - 1)]
    changes = [digits[:i] + other + digits[i + 1 :] for i in range(len(digits)) for other in "0123456789"]
    found = (_checked(candidate) for candidate in dict.fromkeys(swaps + changes) if candidate != digits)
    return tuple(number for number in found if number)


def _as_digits(text: str) -> str:
    return "".join(LETTERS_FOR_DIGITS.get(sign, sign) for sign in text)


def _number(text: str, typed: str, field: str) -> LotNumber:
    match = FOUR_DIGITS.fullmatch(text) or FIVE_DIGITS.fullmatch(text)
    if not match or int(match[2]) == 0:
        raise NotALotNumber(typed, field=field)
    number = LotNumber(int(match[1]), int(match[2]))
    if match[3] is not None and int(match[3]) != number.check:
        raise CheckDigitWrong(f"{number.stem}-{match[3]}", field=field)
    return number


def _checked(digits: str) -> LotNumber | None:
    match = FOUR_DIGITS.fullmatch(digits) or FIVE_DIGITS.fullmatch(digits)
    if not match or not int(match[2]) or damm_digit(digits):
        return None
    return LotNumber(int(match[1]), int(match[2]))


def _notes(typed: str, fine: tuple[str, ...], read: str, field: str) -> tuple[Note, ...]:
    letters = "".join(sign for sign in plain(typed) if sign in LETTERS_FOR_DIGITS)
    if letters:
        return (ReadLetterAsDigit(letters, read, field=field),)
    return () if typed in (*fine, read.replace("-", "")) else (ReadAs(typed, read, field=field),)
