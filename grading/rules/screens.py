"""Screens as people write them, and a stack of them from the top down."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from grading.rules.mistakes import OutOfRange
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain, quoted, unaccented

MM_PER_INCH = Fraction(127, 5)  # exact: International Yard and Pound Agreement (1959)
PAN = "pan"
_SIZE = re.compile(r"(?P<top>\d{1,3})\s*/\s*(?P<bottom>64|32|16)\b|(?P<mm>\d{1,2}(?:[.,]\d{1,6})?)\s*mm\b")
_SLOT = ("slot", "slotted", "oblong", "x", "×")


class NoScreen(Mistake):
    """A word that names no screen."""

    code = "no_screen"

    def __init__(self, typed: str, field: str) -> None:
        says = f"{quoted(typed)} is no screen. Write its hole like 18/64 round, 11/64 x 3/4 or 4.5 mm; the last is pan."
        super().__init__(says, field=field)


@dataclass(frozen=True, slots=True)
class Screen:
    """A screen, or the pan under all.

    Attributes:
        words: as typed.
        mm: width of the hole, exact [mm]; 0 for the pan.
        is_slotted: oblong holes; their width counts.
    """

    words: str
    mm: Fraction
    is_slotted: bool

    @property
    def is_pan(self) -> bool:
        """Whether nothing passes it."""
        return self.mm == 0


def read_screen(typed: str, field: str) -> Screen:
    """Read a screen: "18/64 round", "11/64 x 3/4", "4.5 mm slotted", "pan".

    Raises:
        NoScreen: no size stands in it.
    """
    text = plain(typed)
    low = unaccented(text).casefold()
    if low in (PAN, "tray", "bottom"):
        return Screen(PAN, Fraction(0), is_slotted=False)
    found = _SIZE.match(low)
    if found is None:
        raise NoScreen(text, field)
    mm = (
        Fraction(found["mm"].replace(",", "."))
        if found["mm"]
        else Fraction(int(found["top"]), int(found["bottom"])) * MM_PER_INCH
    )
    if mm == 0:
        raise NoScreen(text, field)
    return Screen(text, mm, is_slotted=any(word in low[found.end() :].split() for word in _SLOT))


def stack_mistakes(screens: Sequence[Screen], field: str) -> list[Mistake]:
    """Want a stack from the widest hole down, each screen once, the pan last.

    Round and slotted holes part seed by different sizes, so only screens of one shape are held against each other.

    Args:
        screens: from the top.
        field: the list, for sentences.
    """
    wrong: list[Mistake] = []
    for place, screen in enumerate(screens, 1):
        above = [one for one in screens[: place - 1] if one.is_slotted == screen.is_slotted or screen.is_pan]
        if any(one.mm == screen.mm for one in above):
            wrong.append(OutOfRange(f"{screen.words} stands twice. Keep one of them.", field=f"{field}.{place}"))
        elif [one for one in above if one.mm < screen.mm] or any(one.is_pan for one in screens[: place - 1]):
            says = f"{screen.words} stands under {screens[place - 2].words}. Give the stack from the widest hole down"
            wrong.append(OutOfRange(f"{says}, the pan last.", field=f"{field}.{place}"))
    return wrong
