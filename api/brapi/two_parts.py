"""A list of which the first rows come from one place and the last from another, paged as one."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import reduce
from operator import or_
from typing import Any, cast, overload

from django.db.models import Q, QuerySet

from api.brapi.asked import Asked
from api.brapi.envelope import Rows
from api.brapi.filters import Narrow, keepable
from api.brapi.things import Fitting

Condition = Callable[[list[str], Asked], Q]
Kept = Callable[[Rows, Sequence[str], Asked], Rows]
NOTHING = Q(pk__in=())


class TwoParts(Sequence[Any]):
    """A query, and behind it another query or a list."""

    def __init__(self, first: "QuerySet[Any]", last: Rows) -> None:
        self.first, self.last = first, last
        self._counts: tuple[int, int] | None = None

    def none(self) -> "TwoParts":
        """Keep nothing."""
        return TwoParts(self.first.none(), [])

    def _count(self) -> tuple[int, int]:
        last = self.last.count() if isinstance(self.last, QuerySet) else len(self.last)
        self._counts = self._counts or (self.first.count(), last)
        return self._counts

    def __len__(self) -> int:
        return sum(self._count())

    def __iter__(self) -> Iterator[Any]:
        """Give all rows, without counting them first."""
        yield from self.first.order_by("pk")
        yield from self.last.order_by("pk") if isinstance(self.last, QuerySet) else self.last

    @overload
    def __getitem__(self, wanted: int) -> Any: ...

    @overload
    def __getitem__(self, wanted: slice) -> Sequence[Any]: ...

    def __getitem__(self, wanted: int | slice) -> Any:
        """Cut a page out, or take one."""
        if isinstance(wanted, int):
            return self[wanted : wanted + 1][0]
        start, end = wanted.start or 0, len(self) if wanted.stop is None else wanted.stop
        there = self._count()[0]
        rows: list[Any] = list(self.first.order_by("pk")[start:end]) if start < there else []
        if end <= there:
            return rows
        last = self.last.order_by("pk") if isinstance(self.last, QuerySet) else self.last
        return [*rows, *last[max(start - there, 0) : end - there]]


def fitting_one(names: Mapping[str, Narrow]) -> Fitting:
    """Keep what fits one of some objects: in all of its names that are read, by the filter of each.

    Args:
        names: of an object's field -> the filter that its value is held against.
    """

    def narrow(rows: Rows, objects: Sequence[Mapping[str, Any]], asked: Asked) -> Rows:
        parts = [_fitted(rows, one, names, asked) for one in objects]
        fits = reduce(or_, (Q(pk__in=part.first.order_by().values("pk")) for part in parts))
        first, last = cast("TwoParts", rows).first, cast("TwoParts", rows).last
        if isinstance(last, QuerySet):
            queries = [cast("QuerySet[Any]", part.last) for part in parts]
            behind = reduce(or_, (Q(pk__in=query.order_by().values("pk")) for query in queries))
            return TwoParts(first.filter(fits), last.filter(behind))
        kept = {id(row) for part in parts for row in part.last}
        return TwoParts(first.filter(fits), [row for row in last if id(row) in kept])

    return narrow


def _fitted(rows: Rows, sent: Mapping[str, Any], names: Mapping[str, Narrow], asked: Asked) -> "TwoParts":
    for name, narrow in names.items():
        if sent.get(name) is not None:
            rows = narrow(rows, [str(sent[name])], asked)
    if not isinstance(rows, TwoParts):
        raise TypeError("this narrows a list of two parts")
    return rows


def both(first: Condition, last: Condition | Narrow) -> Narrow:
    """Narrow the two parts, each by its own condition; the last one by a filter of lists where it is a list."""

    def narrow(rows: Rows, values: Sequence[str], asked: Asked) -> Rows:
        if not isinstance(rows, TwoParts):
            raise TypeError("this narrows a list of two parts")
        kept = keepable(values)
        query = rows.first.filter(first(kept, asked))
        if isinstance(rows.last, QuerySet):
            return TwoParts(query, rows.last.filter(cast("Condition", last)(kept, asked)))
        return TwoParts(query, cast("Kept", last)(rows.last, kept, asked))

    return narrow
