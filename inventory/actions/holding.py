"""Hold lots, and lift a hold: until then nothing leaves and nothing is sown."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft
from inventory.actions.posting import post, post_all
from inventory.actions.reader import Missing, Reader
from inventory.models import ActiveHold, Lot, Station
from inventory.queries.descent import descendants_of
from inventory.rules.mistakes import Mistake


class NotOnHold(Mistake):
    """There is no hold to lift."""

    code = "not_on_hold"

    def __init__(self, lot: str) -> None:
        super().__init__(f"{lot} is not on hold. Check the number.", field="lot")


@action("hold")
def hold(
    lots: Sequence[Typed], *, station: Station, by: User, reason: str = "", key: str = "", at: Typed = None,
    with_descendants: bool = False, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Hold lots by one act: all their places and bags, and every lot that is made from them from now on.

    Args:
        with_descendants: hold what was made from them before, too.

    Raises:
        Refused: a lot is not known, or there is no reason.
    """
    reader = Reader(Desk(station, now))
    moment, why = reader.when(at), reader.reason(reason, "a hold")
    reader.note_typed(lots=lots)
    if not lots:
        reader.add(Missing("lot", "24-0016-5"))
    known = [found for typed in lots if (found := reader.lot(typed)) is not None]
    facts = reader.finish()
    held = _with(known, with_descendants=with_descendants)
    facts |= {"lot_ids": list(held), "lots": [lot.number for lot in held.values()]}
    draft = Draft(kind="hold", station=station, by=by, at=moment, reason=why, key=key, facts=facts)
    return Booked((post(draft),))


@action("lift")
def lift(
    lot: Typed, *, station: Station, by: User, reason: str = "", key: str = "", at: Typed = None,
    with_descendants: bool = False, answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Lift the holds of a lot, each by an act of its own.

    Args:
        with_descendants: lift them from the lots made from it, too.

    Raises:
        Refused: the lot is not on hold, or there is no reason.
    """
    reader = Reader(Desk(station, now), answers)
    moment, why = reader.when(at), reader.reason(reason, "a lifted hold")
    reader.note_typed(lot=lot)
    known = reader.lot(lot)
    holds = list(ActiveHold.objects.filter(lot=known.lot).select_related("hold")) if known else []
    if known and not holds:
        reader.add(NotOnHold(known.lot.number))
    facts = reader.finish()
    freed = _with([known] if known else [], with_descendants=with_descendants)
    drafts = []
    for standing in holds:
        on = ActiveHold.objects.filter(hold=standing.hold, lot_id__in=list(freed)).values_list("lot_id", flat=True)
        lot_ids = sorted(on)
        kept = {**facts, "lot_ids": lot_ids, "lots": [freed[lot_id].number for lot_id in lot_ids]}
        drafts.append(
            Draft(kind="lift", station=station, by=by, at=moment, reason=why, key=key, facts=kept, about=standing.hold)
        )
    return Booked(tuple(post_all(drafts)))


def _with(known: Sequence[Known], *, with_descendants: bool) -> dict[int, Lot]:
    lots = {found.lot.pk: found.lot for found in known}
    if with_descendants:
        lots.update({each.lot.pk: each.lot for found in known for each in descendants_of(found.lot)})
    return lots
