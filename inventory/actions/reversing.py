"""Take an act back: an operation with the opposite entries that points at it; both stay visible."""

from collections.abc import Sequence
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft, EntryDraft
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.models import Load, Operation, Station
from inventory.queries.uses import name_act, uses_of
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed

_NAMED_AT_MOST = 3
_NOT_BY_REVERSAL = {"lift": "hold the lot again", "reverse": "do the act again", "origin": "mend the record itself"}


class UsedSince(Mistake):
    """What the act made was used by later acts."""

    code = "used_since"

    def __init__(self, act: str, uses: Sequence[str], more: int) -> None:
        rest = f" and {more} more" if more else ""
        super().__init__(
            f"What {act} made was used by {listed(list(uses), 'and')}{rest}. Reverse these first, or put it right "
            "with an adjustment or a reassignment."
        )


class AlreadyReversed(Mistake):
    """The act was taken back before."""

    code = "already_reversed"

    def __init__(self, act: str, on: datetime) -> None:
        super().__init__(f"{act} was already reversed on {on:%Y-%m-%d}. Nothing is left to take back.")


class NotByReversal(Mistake):
    """An act that is put right in another way."""

    code = "not_by_reversal"

    def __init__(self, act: str, remedy: str) -> None:
        super().__init__(f"{act} is not taken back by reversing: {remedy} instead.")


@action("reverse")
def reverse(
    operation: Operation, *, station: Station, by: User, reason: str, key: str = "", at: Typed = None,
    now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Reverse one act: `reverse_all` with one."""
    return reverse_all([operation], station=station, by=by, reason=reason, key=key, at=at, now=now)


@action("reverse")
def reverse_all(
    operations: Sequence[Operation], *, station: Station, by: User, reason: str, key: str = "", at: Typed = None,
    now: datetime | None = None, load: Load | None = None,
) -> Booked:  # fmt: skip
    """Reverse acts, the newest first, so that what used another's output goes before it; all or none.

    Args:
        reason: why; it is kept.
        load: the load that is being taken back, if it is one.

    Raises:
        Refused: an act was used since, was reversed before, or seed it brought is gone.
    """
    reader = Reader(Desk(station, now))
    moment = reader.when(at)
    why = reader.reason(reason, "a reversal")
    ordered = sorted(operations, key=lambda operation: -operation.seq)
    inside = {operation.pk for operation in ordered}
    for operation in ordered:
        reader.add(*_in_the_way(operation, inside))
    facts = reader.finish()
    drafts = [
        Draft(
            kind="reverse", station=station, by=by, at=moment, reason=why, key=key, reverses=operation, load=load,
            facts={**facts, "act": name_act(operation)}, entries=_opposite(operation),
        )
        for operation in ordered
    ]  # fmt: skip
    return Booked(tuple(post_all(drafts)))


def _in_the_way(operation: Operation, inside: set[int]) -> list[Mistake]:
    act = name_act(operation)
    if operation.kind in _NOT_BY_REVERSAL:
        return [NotByReversal(act, _NOT_BY_REVERSAL[operation.kind])]
    before = Operation.objects.filter(reverses=operation).first()
    if before is not None:
        return [AlreadyReversed(act, before.at)]
    uses = [use for use in uses_of(operation) if use.pk not in inside]
    followers = [act for act in operation.followed_by.filter(reversed_by__isnull=True) if act.pk not in inside]
    standing = list({use.pk: use for use in (*uses, *followers)}.values())
    if standing:
        named = [name_act(use) for use in standing[:_NAMED_AT_MOST]]
        return [UsedSince(act, named, len(standing) - len(named))]
    return []


def _opposite(operation: Operation) -> list[EntryDraft]:
    return [
        EntryDraft(
            mg=-entry.mg, lot_id=entry.lot_id, place_id=entry.place_id, bag_no=entry.bag_no, account=entry.account,
            stream=entry.stream,
        )
        for entry in operation.entries.order_by("position")
    ]  # fmt: skip
