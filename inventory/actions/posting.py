"""The one door into the ledger: drafts in, chained and balanced operations out.

Posting many is the primitive; an act of one posts a list of one. The caller holds the transaction (`acting.py`).
"""

from collections.abc import Sequence
from contextvars import ContextVar
from datetime import UTC, datetime

from django.db.models import Model

from inventory.actions.asking_plugins import ask_plugins
from inventory.actions.by_plugins import name_plugin
from inventory.actions.contents import content_of
from inventory.actions.drafts import Draft
from inventory.actions.guarding import guard_holds, guard_widths
from inventory.actions.projecting import project
from inventory.actions.stocking import restock
from inventory.models import ChainHead, Entry, Load, Operation, Station
from inventory.rules.chain import canonical, link_hash
from inventory.rules.mass import kg_words

# The load that is being saved: whatever acts it calls for belong to it, and go when it is taken back.
under_load: ContextVar[Load | None] = ContextVar("the load that is being saved", default=None)


class Unbalanced(Exception):  # noqa: N818 - a fault of ours, not of the person: no door translates it
    """A draft whose entries do not sum to zero; a rule of ours is wrong."""


def post(draft: Draft) -> Operation:
    """Post one draft."""
    return post_all([draft])[0]


def post_all(drafts: Sequence[Draft]) -> list[Operation]:
    """Write drafts into the ledger in order, all of one station.

    Returns:
        The operations, in the same order.

    Raises:
        Refused: stock would go negative, or a plugin says no.
        Unbalanced: a draft does not sum to zero.
    """
    if not drafts:
        return []
    for draft in drafts:
        _must_balance(draft)
    name_plugin(drafts)
    guard_widths(drafts)
    ask_plugins(drafts)
    restock(drafts)
    head = _locked_head(drafts[0].station)
    guard_holds(drafts)
    operations = _chained(head, drafts)
    Operation.objects.bulk_create(operations)
    Entry.objects.bulk_create(_entries(operations, drafts), batch_size=500)
    _write_rows(operations, drafts)
    project(list(zip(operations, drafts, strict=True)))
    return operations


def _must_balance(draft: Draft) -> None:
    total = sum(entry.mg for entry in draft.entries)
    if total:
        raise Unbalanced(f"{draft.kind} leaves {kg_words(total)} kg over.")


def _chained(head: ChainHead, drafts: Sequence[Draft]) -> list[Operation]:
    """Give each draft its place in the chain; the head was locked last, so that acts wait for each other briefly."""
    operations = []
    for draft in drafts:
        operation = _operation(draft, head.seq + 1)
        operation.content = canonical(content_of(operation, draft))
        operation.prev_hash = head.hash
        operation.hash = link_hash(head.hash, operation.content)
        head.seq, head.hash = operation.seq, operation.hash
        operations.append(operation)
    head.save(update_fields=["seq", "hash"])
    return operations


def _locked_head(station: Station) -> ChainHead:
    ChainHead.objects.get_or_create(station=station)
    return ChainHead.objects.select_for_update().get(station=station)


def _operation(draft: Draft, seq: int) -> Operation:
    return Operation(
        station=draft.station,
        seq=seq,
        kind=draft.kind,
        at=draft.at.astimezone(UTC),
        recorded_at=datetime.now(UTC),
        by=draft.by,
        reason=draft.reason,
        key=draft.key,
        about=draft.about,
        reverses=draft.reverses,
        load=draft.load or under_load.get(),
    )


def _entries(operations: Sequence[Operation], drafts: Sequence[Draft]) -> list[Entry]:
    return [
        Entry(
            station_id=operation.station_id,
            operation=operation,
            position=position,
            lot_id=entry.lot_id,
            place_id=entry.place_id,
            bag_no=entry.bag_no,
            account=entry.account,
            stream=entry.stream,
            mg=entry.mg,
        )
        for operation, draft in zip(operations, drafts, strict=True)
        for position, entry in enumerate(draft.entries)
    ]


def _write_rows(operations: Sequence[Operation], drafts: Sequence[Draft]) -> None:
    by_model: dict[type[Model], list[Model]] = {}
    for operation, draft in zip(operations, drafts, strict=True):
        for row in draft.rows:
            row.operation = operation  # type: ignore[attr-defined]
            by_model.setdefault(type(row), []).append(row)
    for model, rows in by_model.items():
        model._default_manager.bulk_create(rows, batch_size=500)
