"""How many transactions each act is, kept in memory, so that a page of a long book reads the acts of that page alone.

An act is one transaction or several, and only its entries say how many. They never change, and no act is written before
one that is there already: so each act is counted once a process, and a request counts what came since the last one.
"""

from array import array
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby
from threading import Lock

from api.brapi.movements import movements_of
from inventory.models import Entry, Operation, Station

_CHUNK = 20_000  # entries read at once


@dataclass
class Counted:
    """The acts of a station that moved seed, in the order of the chain.

    Attributes:
        seqs: the number of each act that is at least one transaction.
        ends: how many transactions there are up to each act, itself included.
        seq, hash: of the last act that was looked at.
    """

    seqs: "array[int]" = field(default_factory=lambda: array("q"))
    ends: "array[int]" = field(default_factory=lambda: array("q"))
    seq: int = 0
    hash: str = ""

    @property
    def total(self) -> int:
        """How many transactions there are."""
        return self.ends[-1] if self.ends else 0

    def acts_of(self, start: int, end: int) -> tuple[list[int], int]:
        """Give the numbers of the acts that rows stand in, and how many rows come before the first of them.

        Args:
            start, end: rows counted from 0, the last one not inside.
        """
        end = min(end, self.total)
        if start >= end:
            return [], 0
        first, last = bisect_right(self.ends, start), bisect_right(self.ends, end - 1)
        return list(self.seqs[first : last + 1]), self.ends[first - 1] if first else 0


_KNOWN: dict[int, Counted] = {}
_LOCK = Lock()


def counted(station: Station) -> Counted:
    """Count a station's transactions (3 queries; the entries written since the last time are read)."""
    with _LOCK:
        known = _KNOWN.get(station.pk)
        if known is None or not _stands(known, station):
            known = Counted()
        newest = Operation.objects.filter(station=station).order_by("-seq").values_list("seq", "hash").first()
        if newest is not None and newest[0] > known.seq:
            _count(known, station, newest[0])
            known.seq, known.hash = newest
        _KNOWN[station.pk] = known
        return known


def _stands(known: Counted, station: Station) -> bool:
    """Say whether the books still are those that were counted: a copy that was put back may have another end."""
    return Operation.objects.filter(station=station, seq=known.seq, hash=known.hash).exists()


def _count(known: Counted, station: Station, until: int) -> None:
    new = Entry.objects.filter(station=station, operation__seq__gt=known.seq, operation__seq__lte=until)
    rows = new.order_by("operation__seq", "position").values_list(
        "operation__seq", "lot_id", "place_id", "account", "mg"
    )
    total, seqs, ends = known.total, array("q"), array("q")
    for seq, entries in groupby(rows.iterator(chunk_size=_CHUNK), key=lambda row: row[0]):
        if count := _transactions_in([entry[1:] for entry in entries]):
            total += count
            seqs.append(seq)
            ends.append(total)
    known.seqs.extend(seqs)  # all at once, since a count that breaks off is begun anew
    known.ends.extend(ends)


def _transactions_in(entries: Sequence[tuple[int | None, int | None, str, int]]) -> int:
    """Say how many transactions an act is; from one lot or account to another, as most are, needs no pairing."""
    if len(entries) == 2:
        (giver, _from, out, mg), (taker, _to, into, back) = entries
        if mg and mg == -back and (giver, out) != (taker, into):
            return int(bool(giver or taker))
    return len(movements_of(entries))
