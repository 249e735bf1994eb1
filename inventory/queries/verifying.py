"""Prove the books: every row against its operation's text, every text against the chain, every sum against stock.

`verify` reads the ledger once in order and folds it again from nothing; what it finds is said in full sentences.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Max, Model

from inventory.models import ChainHead, Entry, Operation, Station
from inventory.models.contents import entry_columns, operation_columns, row_columns
from inventory.models.triggers import append_only_models
from inventory.queries.folding import Fold, compare_standing
from inventory.queries.uses import name_act
from inventory.rules.chain import canonical, link_hash

_AT_ONCE = 1_000


@dataclass
class Verdict:
    """What `verify` found in one station's books."""

    operations: int = 0
    entries: int = 0
    differences: list[str] = field(default_factory=list)
    broken_at: str = ""

    @property
    def is_whole(self) -> bool:
        """Nothing differs and the chain is whole."""
        return not self.differences and not self.broken_at

    @property
    def chain(self) -> str:
        """The chain in words."""
        return f"broken at {self.broken_at}" if self.broken_at else "whole"


def verify(station: Station) -> Verdict:
    """Read a station's books once and compare everything that is kept with what the acts say."""
    verdict, fold, previous = Verdict(), Fold(), ""
    fold.reversed_ids = set(
        Operation.objects.filter(station=station, reverses__isnull=False).values_list("reverses_id", flat=True)
    )
    for chunk in _chunks(station):
        written = _written(chunk)
        for operation in chunk:
            previous = _check_operation(verdict, operation, previous, written)
            fold.take(operation)
    _check_head(verdict, station, previous)
    verdict.differences += _strays(station)
    verdict.differences += compare_standing(station, fold)
    return verdict


def _chunks(station: Station) -> Iterator[list[Operation]]:
    last = Operation.objects.filter(station=station).aggregate(last=Max("seq"))["last"] or 0
    for start in range(0, last, _AT_ONCE):
        acts = Operation.objects.filter(station=station, seq__gt=start, seq__lte=start + _AT_ONCE)
        yield list(acts.select_related("run", "shipment").order_by("seq"))


def _written(chunk: Sequence[Operation]) -> dict[int, dict[str, list[Any]]]:
    """What stands in the tables for these operations, in the form of their texts."""
    written: dict[int, dict[str, list[Any]]] = {operation.pk: {"entries": [], "rows": []} for operation in chunk}
    for entry in Entry.objects.filter(operation__in=list(written)).order_by("operation_id", "position"):
        written[entry.operation_id]["entries"].append((entry.position, entry_columns(entry), entry.station_id))
    for model in _row_models():
        for row in model._default_manager.filter(operation__in=list(written)).order_by("pk"):
            written[row.operation_id]["rows"].append([row._meta.label, row_columns(row)])  # type: ignore[attr-defined]
    return written


def _row_models() -> list[type[Model]]:
    return [model for model in append_only_models() if model not in (Operation, Entry)]


def _check_operation(
    verdict: Verdict, operation: Operation, previous: str, written: dict[int, dict[str, list[Any]]]
) -> str:
    """Check one act; its hash is what the next one is chained to."""
    verdict.operations += 1
    rows = written[operation.pk]
    verdict.entries += len(rows["entries"])
    expected = link_hash(previous, operation.content)
    if (operation.hash != expected or operation.prev_hash != previous) and not verdict.broken_at:
        verdict.broken_at = name_act(operation)
    verdict.differences += [f"{name_act(operation)}: {what}" for what in _differences(operation, rows)]
    return expected


def _differences(operation: Operation, rows: dict[str, list[Any]]) -> Iterator[str]:
    try:
        content = json.loads(operation.content)
    except ValueError:
        yield "its text cannot be read."
        return
    columns = _plain(operation_columns(operation))
    yield from (f"{name} reads {columns[name]!r}, but was written as {content.get(name)!r}."
                for name in columns if columns[name] != content.get(name))  # fmt: skip
    entries = [columns for _position, columns, _station in rows["entries"]]
    positions = [position for position, _columns, _station in rows["entries"]]
    stations = {station for _position, _columns, station in rows["entries"]}
    if entries != content["entries"] or positions != list(range(len(entries))):
        yield "its entries are not those that were written."
    elif stations - {operation.station_id}:
        yield "an entry stands under another station."
    if _sorted(rows["rows"]) != _sorted(content["rows"]):
        yield "its records are not those that were written."


def _check_head(verdict: Verdict, station: Station, last_hash: str) -> None:
    head = ChainHead.objects.filter(station=station).first()
    seq = verdict.operations
    last = Operation.objects.filter(station=station).aggregate(last=Max("seq"))["last"] or 0
    if (head.seq, head.hash) != (last, last_hash) if head else bool(last):
        verdict.differences.append("The head of the chain is not its last act.")
    if seq != last:
        verdict.differences.append(f"{last} acts were numbered and {seq} are there.")


def _strays(station: Station) -> list[str]:
    """Entries that hang on no operation of their own station."""
    strays = Entry.objects.filter(station=station).exclude(operation__station=station).count()
    return [f"{strays} entries hang on another station's acts."] if strays else []


def _plain(value: Any) -> Any:
    return json.loads(canonical({"value": value}))["value"]


def _sorted(rows: list[Any]) -> list[str]:
    return sorted(canonical({"row": row}) for row in rows)
