"""Correct first entries: each delivery's entry is reversed and entered anew on the same number, by one act."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action, require
from inventory.actions.desk import Desk, Typed
from inventory.actions.origin import plan_each
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.actions.receiving import Delivery, expect_deliveries, plan_delivery
from inventory.actions.reversing import plan_reversals
from inventory.models import Operation, Station
from inventory.queries.uses import name_act
from inventory.rules.mistakes import Mistake, Refused


class NoDelivery(Mistake):
    """The act received nothing."""

    code = "no_delivery"

    def __init__(self, act: str) -> None:
        super().__init__(f"{act} received no lot. Reverse it, or name the entry of the delivery.")


@action("reverse")
def correct_deliveries(
    corrections: Sequence[tuple[Operation, Delivery]], *, station: Station, by: User, reason: str = "", key: str = "",
    at: Typed = None, answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Reverse deliveries and enter them anew on the same lot numbers, in one transaction and for one reason.

    Measurements that took no seed stay with their lots. Where two bags swapped their tags, both are corrected
    together, so that neither stands on the other's plots meanwhile.

    Args:
        corrections: the act that received the lot, and the delivery as it should have been typed.
        at: when the correction was made; each delivery keeps its own moment, else the first entry's.

    Returns:
        The reversals, the newest first, and then the new entries in the order given.

    Raises:
        Refused: seed of a lot was used since, or a new entry cannot be booked.
    """
    require(by, "receive", station)
    reader = Reader(Desk(station, now), answers)
    moment, why = reader.when(at), reader.reason(reason, "a correction")
    first = [operation for operation, _delivery in corrections]
    if wrong := [NoDelivery(name_act(operation)) for operation in first if operation.kind != "receive"]:
        raise Refused(wrong)
    numbers = {operation.pk: operation.identities.get().lot.number for operation in first}
    reversals = post_all(plan_reversals(reader, first, by=by, at=moment, reason=why, key=key))
    desk = Desk(station, now)
    anew = [
        (operation, replace(delivery, lot=numbers[operation.pk], at=delivery.at or operation.at))
        for operation, delivery in corrections
    ]
    expect_deliveries(desk, [delivery for _operation, delivery in anew])
    drafts = plan_each(
        anew, lambda pair: plan_delivery(Reader(desk, answers), pair[1], by=by, key=key, reason=why)
    )  # fmt: skip
    for draft, (operation, _delivery) in zip(drafts, anew, strict=True):
        draft.about = operation
    return Booked((*reversals, *post_all(drafts)))
