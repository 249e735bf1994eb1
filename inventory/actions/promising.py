"""Promise seed to somebody, and let go of a promise; it warns whoever takes the seed and never blocks."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.leaving import note_promises
from inventory.actions.origin import read_name
from inventory.actions.posting import post, post_all
from inventory.actions.reader import Reader, sure
from inventory.actions.reversing import plan_reversals
from inventory.models import Operation, Promise, Station
from inventory.queries.uses import name_act
from inventory.rules.dates import read_date
from inventory.rules.mistakes import Mistake


class NoPromise(Mistake):
    """The act is no promise."""

    code = "no_promise"

    def __init__(self, act: str) -> None:
        super().__init__(f"{act} is no promise. Name the promise that is let go.", field="promise")


@dataclass(frozen=True, kw_only=True)
class Promising:
    """A promise as it was typed."""

    lot: Typed
    mass: Typed
    recipient: str
    until: Typed = None
    unit: str = "kg"
    at: Typed = None


@action("promise")
def promise(
    promising: Promising, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Promise seed of a lot; more may be promised than is left, and is said.

    Raises:
        Refused: the lot is not known, or a mass, recipient or day cannot be read.
    """
    reader = Reader(Desk(station, now), answers)
    at = reader.when(promising.at)
    reader.note_typed(**vars(promising))
    known = reader.lot(promising.lot)
    mass = reader.positive(promising.mass, "mass", promising.unit)
    recipient = read_name(reader, promising.recipient, "recipient", "a grower's name", 160)
    until = None
    if promising.until not in (None, ""):
        until = reader.attempt(lambda: read_date(promising.until, field="until").value)
    if known and mass:
        note_promises(reader, known, mass.mg)
    facts = reader.finish()
    row = Promise(station=station, lot=sure(known).lot, mg=sure(mass).mg, recipient=recipient, until=until)
    draft = Draft(kind="promise", station=station, by=by, at=at, reason=reason, key=key, facts=facts, rows=[row])
    return Booked((post(draft),))


@action("promise")
def release_promise(
    operation: Operation, *, station: Station, by: User, reason: str = "", key: str = "", at: Typed = None,
    now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Let go of a promise: it was kept, or is given up; it is reversed and stays visible.

    Raises:
        Refused: the act is no promise, or was let go before.
    """
    reader = Reader(Desk(station, now))
    moment, why = reader.when(at), reader.reason(reason, "a promise let go")
    if operation.kind != "promise":
        reader.add(NoPromise(name_act(operation)))
    drafts = plan_reversals(reader, [operation], by=by, at=moment, reason=why, key=key)
    return Booked(tuple(post_all(drafts)))
