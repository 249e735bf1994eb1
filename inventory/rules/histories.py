"""What stood in a slot on a day, where acts are entered later than they happened."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake, Question

Slot = tuple[int, int]  # place, bag number (0 is loose)


@dataclass(frozen=True)
class DayMass:
    """What came to a slot (+) or left it (−) on a day [mg]."""

    day: date
    slot: Slot
    mg: int


class NegativeOnItsDay(Question):
    """More was taken than was there by the dates; the order of entering allows it."""

    code = "negative_on_its_day"

    def __init__(self, what: str, day: date, there_mg: int, taken_mg: int) -> None:
        super().__init__(
            f"By the dates only {kg_words(there_mg)} kg of {what} were there on {day}; this takes "
            f"{kg_words(taken_mg)}. Check the date, or say why and go on.",
            field="at",
        )


def short_on_its_day(lot: str, day: date, taken: Mapping[Slot, int], history: Iterable[DayMass]) -> list[Mistake]:
    """Ask where a slot would go below nothing on the day of the act or on a later one.

    Args:
        lot: its number, for the sentence.
        day: the local day of the act.
        taken: slot -> mass that the act takes [mg].
        history: all that came and went of the lot.
    """
    moved = list(history)
    questions: list[Mistake] = []
    for slot, mg in taken.items():
        least, on = _least_from(day, [change for change in moved if change.slot == slot])
        if least < mg:
            what = f"bag {lot}/{slot[1]}" if slot[1] else lot
            questions.append(NegativeOnItsDay(what, on, max(least, 0), mg))
    return questions


def _least_from(day: date, changes: list[DayMass]) -> tuple[int, date]:
    """The smallest mass at the end of this day or a later one, and the first day it stood at that."""
    days = sorted({day, *(change.day for change in changes if change.day > day)})
    at_end = [(sum(change.mg for change in changes if change.day <= until), until) for until in days]
    return min(at_end)
