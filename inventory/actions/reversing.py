"""Take an act back: an operation with the opposite entries that points at it; both stay visible."""

from collections.abc import Sequence
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action, require
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft, EntryDraft
from inventory.actions.falling_back import links_before
from inventory.actions.locking import lock_lots
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.models import Entry, Load, Lot, Operation, Station
from inventory.queries.descent import plot_comes_from, sowings_on
from inventory.queries.uses import followers_of, in_parts, name_act, plots_entered, reversals_of, uses_of, uses_of_plots
from inventory.rules.mistakes import Mistake
from inventory.rules.nodes import NodeKind, key_of, kind_of
from inventory.rules.reading import listed

_NAMED_AT_MOST = 3
_NOT_BY_REVERSAL = {
    "lift": "hold the lot again",
    "reverse": "do the act again",
    "origin": "mend the record itself",
    "rename": "give the line its old name",
}


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


class OfAnotherStation(Mistake):
    """The act stands in another station's books."""

    code = "of_another_station"

    def __init__(self, act: str) -> None:
        super().__init__(f"{act} stands in another station's books. Reverse it there.")


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
    return Booked(tuple(post_all(plan_reversals(reader, operations, by=by, at=moment, reason=why, key=key, load=load))))


def plan_reversals(
    reader: Reader, operations: Sequence[Operation], *, by: User, at: datetime, reason: str, key: str = "",
    load: Load | None = None,
) -> list[Draft]:  # fmt: skip
    """Plan the reversals of acts, the newest first; their lots are locked.

    Raises:
        Refused: what the caller gathered before, or an act was used since, was reversed before, or cannot be.
    """
    station = reader.desk.station
    if any(operation.kind == "hold" for operation in operations):
        require(by, "lift", station)  # taking a hold back frees the seed as lifting does
    ordered = sorted(operations, key=lambda operation: -operation.seq)
    _lock_lots_of(ordered)
    reader.add(*(OfAnotherStation(name_act(each)) for each in ordered if each.station_id != station.pk))
    reader.add(*_in_the_way(ordered))
    facts = reader.finish()
    entries = _opposite(ordered)
    return [
        Draft(
            kind="reverse", station=station, by=by, at=at, reason=reason, key=key, reverses=operation, load=load,
            facts={**facts, "act": name_act(operation)}, entries=entries[operation.pk],
        )
        for operation in ordered
    ]  # fmt: skip


def _lock_lots_of(operations: Sequence[Operation]) -> None:
    """Let nobody use what these acts made while we look whether anybody did."""
    for some in in_parts([operation.pk for operation in operations]):
        lots = Lot.objects.filter(entry__operation_id__in=some).values_list("pk", flat=True)
        lock_lots(lots.union(Lot.objects.filter(identities__operation_id__in=some).values_list("pk", flat=True)))


def _in_the_way(operations: Sequence[Operation]) -> list[Mistake]:
    reversals, uses, followers = reversals_of(operations), uses_of(operations), followers_of(operations)
    plots = uses_of_plots(plots_entered(operations), operations)
    circles = _sown_meanwhile(operations)
    mistakes: list[Mistake] = []
    for operation in operations:
        acts = {use.pk: use for use in (*uses[operation.pk], *followers[operation.pk], *circles[operation.pk])}
        standing = plots.get(operation.pk, []) + [name_act(act) for act in acts.values()]
        if operation.kind in _NOT_BY_REVERSAL and operation.pk not in plots:
            mistakes.append(NotByReversal(name_act(operation), _NOT_BY_REVERSAL[operation.kind]))
        elif operation.pk in reversals:
            mistakes.append(AlreadyReversed(name_act(operation), reversals[operation.pk].at))
        elif standing:
            named = standing[:_NAMED_AT_MOST]
            mistakes.append(UsedSince(name_act(operation), named, len(standing) - len(named)))
    return mistakes


def _sown_meanwhile(operations: Sequence[Operation]) -> dict[int, list[Operation]]:
    """Sowings of a reassigned lot on the plots it would come from again: the seed would stand before its own plot."""
    inside = [operation.pk for operation in operations]
    sown: dict[int, list[Operation]] = {key: [] for key in inside}
    for operation in (each for each in operations if each.kind == "reassign"):
        for lot_id in operation.identities.values_list("lot_id", flat=True):
            plots = [key_of(link.parent) for link in links_before(lot_id, inside) if _is_plot(link.parent)]
            circle = [plot_id for plot_id in plots if plot_comes_from(plot_id, lot_id)]
            sown[operation.pk] += [act for act in sowings_on(circle) if act.pk not in inside]
    return sown


def _is_plot(parent: int) -> bool:
    return kind_of(parent) is NodeKind.PLOT


def _opposite(operations: Sequence[Operation]) -> dict[int, list[EntryDraft]]:
    """The opposite entries of each act, by its key."""
    opposite: dict[int, list[EntryDraft]] = {operation.pk: [] for operation in operations}
    for some in in_parts(list(opposite)):
        for entry in Entry.objects.filter(operation_id__in=some).order_by("operation_id", "position"):
            opposite[entry.operation_id].append(
                EntryDraft(-entry.mg, entry.lot_id, entry.place_id, entry.bag_no, entry.account, entry.stream)
            )
    return opposite
