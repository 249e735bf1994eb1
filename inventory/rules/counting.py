"""A stock count: what was found against what the books say, slot by slot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake, Question

Counted = tuple[int, int]  # lot, bag number (0 is loose)


@dataclass(frozen=True)
class Difference:
    """A slot of the place where count and books differ [mg]."""

    lot_id: int
    lot: str
    bag_no: int
    books_mg: int
    counted_mg: int

    @property
    def mg(self) -> int:
        """What is more (+) or less (−) than the books say."""
        return self.counted_mg - self.books_mg

    @property
    def what(self) -> str:
        """Lot or bag, as people name it."""
        return f"bag {self.lot}/{self.bag_no}" if self.bag_no else self.lot


class CountDiffers(Question):
    """The count is not what the books say; the answer is the reason that is kept with the difference."""

    code = "count_differs"

    def __init__(self, difference: Difference, place: str) -> None:
        more_or_less = "more" if difference.mg > 0 else "less"
        super().__init__(
            f"{difference.what} at {place}: {kg_words(difference.counted_mg)} kg counted, the books say "
            f"{kg_words(difference.books_mg)}, {kg_words(abs(difference.mg))} {more_or_less}. "
            "Count again, or say why and book the difference.",
            field="counted",
        )


class CountedTwice(Mistake):
    """The same seed is in the count twice."""

    code = "counted_twice"

    def __init__(self, what: str) -> None:
        super().__init__(f"{what} is counted twice. Write one mass for it.", field="counted")


class StandsElsewhere(Mistake):
    """A bag that the books have at another place."""

    code = "stands_elsewhere"

    def __init__(self, what: str, place: str) -> None:
        super().__init__(f"{what} stands at {place} in the books. Move it here first, then count.", field="counted")


class WeighEachBag(Mistake):
    """One mass for several bags."""

    code = "weigh_each_bag"

    def __init__(self, count: int) -> None:
        super().__init__(
            f"One mass is given for {count} bags. Weigh each bag by itself, or leave the mass out to say that they "
            "are there.",
            field="counted",
        )


def differences(
    books: Mapping[Counted, int], counted: Mapping[Counted, int], numbers: Mapping[int, str], *, is_all: bool
) -> list[Difference]:
    """Compare a count with the books.

    Args:
        books: what stands at the place [mg].
        counted: what was found [mg].
        numbers: lot -> its number.
        is_all: all that stands there was counted, so that what was not found is not there.
    """
    slots = sorted({*counted, *(books if is_all else ())}, key=lambda slot: (numbers[slot[0]], slot[1]))
    compared = [
        Difference(lot, numbers[lot], bag, books.get((lot, bag), 0), counted.get((lot, bag), 0)) for lot, bag in slots
    ]
    return [difference for difference in compared if difference.mg]


def count_questions(found: Sequence[Difference], place: str) -> list[Mistake]:
    """Ask about every difference before it becomes an entry."""
    return [CountDiffers(difference, place) for difference in found]
