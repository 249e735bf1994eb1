"""Put a grading right that was closed: the wrong one is taken back and the right one booked, with a reason."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from django.contrib.auth.models import User

from grading.actions.grading import grade_portion
from grading.actions.portions import Worked
from grading.models import Portion
from grading.queries.finding import standing_portions
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.actions.reversing import plan_reversals
from inventory.models import Station
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import typed_text


class NoSuchGrading(Mistake):
    """A grading that is to be put right, and is not there or was taken back."""

    code = "no_such_grading"

    def __init__(self, typed: str) -> None:
        says = f"{typed[:20]!r} is no grading that stands. Give the act of the portion, such as #41."
        super().__init__(says, field="corrects")


@action("grade")
def correct_grading(
    worked: Worked, corrects: Typed, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Take a grading back and book what it should have read, in one transaction.

    Args:
        worked: the portion as it should read; it is of the same sample.
        corrects: the act that graded it, "#41".
        reason: why; it is kept with both.

    Raises:
        Refused: there is no such grading, no reason, or the portion cannot be booked.
    """
    reader = Reader(Desk(station, now))
    why = reader.reason(reason, "a correction")
    wrong = reader.attempt(lambda: _standing(station, corrects))
    reader.finish()
    if wrong is None:
        raise AssertionError("finish() lets no correction through without its grading")
    back = plan_reversals(reader, [wrong.operation], by=by, at=reader.when(None), reason=why, key=key)
    taken_back = post_all(back)
    right = replace(worked, sample=wrong.sample.number, grader=worked.grader or wrong.grader)
    booked = grade_portion(right, station=station, by=by, reason=why, answers=answers, now=now)
    return Booked((*taken_back, *booked.operations))


def _standing(station: Station, corrects: Typed) -> Portion:
    typed = typed_text(corrects).strip()
    number = typed.removeprefix("#")
    is_number = number.isascii() and number.isdecimal() and len(number) < 10
    row = standing_portions(station).filter(operation__seq=int(number)).first() if is_number else None
    if row is None:
        raise NoSuchGrading(typed)
    return row
