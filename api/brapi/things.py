"""A list of the standard told once: from it come the list, the one of it, the search, and what is written there."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from api.brapi.asked import Asked, read_query, read_search
from api.brapi.envelope import Page, Rows, page_of
from api.brapi.errors import NoSuch
from api.brapi.filters import Narrow
from api.brapi.routes import Route

Told = Mapping[str, Any]
Fitting = Callable[[Rows, Sequence[Told], Asked], Rows]  # keeps what fits one of some objects


@dataclass(frozen=True)
class Things:
    """A list with all its addresses.

    Attributes:
        path: "germplasm".
        one: what one is, in a sentence.
        key: its DbId as the standard names it; it is also a filter.
        rows: a station's rows: a query, in the order of its key if it has none, or a list of told rows in a stable one.
        tell: a page of rows to what is told of them, all at once, so that questions do not grow with rows.
        filters: parameter -> what it keeps; a search takes them in the plural.
        singles: filters that a search takes under the same name, one value each.
        objects: filters that only a search has, and takes as an array of objects, of which one must fit.
        flags: parameters that narrow nothing: `rows` or `tell` read them.
        has_one: there is an address for one of it.
        has_search: it can be searched.
        post, put_all, put_one: what is written, and the rows that came of it.
        tell_one: tells more of one than its list does.
        find: finds one by its DbId where the filter by `key` over `rows` is not the way.
        widen: adds rows to those that were found, such as their ancestors.
    """

    path: str
    one: str
    key: str
    rows: Callable[[Asked], Rows]
    tell: Callable[[Sequence[Any], Asked], Sequence[Told]]
    filters: Mapping[str, Narrow]
    singles: Mapping[str, Narrow] = field(default_factory=dict)
    objects: Mapping[str, Fitting] = field(default_factory=dict)
    flags: tuple[str, ...] = ()
    has_one: bool = True
    has_search: bool = False
    post: Callable[[Asked], Rows] | None = None
    put_all: Callable[[Asked], Rows] | None = None
    put_one: Callable[[Asked, str], Any] | None = None
    tell_one: Callable[[Any, Asked], Told] | None = None
    find: Callable[[Asked, str], Any] | None = None
    widen: Callable[[Rows, Asked], Rows] | None = None

    def routes(self) -> tuple[Route, ...]:
        """Give its addresses."""
        routes = [
            Route(self.path, self._list, self._writing(self.post), self._writing(self.put_all)),
        ]
        if self.has_one:
            put = self._put_one if self.put_one else None
            routes.append(Route(f"{self.path}/{{{self.key}}}", self._one, put=put))
        if self.has_search:
            routes.append(Route(f"search/{self.path}", post=self._search, scope="read"))
        return tuple(routes)

    def found(self, asked: Asked, dbid: str) -> Any:
        """Find one by its DbId.

        Raises:
            NoSuch: it is not here.
        """
        if self.find:
            return self.find(asked, dbid)
        rows = self.filters[self.key](self.rows(asked), [dbid], asked)
        some = list(rows[:2])
        if len(some) != 1:
            raise NoSuch(self.one, dbid)
        return some[0]

    def _list(self, asked: Asked) -> Page:
        read_query(asked, (*self.filters, *self.singles, *self.flags))
        return self._page(asked)

    def _search(self, asked: Asked) -> Page:
        read_search(asked, tuple(self.filters), (*self.singles, *self.flags, *self.objects))
        rows = self.rows(asked)
        for name, narrow in self.objects.items():
            if some := asked.objects_in(name):
                rows = narrow(rows, some, asked)
        return self._page(asked, rows)

    def _page(self, asked: Asked, rows: Rows | None = None) -> Page:
        rows = self.rows(asked) if rows is None else rows
        for name, narrow in {**self.filters, **self.singles}.items():
            if name in asked.words:
                rows = narrow(rows, asked.words[name], asked)
        rows = self.widen(rows, asked) if self.widen else rows
        page, total = page_of(rows, asked)
        return Page(self.tell(page, asked), total)

    def _one(self, asked: Asked, dbid: str) -> Told:
        read_query(asked, self.flags)
        return self._told(self.found(asked, dbid), asked)

    def _put_one(self, asked: Asked, dbid: str) -> Told:
        if self.put_one is None:
            raise TypeError(f"{self.path} has no put_one")
        return self._told(self.put_one(asked, dbid), asked)

    def _told(self, row: Any, asked: Asked) -> Told:
        return self.tell_one(row, asked) if self.tell_one else self.tell([row], asked)[0]

    def _writing(self, write: Callable[[Asked], Rows] | None) -> Callable[[Asked], Page] | None:
        if write is None:
            return None

        def answer(asked: Asked) -> Page:
            rows = list(write(asked))
            return Page(self.tell(rows, asked), len(rows))

        return answer
