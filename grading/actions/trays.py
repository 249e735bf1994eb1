"""Lay seeds out to germinate: the day of the count is kept, so that nobody forgets a tray."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.contrib.auth.models import User

from grading.models import GerminationTray
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.expecting import expect_lots
from inventory.actions.origin import entered
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.models import Station
from inventory.rules.dates import read_date
from inventory.rules.mistakes import Mistake

COUNT_AFTER = 8  # days to the final count of field beans: 7 CFR 201.58, table (from memory)


class CountedBeforeSet(Mistake):
    """A count on a day before the seeds were laid out."""

    code = "counted_before_set"

    def __init__(self, count_on: date, on: date) -> None:
        super().__init__(f"The tray was set on {on} and would be counted on {count_on}, before it.", field="count_on")


@dataclass(frozen=True, kw_only=True)
class TraySet:
    """Seeds of a lot laid out to germinate; without a day they are counted after eight days."""

    lot: Typed
    count_on: Typed = field(default=None, metadata={"looks": "a day, such as 2024-10-02; without it after eight days"})
    at: Typed = None


@action("test")
def set_trays(
    trays: Sequence[TraySet], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Write down trays that were laid out; the seed leaves its lot when they are counted. All or none.

    Raises:
        Refused: a lot is not known, or would be counted before it was laid out.
    """
    desk = Desk(station, now)
    expect_lots(desk, [tray.lot for tray in trays if tray.lot not in (None, "")])
    drafts = []
    for tray in trays:
        reader = Reader(desk, answers)
        at, known = reader.when(tray.at), reader.lot(tray.lot)
        on = desk.local_day(at)
        count_on = on + timedelta(days=COUNT_AFTER)
        if tray.count_on not in (None, ""):
            read = reader.attempt(lambda typed=tray.count_on: read_date(typed, field="count_on"))  # type: ignore[misc]
            count_on = read.value if read else count_on
        if count_on < on:
            reader.add(CountedBeforeSet(count_on, on))
        rows = [GerminationTray(station=station, lot=known.lot, count_on=count_on)] if known else []
        facts = {"lot": known.lot.number if known else "", "count_on": count_on.isoformat()}
        drafts.append(entered(reader, facts, by=by, at=at, kind="tray", reason=reason, key=key, rows=rows))
    return Booked(tuple(post_all(drafts)))
