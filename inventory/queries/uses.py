"""What stands on acts: the later acts that used what they made, followed them up, or took them back."""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from sqlite3 import sqlite_version_info
from typing import Any, TypeVar

from django.db.models import Q, QuerySet

from inventory.models import Entry, FieldNote, FieldWeight, Identity, Link, Operation, Plant, Plot
from inventory.rules.nodes import NodeKind, key_of, node

T = TypeVar("T")
# SQLite took about a thousand parameters in one statement until 3.32, and takes 32,766 since; some name a key twice.
_AT_ONCE = 5_000 if sqlite_version_info >= (3, 32) else 500

# Keys at hand, or a query of one column that says which they are.
Keys = Iterable[int] | QuerySet[Any, Any]

# An act -> the acts that stand on it, by key.
Standing = dict[int, list[Operation]]

# What was dried or treated is another seed afterwards: later acts took it as such.
CHANGES_THE_WHOLE_LOT = ("dry", "treat")


def uses_of(operations: Sequence[Operation]) -> Standing:
    """Later acts, not reversed, that used what these acts put into store; acts among `operations` do not count.

    For an act that made, dried or treated lots: every act that moved their seed, made something of them or gave them
    another identity. For any other act: every act that took from the bags that it filled. Measurements that took no
    seed are no use.
    """
    inside = {operation.pk for operation in operations}
    standing: Standing = {operation.pk: [] for operation in operations}
    maker = _makers(operations)
    of_lots = (*_entry_uses(maker), *_link_uses(maker), *_identity_uses(maker))
    bags = _bag_uses(operations, set(maker.values()))
    for making_id, use in (*of_lots, *_changed_uses(operations), *bags):
        if use.pk not in inside and use not in standing[making_id]:
            standing[making_id].append(use)
    return {key: sorted(uses, key=lambda use: use.seq) for key, uses in standing.items()}


def plots_entered(operations: Sequence[Operation]) -> dict[int, Plot]:
    """The plots that these acts entered, by act (1 query for every 5,000)."""
    codes: dict[str, int] = {}
    for operation in operations:
        if operation.kind == "origin" and (facts := json.loads(operation.content)["facts"]).get("record") == "plot":
            codes[facts["code"]] = operation.pk
    plots = (
        plot
        for some in in_parts(list(codes))
        for plot in Plot.objects.filter(station_id=operations[0].station_id, code__in=some)
    )
    return {codes[plot.code]: plot for plot in plots}


def uses_of_plots(entered: Mapping[int, Plot], operations: Sequence[Operation]) -> dict[int, list[str]]:
    """What stands on plots, by the act that entered each: deliveries, sowings, field weights, notes and plants.

    Args:
        entered: act -> plot.
        operations: acts that do not count, because they go with it.
    """
    inside = {operation.pk for operation in operations}
    act_of = {plot.pk: act for act, plot in entered.items()}
    named: dict[int, list[str]] = {act: [] for act in entered}
    for some in in_parts(list(act_of)):
        nodes = [node(NodeKind.PLOT, plot_id) for plot_id in some]
        for end in ("parent", "child"):
            for link in Link.objects.filter(**{f"{end}__in": nodes}).select_related("operation"):
                if link.operation_id not in inside:
                    named[act_of[key_of(getattr(link, end))]].append(name_act(link.operation))
        for plot_id, act in _written_of(some):
            if act.pk not in inside:
                named[act_of[plot_id]].append(name_act(act))
        for plant in Plant.objects.filter(plot__in=some):
            named[act_of[plant.plot_id]].append(f"plant {plant.number}")
    return {act: list(dict.fromkeys(uses)) for act, uses in named.items()}


def _written_of(plots: Sequence[int]) -> Iterator[tuple[int, Operation]]:
    """Give field weights and notes that stand on plots, with their acts (2 queries)."""
    for model in (FieldWeight, FieldNote):
        rows = model._default_manager.filter(plot__in=plots, operation__reversed_by__isnull=True)
        for row in rows.select_related("operation"):
            if row.plot_id is not None:
                yield row.plot_id, row.operation


def _makers(operations: Sequence[Operation]) -> dict[int, int]:
    """Lot -> the act among these that made it; a reassignment made no lot."""
    made: dict[int, int] = {}
    keys = [operation.pk for operation in operations if operation.kind != "reassign"]
    for some in in_parts(keys):
        made.update(Identity.objects.filter(operation_id__in=some).values_list("lot_id", "operation_id"))
    return made


def _entry_uses(maker: dict[int, int]) -> Iterable[tuple[int, Operation]]:
    for some in in_parts(list(maker)):
        entries = Entry.objects.filter(
            lot_id__in=some, operation__reversed_by__isnull=True, operation__reverses__isnull=True
        )
        for entry in entries.select_related("operation__run", "operation__shipment"):
            if entry.lot_id is not None and entry.operation_id != maker[entry.lot_id]:
                yield maker[entry.lot_id], entry.operation


def _link_uses(maker: dict[int, int]) -> Iterable[tuple[int, Operation]]:
    nodes = [node(NodeKind.LOT, lot_id) for lot_id in maker]
    for some in in_parts(nodes):
        for link in Link.objects.filter(parent__in=some).select_related("operation__run", "operation__shipment"):
            yield maker[key_of(link.parent)], link.operation


def _identity_uses(maker: dict[int, int]) -> Iterable[tuple[int, Operation]]:
    """Acts that said of a lot what it is, after it was made."""
    for some in in_parts(list(maker)):
        identities = Identity.objects.filter(lot_id__in=some, operation__reversed_by__isnull=True)
        for identity in identities.select_related("operation__run", "operation__shipment"):
            if identity.operation_id != maker[identity.lot_id]:
                yield maker[identity.lot_id], identity.operation


def _bag_uses(operations: Sequence[Operation], makings: set[int]) -> Iterable[tuple[int, Operation]]:
    """Acts that took from bags which one of these acts filled."""
    for operation in operations:
        if operation.pk in makings or operation.kind not in ("bag", "move", "return"):
            continue
        for lot_id, bag_no in operation.entries.filter(bag_no__gt=0, mg__gt=0).values_list("lot_id", "bag_no"):
            later = Operation.objects.filter(
                entries__lot_id=lot_id,
                entries__bag_no=bag_no,
                seq__gt=operation.seq,
                reversed_by__isnull=True,
                reverses__isnull=True,
            )
            yield from ((operation.pk, use) for use in later.select_related("run", "shipment").distinct())


def _changed_uses(operations: Sequence[Operation]) -> Iterable[tuple[int, Operation]]:
    """Acts that took or moved seed after one of these acts dried or treated it, or made something of it."""
    for operation in operations:
        if operation.kind in CHANGES_THE_WHOLE_LOT:
            rows = operation.moistures if operation.kind == "dry" else operation.treatments
            lots = list(rows.values_list("lot_id", flat=True))
            nodes = [node(NodeKind.LOT, lot_id) for lot_id in lots]
            later = Operation.objects.filter(
                Q(entries__lot_id__in=lots) | Q(links__parent__in=nodes),
                seq__gt=operation.seq,
                reversed_by__isnull=True,
                reverses__isnull=True,
            )
            yield from ((operation.pk, use) for use in later.select_related("run", "shipment").distinct())


def followers_of(operations: Sequence[Operation]) -> Standing:
    """Acts, not reversed, that point at these: late additions, lifts; acts among `operations` do not count."""
    inside = {operation.pk for operation in operations}
    standing: Standing = {operation.pk: [] for operation in operations}
    for some in in_parts(list(inside)):
        followers = Operation.objects.filter(about_id__in=some, reversed_by__isnull=True, reverses__isnull=True)
        for follower in followers.exclude(pk__in=some).select_related("run", "shipment").order_by("seq"):
            if follower.pk not in inside and follower.about_id is not None:
                standing[follower.about_id].append(follower)
    return standing


def reversals_of(operations: Sequence[Operation]) -> dict[int, Operation]:
    """The reversal of each of these acts that was taken back."""
    keys = [operation.pk for operation in operations]
    reversals = (
        reversal for some in in_parts(keys) for reversal in Operation.objects.filter(reverses_id__in=some)
    )  # fmt: skip
    return {reversal.reverses_id: reversal for reversal in reversals if reversal.reverses_id is not None}


def name_act(operation: Operation) -> str:
    """Name an act as people do: its kind, its day and its own number where it has one."""
    run = getattr(operation, "run", None)
    shipment = getattr(operation, "shipment", None)
    own = run.number if run else shipment.code if shipment else f"#{operation.seq}"
    return f"{operation.kind} {own} of {operation.at:%Y-%m-%d}"


def for_statements(keys: Keys) -> Iterable[Sequence[int] | QuerySet[Any, Any]]:
    """Give keys as statements take them: a query of keys whole, as their subquery; keys at hand in parts."""
    return [keys] if isinstance(keys, QuerySet) else in_parts(sorted(set(keys)))


def in_parts(keys: Sequence[T], at_once: int = _AT_ONCE) -> Iterable[Sequence[T]]:
    """Cut keys into parts that one statement can take."""
    return (keys[start : start + at_once] for start in range(0, len(keys), at_once))
