"""Numbers of GS1 that a station may have, and the addresses made of them that partners' computers know.

A lot is a class of goods: GTIN and lot number (01, 10). A bag is one instance: GTIN and serial number (01, 21). A place
is the station's location number and a part of it (414, 254). Each is written as a GS1 Digital Link with the GTIN in 14
digits, which is how EPCIS 2.0 takes them (GS1, Core Business Vocabulary 2.0, 2022; its clause 8, from memory: the key
and one qualifier, and nothing percent-encoded).
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed, plain, quoted, typed_text

SITE = "https://id.gs1.org"
SHORTEST_PREFIX, LONGEST_PREFIX = 6, 12  # digits (GS1, EPC Tag Data Standard 1.13, 2019, table of SGTIN partitions)
_NAMES = {"prefix": "The company prefix", "gtin": "GTIN", "gln": "GLN"}
GTIN_DIGITS, GLN_DIGITS = (12, 13, 14), (13,)
# A lot, serial or extension has at most 20 signs (GS1 General Specifications, AI 10, 21 and 254); of the signs allowed
# there these stand in an address as they are.
_FITS = re.compile(r"[0-9A-Za-z._-]{1,20}")


class NotGs1Number(Mistake):
    """What was typed has not the digits that the number has."""

    code = "not_gs1_number"

    def __init__(self, typed: str, digits: str, *, field: str) -> None:
        super().__init__(
            f"{_NAMES[field]} reads {quoted(typed)}. It has {digits} digits; copy it from your GS1 certificate.",
            field=field,
        )


class Gs1CheckDiffers(Mistake):
    """The last digit does not check the others."""

    code = "gs1_check_differs"

    def __init__(self, digits: str, check: str, *, field: str) -> None:
        super().__init__(
            f"{_NAMES[field]} {digits} does not check: {digits[:-1]} is followed by {check}. Look at each digit again.",
            field=field,
        )


class OtherPrefix(Mistake):
    """A number of goods that another company gave."""

    code = "gs1_other_prefix"

    def __init__(self, gtin: str, prefix: str) -> None:
        super().__init__(
            f"GTIN {gtin} does not begin with the company prefix {prefix}. Give a number of your own; "
            "a U.P.C. prefix is written with a 0 before it.",
            field="gtin",
        )


class StandsUnderPrefix(Mistake):
    """A prefix that a number in force does not begin with."""

    code = "gs1_stands"

    def __init__(self, gtin: str, prefix: str) -> None:
        super().__init__(
            f"GTIN {gtin} is in force and does not begin with {prefix}. Take back the act that gave it first.",
            field="prefix",
        )


class NoPrefix(Mistake):
    """A number of goods without the prefix that it begins with."""

    code = "gs1_prefix_missing"

    def __init__(self) -> None:
        super().__init__("Give the station's GS1 company prefix as well: its GTINs begin with it.", field="prefix")


class NothingStated(Mistake):
    """An act that states no number."""

    code = "gs1_nothing"

    def __init__(self) -> None:
        super().__init__("Give a company prefix, a GTIN or a GLN of the station; one is enough.", field="prefix")


class ClassWithoutGtin(Mistake):
    """A market class, and no number for it."""

    code = "gs1_class_alone"

    def __init__(self, name: str) -> None:
        super().__init__(f"Give the GTIN under which lots of {name} are traded.", field="gtin")


class GtinElsewhere(Mistake):
    """Two stations with one number: lots of both would bear one name."""

    code = "gs1_elsewhere"

    def __init__(self, gtin: str) -> None:
        super().__init__(
            f"GTIN {gtin} stands for another station here. Their lot numbers run alike, so give a number of its own.",
            field="gtin",
        )


class GlnElsewhere(Mistake):
    """Two stations with one location: places of both that have one code would bear one name."""

    code = "gs1_gln_elsewhere"

    def __init__(self, gln: str) -> None:
        super().__init__(
            f"GLN {gln} stands for another station here. Places of both may have one code, so give one of its own.",
            field="gln",
        )


@dataclass(frozen=True)
class TradeNumbers:
    """What a station stated of its GS1 numbers, as it stands.

    Args:
        gtins: key of a market class, None for all that have none of their own -> GTIN in 14 digits.
    """

    prefix: str = ""
    gln: str = ""
    gtins: Mapping[int | None, str] = field(default_factory=dict)

    def gtin_of(self, market_class: int | None) -> str:
        """Give the GTIN of a market class; "" where the station has none for it."""
        return self.gtins.get(market_class) or self.gtins.get(None, "")

    def without(self, market_class: int | None, instead: str) -> "TradeNumbers":
        """Leave the GTIN of a market class out where another takes its place."""
        gtins = {key: gtin for key, gtin in self.gtins.items() if not (instead and key == market_class)}
        return replace(self, gtins=gtins)


def check_digit(digits: str) -> str:
    """Work out the check digit that follows digits (GS1 General Specifications, clause 7.9, from memory).

    Args:
        digits: all but the check digit; from the last on they weigh 3 and 1 in turn, and all make a whole ten.
    """
    total = sum(int(digit) * (3, 1)[place % 2] for place, digit in enumerate(reversed(digits)))
    return str(-total % 10)


def read_prefix(typed: object) -> str:
    """Read a company prefix; blanks and hyphens are passed over.

    Raises:
        Mistake: it has not 6 to 12 digits.
    """
    digits = _digits(typed)
    if not digits.isdecimal() or not SHORTEST_PREFIX <= len(digits) <= LONGEST_PREFIX:
        raise NotGs1Number(typed_text(typed), f"{SHORTEST_PREFIX} to {LONGEST_PREFIX}", field="prefix")
    return digits


def read_gtin(typed: object) -> str:
    """Read a number of goods and give it in 14 digits.

    Raises:
        Mistake: it has not 12, 13 or 14 digits, or its check digit differs.
    """
    return _checked(typed, GTIN_DIGITS, "gtin").zfill(14)


def read_gln(typed: object) -> str:
    """Read a location number.

    Raises:
        Mistake: it has not 13 digits, or its check digit differs.
    """
    return _checked(typed, GLN_DIGITS, "gln")


def begins_with(gtin: str, prefix: str) -> bool:
    """Say whether a GTIN of 14 digits was given by this company: the prefix follows its indicator digit."""
    return gtin[1:].startswith(prefix)


def lot_link(gtin: str, number: str) -> str:
    """Name a lot as a class: LGTIN."""
    return f"{SITE}/01/{gtin}/10/{number}"


def bag_link(gtin: str, number: str, bag: int) -> str:
    """Name a bag as an instance, SGTIN: its serial number is its lot's and its own; "" where that is too long."""
    serial = f"{number}-{bag}"
    return f"{SITE}/01/{gtin}/21/{serial}" if _FITS.fullmatch(serial) else ""


def place_link(gln: str, code: str) -> str:
    """Name a place as a part of a location, SGLN; "" where its code does not fit an extension."""
    return f"{SITE}/414/{gln}/254/{code}" if _FITS.fullmatch(code) else ""


def _checked(typed: object, lengths: tuple[int, ...], name: str) -> str:
    digits = _digits(typed)
    if not digits.isdecimal() or len(digits) not in lengths:
        raise NotGs1Number(typed_text(typed), listed([str(length) for length in lengths]), field=name)
    if (check := check_digit(digits[:-1])) != digits[-1]:
        raise Gs1CheckDiffers(digits, check, field=name)
    return digits


def _digits(typed: object) -> str:
    digits = plain(typed_text(typed)).replace(" ", "").replace("-", "")
    return digits if digits.isascii() else ""
