"""Keep a recall drill: what the recall question was answered with that day, dated, with who asked and why."""

from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk
from inventory.actions.origin import entered
from inventory.actions.posting import post
from inventory.actions.reader import Reader, sure
from inventory.models import Station
from inventory.queries.recalling import recall


@action("drill")
def keep_drill(
    ref: str, *, station: Station, by: User, reason: str = "", key: str = "", now: datetime | None = None
) -> Booked:
    """Ask the recall question and keep the answer in the books; it is of the moment it is asked, and moves nothing.

    Raises:
        Refused: nothing is called so, or no recall can be answered for it.
    """
    reader = Reader(Desk(station, now))
    at, why = reader.when(None), reader.reason(reason, "a recall drill")
    reader.note_typed(ref=ref)
    answer = reader.attempt(lambda: recall(station, ref))
    record = {"drill": sure(answer).as_json()} if answer else {}
    return Booked((post(entered(reader, record, kind="drill", by=by, at=at, reason=why, key=key)),))
