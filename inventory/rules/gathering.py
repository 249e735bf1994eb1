"""The typed words of a calculation that needs no books, read so that everything wrong is said at once."""

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import TypeVar

from inventory.rules.amounts import read_amount
from inventory.rules.mistakes import Level, Mistake, Note, Refused
from inventory.rules.reading import field_words, listed, plain, quoted, typed_text

T = TypeVar("T")


class NumberMissing(Mistake):
    """A number that nothing can be worked out without."""

    code = "missing"

    def __init__(self, field: str, example: str) -> None:
        super().__init__(f"{field_words(field)} is missing. Give it, for example {example}.", field=field)


class NotBetween(Mistake):
    """A number outside the range that makes sense."""

    code = "out_of_range"

    def __init__(
        self, field: str, value: Decimal, least: Decimal | None, most: Decimal | None, unit: str, *,
        is_count: bool = False,
    ) -> None:  # fmt: skip
        said = unit and f" {unit}"
        ends = [f"from {least}" if least is not None else "", f"up to {most}" if most is not None else ""]
        between = f"it lies {' '.join(end for end in ends if end)}{said}"
        super().__init__(
            f"{field_words(field)} is {value:f}{said}; {between}. "
            f"{'Count again.' if is_count else 'Check the unit and the decimal point.'}",
            field=field,
        )


class NotWhole(Mistake):
    """A count with decimals."""

    code = "not_whole"

    def __init__(self, field: str, value: Decimal) -> None:
        super().__init__(f"{field_words(field)} is {value:f}. Give a whole number: it was counted.", field=field)


class NoSuchWord(Mistake):
    """A word that is none of those that go there."""

    code = "unknown_word"

    def __init__(self, field: str, typed: str, known: Sequence[str]) -> None:
        super().__init__(f"{field_words(field)} reads {quoted(typed)}. Give {listed(list(known))}.", field=field)


class Gathering:
    """Reads typed words; what cannot be read is gathered, and its value is None until `finish` refuses."""

    def __init__(self) -> None:
        self.mistakes: list[Mistake] = []
        self.notes: list[Note] = []

    def add(self, *mistakes: Mistake) -> None:
        """Gather findings of a rule."""
        self.mistakes.extend(mistakes)

    def attempt(self, work: Callable[[], T]) -> T | None:
        """Do something; what it refuses is gathered instead of raised."""
        try:
            return work()
        except Mistake as mistake:
            self.mistakes.append(mistake)
        except Refused as refused:
            self.mistakes.extend(refused.mistakes)
        return None

    def number(
        self, typed: object, field: str, *, unit: str = "", least: object = None, most: object = None,
        example: str = "12.5", needed: bool = True, is_count: bool = False,
    ) -> Decimal | None:  # fmt: skip
        """Read one exact number.

        Args:
            typed: text, or a number of a program; empty is missing, where it is needed.
            field: for the sentence.
            unit: for the sentence.
            least, most: the range that makes sense, both ends in it; None is open.
            is_count: it was counted, so that nothing is said of units and decimals.
        """
        if typed_text(typed).strip() == "":
            self.add(*([NumberMissing(field, example)] if needed else []))
            return None
        read = self.attempt(lambda: read_amount(typed, field=field))
        if read is None:
            return None
        self.notes.extend(read.notes)
        low, high = (None if end is None else Decimal(str(end)) for end in (least, most))
        if (low is not None and read.value < low) or (high is not None and read.value > high):
            self.add(NotBetween(field, read.value, low, high, unit, is_count=is_count))
            return None
        return read.value

    def whole(
        self, typed: object, field: str, *, unit: str = "", least: object = 0, most: object = None,
        example: str = "400", needed: bool = True,
    ) -> int | None:  # fmt: skip
        """Read one count."""
        value = self.number(
            typed, field, unit=unit, least=least, most=most, example=example, needed=needed, is_count=True
        )
        if value is not None and value != value.to_integral_value():
            self.add(NotWhole(field, value))
            return None
        return None if value is None else int(value)

    def numbers(
        self, typed: Sequence[object], field: str, *, unit: str = "", least: object = None, most: object = None,
        fewest: int = 1,
    ) -> list[Decimal]:  # fmt: skip
        """Read a list of numbers; each is named by its place: "readings.3"."""
        given = [one for one in typed if typed_text(one).strip()]
        if len(given) < fewest:
            says = f"{field_words(field)} has {len(given)} numbers. Give {fewest} or more, with commas between."
            self.add(Mistake(says, field=field))
        read = [
            self.number(one, f"{field}.{place}", unit=unit, least=least, most=most)
            for place, one in enumerate(given, 1)
        ]  # fmt: skip
        return [one for one in read if one is not None]

    def word(self, typed: object, field: str, known: Sequence[str], default: str = "") -> str:
        """Read one word of a few, typed in any case; empty is the default."""
        text = plain(typed_text(typed))
        found = {one.casefold(): one for one in known}.get(text.casefold())
        if found is None and not (text == "" and default):
            self.add(NoSuchWord(field, text, known))
        return found or default

    def finish(self) -> None:
        """Refuse if anything but notes was gathered."""
        if any(mistake.level is not Level.NOTE for mistake in self.mistakes):
            raise Refused(self.mistakes)
