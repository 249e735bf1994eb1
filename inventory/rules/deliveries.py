"""What is asked about a delivery before it is booked."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from inventory.rules.amounts import amount_text
from inventory.rules.mass import MG_PER_KG, MG_PER_LB, kg_words, to_mg
from inventory.rules.mistakes import Level, Mistake, Note, Question
from inventory.rules.reading import listed
from inventory.rules.rounding import half_up, half_up_int

FIELD_DIFFERENCE = 5  # % of the field weight beyond which we ask; common practice, no source
SAME_WITHIN_MG = MG_PER_KG // 2
POUNDS_PER_KG = (2.0, 2.4)  # a weight this many times the expected one was probably typed in pounds (1 kg = 2.2 lb)
_TEN_GRAMS = 10_000  # mg
TARE_MAX_AGE = timedelta(days=366)


class PlotsOfSeveralLines(Mistake):
    """One delivery names plots of different lines."""

    code = "several_lines"

    def __init__(self, lines: Sequence[str]) -> None:
        super().__init__(
            f"These plots hold {listed(list(lines), 'and')}. Seed of two lines meets only in a blend: "
            "receive each line by itself.",
            field="plot",
        )


class LineDiffers(Question):
    """The line that was named is not the one that stands on the plots."""

    code = "line_differs"

    def __init__(self, named: str, planted: str) -> None:
        super().__init__(
            f"The line reads {named}, but the plots were sown with {planted}. Check the tag: which line is it?",
            field="line",
            proposal=planted,
        )


class NothingInIt(Mistake):
    """Gross and tare are equal."""

    code = "nothing_in_it"

    def __init__(self, gross: str) -> None:
        super().__init__(f"Gross and tare are both {gross}: nothing is in it. Weigh again.", field="gross")


class MaybePounds(Question):
    """The weight is about 2.2 times what the field said."""

    code = "maybe_pounds"

    def __init__(self, net_mg: int, expected_mg: int, plots: Sequence[str]) -> None:
        as_pounds = amount_text(
            half_up(Decimal(from_pounds(net_mg)) / MG_PER_KG, 1 if net_mg >= 100 * MG_PER_KG else 2)
        )
        super().__init__(
            f"{kg_words(net_mg)} kg is {net_mg / expected_mg:.1f} × what {_named(plots)} should give (about "
            f"{kg_words(expected_mg)}). Is this pounds? Then it is {as_pounds} kg.",
            field="gross",
            proposal=f"{kg_words(from_pounds(net_mg))} kg",  # to the milligram, as it would be kept
        )
        self.presses = (
            ("unit=lb", f"It is lb: {as_pounds} kg"),
            (f"answer.{self.code}=The scale shows kilograms.", "No, it is kg"),
        )


class FieldDiffers(Question):
    """The weight is far from what the plots weighed in the field."""

    code = "field_differs"

    def __init__(self, net_mg: int, expected_mg: int, plots: Sequence[str]) -> None:
        super().__init__(
            f"This bag is {kg_words(net_mg)} kg; {_named(plots)} weighed {kg_words(expected_mg)} kg in the field. "
            "Check the tag, or say why and go on.",
            field="gross",
        )


class AlreadyIn(Question):
    """The same plots came in with about the same weight on the same day."""

    code = "already_in"
    level = Level.DUPLICATE

    def __init__(self, net_mg: int, plots: Sequence[str], before: str) -> None:
        mass = kg_words(half_up_int(Fraction(net_mg, _TEN_GRAMS)) * _TEN_GRAMS)
        super().__init__(
            f"A bag of {mass} kg from {_named(plots)} is already in as {before}. Same bag?",
            field="lot",
            proposal="leave_out",
        )


class SentAlreadyIn(AlreadyIn):
    """The same lot of a sender came in with about the same weight on the same day."""

    def __init__(self, net_mg: int, sender: str, before: str) -> None:
        Question.__init__(
            self,
            f"{kg_words(net_mg)} kg of {sender} are already in as {before}. Same delivery?",
            field="lot",
            proposal="leave_out",
        )


class SentAfterItCame(Mistake):
    """A delivery that left its sender after it was received."""

    code = "sent_after_it_came"

    def __init__(self, sent: date, came: date) -> None:
        super().__init__(
            f"It was shipped on {sent} and came on {came}, before that. Check both days.", field="shipped_on"
        )


class CameBefore(Note):
    """A plot that delivered before delivers again."""

    code = "came_before"

    def __init__(self, plots: Sequence[str], before: Sequence[tuple[str, int, date]]) -> None:
        number, mg, day = before[0]
        more = len({number for number, _mg, _day in before}) - 1
        rest = f" (and {more} more)" if more else ""
        super().__init__(
            f"Seed of {_named(plots)} came before: {number}, {kg_words(mg)} kg on {day.isoformat()}{rest}. "
            "This is a further lot of it.",
            field="plot",
        )


class OldTare(Note):
    """A container's tare was last checked over a year ago."""

    code = "old_tare"

    def __init__(self, container: str, checked_on: date | None) -> None:
        when = f"was checked on {checked_on.isoformat()}" if checked_on else "was never checked"
        super().__init__(f"The tare of {container} {when}: weigh it empty soon.", field="container")


def is_as_the_field_said(net_mg: int, expected_mg: int) -> bool:
    """Say whether a net weight is so near to the field's that nothing is asked."""
    return abs(net_mg - expected_mg) * 100 <= FIELD_DIFFERENCE * expected_mg


def from_pounds(mg: int) -> int:
    """Read a kilogram number as if it had been pounds [mg]."""
    return to_mg(Decimal(mg) / MG_PER_KG, MG_PER_LB)


def weight_questions(net_mg: int, expected_mg: int, plots: Sequence[str]) -> list[Mistake]:
    """Ask about a net weight that is far from the field's: pounds first, then any difference beyond 5 %."""
    if expected_mg <= 0:
        return []
    if POUNDS_PER_KG[0] <= net_mg / expected_mg <= POUNDS_PER_KG[1]:
        return [MaybePounds(net_mg, expected_mg, plots)]
    if not is_as_the_field_said(net_mg, expected_mg):
        return [FieldDiffers(net_mg, expected_mg, plots)]
    return []


def double_entry(net_mg: int, plots: Sequence[str], earlier: Iterable[tuple[str, int]]) -> list[Mistake]:
    """Ask whether a delivery is in already: same plots, same day, within half a kilogram.

    Args:
        earlier: lot number and net [mg] of that day's deliveries from the same plots.
    """
    same = [number for number, mg in earlier if abs(mg - net_mg) <= SAME_WITHIN_MG]
    return [AlreadyIn(net_mg, plots, same[0])] if same else []


def sent_twice(net_mg: int, sender: str, earlier: Iterable[tuple[str, int]]) -> list[Mistake]:
    """Ask whether a sender's delivery is in already: same lot of theirs, same day, within half a kilogram."""
    same = [number for number, mg in earlier if abs(mg - net_mg) <= SAME_WITHIN_MG]
    return [SentAlreadyIn(net_mg, sender, same[0])] if same else []


def old_tares(containers: Iterable[tuple[str, date | None]], today: date) -> list[Note]:
    """Call out tares that are older than a year."""
    return [OldTare(code, day) for code, day in containers if day is None or today - day > TARE_MAX_AGE]


def _named(plots: Sequence[str]) -> str:
    if not plots:
        return "its source"
    return f"plot {plots[0]}" if len(plots) == 1 else f"plots {listed(list(plots), 'and')}"
