"""Take seed for a test that uses it up: germination, canning, and others, each named by its purpose."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Model

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk
from inventory.actions.drafts import Draft
from inventory.actions.origin import plan_each
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader
from inventory.actions.sampling import Drawing, plan_draw
from inventory.models import Station
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed, quoted

PURPOSES = ("germination", "vigour", "canning", "cooking", "health", "purity", "other")


class UnknownPurpose(Mistake):
    """A purpose that no test here has."""

    code = "unknown_purpose"

    def __init__(self, purpose: str) -> None:
        super().__init__(f"{quoted(purpose)} is no kind of test here. Use {listed(list(PURPOSES))}.", field="purpose")


@action("test")
def take_for_test(
    drawing: Drawing, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Take seed for one test: `take_for_tests` with one."""
    return take_for_tests([drawing], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("test")
def take_for_tests(
    drawings: Sequence[Drawing], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Take seed for tests, each an act of its own; a lot on hold may be tested.

    Raises:
        Refused: a purpose or lot is not known, or there is less of it than is taken.
    """
    desk = Desk(station, now)

    def plan(drawing: Drawing) -> Draft:
        return plan_test(Reader(desk, answers), drawing, by=by, key=key, reason=reason)

    return Booked(tuple(post_all(plan_each(drawings, plan))))


def plan_test(
    reader: Reader, drawing: Drawing, *, by: User, key: str = "", reason: str = "", rows: Sequence[Model] = (),
    facts: Mapping[str, Any] | None = None,
) -> Draft:  # fmt: skip
    """Plan seed taken for a test: `plan_draw` to account tested, under its purpose.

    Raises:
        Refused: all that was gathered by the reader before and here.
    """
    if not drawing.purpose:
        reader.add(Missing("purpose", "germination"))
    elif drawing.purpose not in PURPOSES:
        reader.add(UnknownPurpose(drawing.purpose))
    kept = {"purpose": drawing.purpose, **(facts or {})}
    return plan_draw(reader, drawing, by=by, key=key, reason=reason, kind="test", rows=rows, facts=kept)
