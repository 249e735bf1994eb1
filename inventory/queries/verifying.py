"""Prove the books: every row against its operation's text, every text against the chain, every sum against stock.

`verify` reads the ledger once in order, at one moment, and folds it again from nothing; what it finds is said in full
sentences that name the act.

Cells that cannot be read at all come first and alone: while there are some, nothing else can be folded.

Covered: every column of operations, entries and all rows that go with an operation, and which operation they hang on;
missing, added and moved rows; the numbers of the lots that an act made; what is kept for quick reading (stock,
standings, links, holds, the head of the chain). Surrogate keys are covered as far as rows point at them.
Not covered: word lists (lines, plots, places, people), which are edited on purpose and stand in the texts by their
key; a kept row that says nothing (no mass left, a lot that is not made). And whoever rewrites the newest acts together
with all that is kept of them leaves no trace inside the database: compare the head's hash with a backup's.
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Model

from inventory.models import ChainHead, Entry, Lot, Operation, Station
from inventory.models.contents import entry_columns, operation_columns, row_columns, with_later_columns
from inventory.models.triggers import append_only_models
from inventory.queries.folding import Fold, compare_standing
from inventory.queries.readable import first_broken, unreadable_cells
from inventory.queries.snapshots import one_snapshot
from inventory.rules.chain import canonical, link_hash
from inventory.rules.contents import Content, read_content
from inventory.rules.lot_number import LotNumber

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
        """The chain in words: the first act whose hash, text or rows are not those that were chained."""
        return f"broken at {self.broken_at}" if self.broken_at else "whole"


@dataclass(frozen=True)
class Written:
    """What stands in the tables for one operation, in the form of its text."""

    entries: list[tuple[int, list[Any], int]] = field(default_factory=list)  # position, columns, station
    rows: list[Any] = field(default_factory=list)


def verify(station: Station) -> Verdict:
    """Read a station's books once and compare everything that is kept with what the acts say."""
    with one_snapshot():
        return _verified(station)


def _verified(station: Station) -> Verdict:
    if unreadable := unreadable_cells():
        acts, entries = (model.objects.filter(station=station).count() for model in (Operation, Entry))
        return Verdict(acts, entries, unreadable, first_broken(station) or unreadable[0].partition(":")[0])
    verdict, fold, before = Verdict(), Fold(), None
    fold.reversed_ids = set(
        Operation.objects.filter(station=station, reverses__isnull=False).values_list("reverses_id", flat=True)
    )
    for chunk in _chunks(station):
        contents = {operation.pk: read_content(operation.content) for operation in chunk}
        written, lots = _written(chunk), _lots(contents.values())
        for operation in chunk:
            _check_link(verdict, operation, before)
            _check_content(verdict, operation, contents[operation.pk], written[operation.pk], lots)
            fold.take(operation, contents[operation.pk])
            before = operation
    _check_head(verdict, station, before)
    verdict.differences += _strays(station)
    verdict.differences += compare_standing(station, fold)
    return verdict


def _chunks(station: Station) -> Iterator[list[Operation]]:
    acts = Operation.objects.filter(station=station).order_by("seq")
    chunk = list(acts[:_AT_ONCE])
    while chunk:
        yield chunk
        chunk = list(acts.filter(seq__gt=chunk[-1].seq)[:_AT_ONCE])


def _written(chunk: Sequence[Operation]) -> dict[int, Written]:
    written = {operation.pk: Written() for operation in chunk}
    for entry in Entry.objects.filter(operation__in=list(written)).order_by("operation_id", "position"):
        written[entry.operation_id].entries.append((entry.position, entry_columns(entry), entry.station_id))
    for model in row_models():
        for row in model._default_manager.filter(operation__in=list(written)).order_by("pk"):
            rows = written[row.operation_id].rows  # type: ignore[attr-defined]
            rows.append(_plain([row._meta.label, row_columns(row)]))
    return written


def _lots(contents: Iterable[Content | None]) -> dict[int, Lot]:
    return Lot.objects.in_bulk({key for content in contents if content for key in content.lots})


def row_models() -> list[type[Model]]:
    """The models whose rows go with an operation, beside its entries."""
    return [model for model in append_only_models() if model not in (Operation, Entry)]


def _check_link(verdict: Verdict, operation: Operation, before: Operation | None) -> None:
    """Check an act's place in the chain by the hashes as they stand, so that one change breaks it at one act."""
    verdict.operations += 1
    expected = before.seq + 1 if before else 1
    if operation.seq != expected:
        verdict.differences.append(f"{_numbered(expected, operation.seq - 1)} missing before {_name(operation)}.")
    is_chained = operation.prev_hash == (before.hash if before else "")
    if is_chained and operation.hash == link_hash(operation.prev_hash, operation.content):
        return
    if not verdict.broken_at:
        verdict.broken_at = _name(operation)
    else:
        verdict.differences.append(f"{_name(operation)}: the chain is broken here too.")


def _numbered(first: int, last: int) -> str:
    return f"Act #{first} is" if first >= last else f"Acts #{first} to #{last} are"


def _check_content(
    verdict: Verdict, operation: Operation, content: Content | None, written: Written, lots: Mapping[int, Lot]
) -> None:
    verdict.entries += len(written.entries)
    found = ["its text cannot be read."]
    if content is not None:
        found = [*_differences(operation, content, written), *_lot_differences(operation, content, lots)]
    verdict.differences += [f"{_name(operation)}: {what}" for what in found]
    if found and not verdict.broken_at:
        verdict.broken_at = _name(operation)


def _differences(operation: Operation, content: Content, written: Written) -> Iterator[str]:
    columns = _plain(operation_columns(operation))
    yield from (f"{name} reads {columns[name]!r}, but was written as {content.columns.get(name)!r}."
                for name in columns if columns[name] != content.columns.get(name))  # fmt: skip
    entries = [columns for _position, columns, _station in written.entries]
    positions = [position for position, _columns, _station in written.entries]
    stations = {station for _position, _columns, station in written.entries}
    if entries != content.entries or positions != list(range(len(entries))):
        yield "its entries are not those that were written."
    elif stations - {operation.station_id}:
        yield "an entry stands under another station."
    if sum(entry[-1] for entry in content.entries):
        yield "its entries do not sum to nothing."
    if _sorted(written.rows) != _sorted(
        [_plain([label, with_later_columns(label, row)]) for label, row in content.rows]
    ):
        yield "its records are not those that were written."


def _lot_differences(operation: Operation, content: Content, lots: Mapping[int, Lot]) -> Iterator[str]:
    """A lot row is a number and nothing else: it must still be the one that the act gave."""
    for key, (number, uid) in content.lots.items():
        lot = lots.get(key)
        if lot is None:
            yield f"the lot {number} that it made is gone."
        elif (lot.number, str(lot.uid), lot.station_id) != (number, uid, operation.station_id) or not _checks(lot):
            yield f"the lot that it made was {number} and its row reads otherwise now."


def _checks(lot: Lot) -> bool:
    try:
        return LotNumber(lot.year, lot.running).text == lot.number
    except ValueError:
        return False


def _check_head(verdict: Verdict, station: Station, last: Operation | None) -> None:
    head = ChainHead.objects.filter(station=station).first()
    kept = (head.seq, head.hash) if head else (0, "")
    if kept != ((last.seq, last.hash) if last else (0, "")):
        verdict.differences.append("The head of the chain is not its last act.")


def _strays(station: Station) -> list[str]:
    """Rows that hang on no operation of their own station."""
    own = Operation.objects.filter(station=station).values("pk")
    models: list[type[Model]] = [Entry, *row_models()]
    counts = {
        model._meta.verbose_name_plural: model._default_manager.filter(station=station)
        .exclude(operation__in=own)
        .count()
        for model in models
    }
    return [f"{count} {name} hang on no act of this station." for name, count in counts.items() if count]


def _name(operation: Operation) -> str:
    """Name an act by what is its own: the run or shipment that others are named by may be what was edited."""
    return f"{operation.kind} #{operation.seq} of {operation.at:%Y-%m-%d}"


def _plain(value: Any) -> Any:
    return json.loads(canonical({"value": value}))["value"]


def _sorted(rows: list[Any]) -> list[str]:
    return sorted(json.dumps(row, sort_keys=True) for row in rows)
