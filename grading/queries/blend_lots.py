"""Lots as a blend needs them: what is there of each, what it grades and germinates, and what bars it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Sum

from grading.queries.germination import Tested, germinations_of, newest_valid
from grading.queries.grades import Graded, grades_of, pool
from grading.rules.outcome import Outcome, outcome
from grading.rules.rule_set import RuleSet
from inventory.models import Line, Lot, Standing, Station, Stock
from inventory.queries.stocking import hold_reasons, promised_by_lot
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake


class NotFree(Mistake):
    """A lot that may not be blended as it stands."""

    code = "not_free"


class NotGraded(Mistake):
    """A lot of which nothing says how it grades."""

    code = "not_graded"

    def __init__(self, number: str, field: str) -> None:
        says = f"{number} was never graded: nothing says what it would bring into a blend. Grade a sample of it first."
        super().__init__(says, field=field)


@dataclass(frozen=True)
class BlendLot:
    """A lot that may be blended.

    Attributes:
        lot: in the books.
        line: None for a blend of several.
        mg: what is in store, in bags and loose [mg].
        promised_mg: what of it is promised and has not lapsed [mg].
        graded: its samples drawn separately, laid together.
        tested: its newest valid germination test.
    """

    lot: Lot
    line: Line | None
    mg: int
    promised_mg: int
    graded: Graded
    tested: Tested | None

    @property
    def number(self) -> str:
        """The lot's number."""
        return self.lot.number

    def under(self, rule_set: RuleSet, class_name: str) -> Outcome:
        """Read it under a rule set.

        Raises:
            Refused: the rule set does not know what was found in it.
        """
        return outcome(rule_set, replace(self.graded.portion, class_name=class_name))


def blend_lots(
    station: Station, lots: Sequence[Lot], today: date, fields: Sequence[str]
) -> tuple[list[BlendLot], list[Mistake]]:
    """Read lots for a blend (7 queries for all).

    Args:
        lots: at most 500.
        today: promises that ended before it have lapsed.
        fields: where each lot was named, for sentences.

    Returns:
        Those that may be blended; and why others may not: on hold, treated, nothing left, not graded, stopped.
    """
    keys = [lot.pk for lot in lots]
    standings = {
        standing.lot_id: standing
        for standing in Standing.objects.filter(lot__in=keys).select_related("line__merged_into")
    }
    left = dict(Stock.objects.filter(lot__in=keys).order_by().values_list("lot").annotate(Sum("mg")))
    holds = hold_reasons(station)
    promised = promised_by_lot(station, today)
    grades, tests = grades_of(station, keys), germinations_of(station, keys)
    found, wrong = [], list[Mistake]()
    for lot, field in zip(lots, fields, strict=True):
        standing, graded = standings[lot.pk], pool(grades.get(lot.pk, []))
        barred = _barred(standing, left.get(lot.pk, 0), holds.get(lot.pk), graded, field)
        wrong.extend(barred)
        if graded is not None and not barred:
            line = standing.line and (standing.line.merged_into or standing.line)
            tested = newest_valid(tests.get(lot.pk, []))
            found.append(BlendLot(lot, line, left[lot.pk], promised.get(lot.pk, 0), graded, tested))
    return found, wrong


def _barred(standing: Standing, mg: int, hold: str | None, graded: Graded | None, field: str) -> list[Mistake]:
    number, wrong = standing.lot.number, list[Mistake]()
    if hold is not None:
        wrong.append(
            NotFree(f"{number} is on hold ({hold}). A named person lifts it first, or leave it out.", field=field)
        )
    if standing.treated or standing.inherits_treatment:
        wrong.append(NotFree(f"{number} is treated: a blend with it is treated for good. Leave it out.", field=field))
    if not mg:
        wrong.append(NotFree(f"Nothing is left of {number}. Leave it out.", field=field))
    if graded is None:
        wrong.append(NotGraded(number, field))
    elif graded.portion.stops:
        words = ", ".join(stop.replace("_", " ") for stop in graded.portion.stops)
        wrong.append(NotFree(f"{number} was not graded for {words}. Leave it out.", field=field))
    return wrong


def promise_note(lot: BlendLot, mg: int) -> str | None:
    """Warn where a plan takes seed that is promised; it never blocks."""
    free = max(lot.mg - lot.promised_mg, 0)
    if mg <= free:
        return None
    return (
        f"{kg_words(lot.promised_mg)} kg of {lot.number} are promised and {kg_words(free)} kg are not: the plan takes "
        f"{kg_words(mg)} kg. Ask whom it was promised to, or say keep_promised=yes."
    )
