"""Any list page by page, and one thing of it."""

from collections.abc import Mapping, Sequence
from functools import reduce
from operator import or_
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Model, Q, QuerySet
from django.http import HttpResponse
from django_filters import FilterSet
from rest_framework.request import Request
from rest_framework.views import APIView

from api.problems import NotThere, Unusable
from api.v1.asked import ParameterUnread, asked, person_of, station_for
from api.v1.columns import Column, Kind, comparisons_of, wanted_of, written, written_all
from api.v1.conditions import unless_known
from api.v1.cursors import Cursor, read_cursor, write_cursor
from api.v1.ordering import Ordering, read_ordering
from api.v1.shelves import SHELVES, Rows, Shelf
from inventory.importing.words import UnknownWord
from inventory.models import Station
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted, uid_in

MOST, USUAL = 1000, 100
PAGING = ("limit", "cursor", "fields", "include", "ordering")
MOST_COUNTED = 10_000
_LONGEST_LIMIT = 9  # digits
LONGEST_SEARCH = 200


class StandsTwice(Mistake):
    """A parameter of which only one would be read."""

    code = "stands_twice"

    def __init__(self, name: str) -> None:
        several = "" if "__" in name or name in (*PAGING, "q", "format") else f"; {name}__in takes several with commas"
        super().__init__(f"{name} stands twice. Keep one{several}.", field=name)


class FormElsewhere(Mistake):
    """A list in another form than JSON: it stands at an address of its own."""

    code = "form_elsewhere"

    def __init__(self, shelf: Shelf) -> None:
        says = (
            f"This address answers page by page as JSON. Ask /api/v1/{shelf.name}/export?format=csv, or ndjson or xlsx"
        )
        super().__init__(f"{says}, with the same filters.", field="format")


class NothingNamed(Mistake):
    """A thing that is not in the books of the station."""

    code = "not_there"

    def __init__(self, shelf: Shelf, name: str) -> None:
        says = f"No {shelf.one} {quoted(name[:60])} is in the books here."
        super().__init__(f"{says} /api/v1/{shelf.name} lists those that are.")


class Things(APIView):
    """A list."""

    shelf: Shelf = SHELVES[0]  # each address names its own

    def get(self, request: Request) -> HttpResponse:
        """Answer one page and the addresses of those beside it."""
        if "format" in request.query_params:
            raise Unusable(FormElsewhere(self.shelf))
        words = asked(request, *PAGING, *narrowing(self.shelf))
        columns, limit = columns_of(self.shelf, words["fields"]), _limit(words["limit"])
        ordering = read_ordering(self.shelf, request)
        cursor = read_cursor(words["cursor"], ordering.name if ordering else "")
        found = filtered(self.shelf, request)
        count = _counted(found, words["include"])
        rows, has_more = _page(found, columns, ordering, cursor, limit)
        is_back = cursor is not None and cursor.is_back
        width = len(columns)
        body = {
            "results": rows_as_json(columns, [row[-width:] for row in rows]),
            "next": self._address(request, ordering, rows[-1:], is_there=has_more or is_back),
            "previous": self._address(
                request, ordering, rows[:1], is_there=has_more if is_back else cursor is not None, is_back=True
            ),
        }
        return unless_known(request, {**body, **count})

    def _address(
        self, request: Request, ordering: Ordering | None, rows: Sequence[Sequence[Any]], *, is_there: bool,
        is_back: bool = False,
    ) -> str | None:  # fmt: skip
        if not is_there or not rows:
            return None
        words, (key, beside, *_) = request.query_params.copy(), rows[0]
        cursor = ordering.cursor(key, beside, is_back=is_back) if ordering else Cursor(key, is_back=is_back)
        words["cursor"] = write_cursor(cursor)
        return f"{request.build_absolute_uri(request.path)}?{words.urlencode()}"


class OneThing(APIView):
    """One of a list."""

    shelf: Shelf = SHELVES[0]  # each address names its own

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer it, or only that it is as it was when If-None-Match names its ETag."""
        columns = columns_of(self.shelf, asked(request, "fields")["fields"])
        rows = self.shelf.rows(station_for(request), person_of(request))
        row = self._named(rows, name).values_list(*(column.path for column in columns)).first()
        if row is None:
            raise NotThere(NothingNamed(self.shelf, name))
        return unless_known(request, {**as_json(columns, row), **self.more(request, name)})

    def more(self, request: Request, name: str) -> Mapping[str, Any]:  # noqa: ARG002 - a list of which one says more
        """Give what one says more than its row."""
        return {}

    def _named(self, rows: Rows, name: str) -> Rows:
        uid, ids = uid_in(name), [one for one in self.shelf.columns if one.name == "id" and one.kind is Kind.UID]
        if uid and ids:
            return rows.filter(**{ids[0].path: uid})
        column = self.shelf.column(self.shelf.named_by)
        filters = filters_for(self.shelf, {column.name: name}, rows)
        return filters.qs.order_by("pk") if name and filters.is_valid() else rows.none()


def row_with_uid(request: Request, shelf: Shelf, name: str, *joined: str) -> Any:
    """Give the row of a list that an id names.

    Args:
        joined: what is read of it in the same query.

    Raises:
        NotThere: it names none of the station's.
    """
    uid = uid_in(name)
    rows = shelf.rows(station_for(request), person_of(request)).select_related(*joined)
    row = rows.filter(uid=uid).first() if uid else None
    if row is None:
        raise NotThere(NothingNamed(shelf, name))
    return row


def row_as_json(request: Request, shelf: Shelf, row: Model) -> dict[str, Any]:
    """Write a row as its list has it now (1 query).

    Raises:
        NotThere: it is gone, or whoever asks may not see it.
    """
    rows = shelf.rows(station_for(request), person_of(request)).filter(pk=row.pk)
    found = rows.values_list(*(column.path for column in shelf.columns)).first()
    if found is None:
        raise NotThere(NothingNamed(shelf, str(getattr(row, "uid", row.pk))))
    return as_json(shelf.columns, found)


def narrowing(shelf: Shelf) -> list[str]:
    """Name the parameters that leave fewer rows of a list."""
    return [*(["q"] if shelf.searched else []), *shelf.filters.base_filters]


def filtered(shelf: Shelf, request: Request) -> Rows:
    """Give the rows that the address asks for.

    Raises:
        Unusable: a filter that cannot be read, each by its name.
    """
    given = {name: request.query_params.getlist(name) for name in request.query_params}
    return filtered_by(shelf, given, station_for(request), person_of(request))


def filtered_by(shelf: Shelf, given: Mapping[str, Sequence[str]], station: Station, person: User) -> Rows:
    """Give the rows that filters leave of what an account may see; other parameters are passed over.

    Raises:
        Unusable: a filter that cannot be read, each by its name.
    """
    twice = [StandsTwice(name) for name, values in given.items() if len(values) > 1]
    words = {name: values[-1] for name, values in given.items() if name in shelf.filters.base_filters}
    rows = shelf.rows(station, person)
    if not words and not twice:
        return _searched(shelf, rows, given["q"][0]) if "q" in given else rows
    filters = filters_for(shelf, words, rows)
    unread = {name for name, typed in words.items() if not typed} | set(filters.form.errors)
    if twice or unread:
        raise Unusable(*twice, *_unread(shelf, {name: words[name] for name in words if name in unread}))
    found: Rows = filters.qs
    return _searched(shelf, found, given["q"][0]) if "q" in given else found


def filters_for(shelf: Shelf, words: Mapping[str, str], rows: Rows) -> FilterSet:
    """Make a filter of those parameters alone that stand in an address: a list has thirty, and each takes its time."""
    only = {name: shelf.filters.base_filters[name] for name in words}
    return type("Filters", (FilterSet,), only)(words, queryset=rows)


def _unread(shelf: Shelf, words: Mapping[str, str]) -> list[Mistake]:
    known = {parameter: wanted_of(column, one) for column in shelf.columns for parameter, one in comparisons_of(column)}
    return [ParameterUnread(name, typed.replace("\0", "?"), known[name]) for name, typed in words.items()]


def _searched(shelf: Shelf, rows: Rows, typed: str) -> Rows:
    """Leave the rows that hold every word of a search in one of their searched columns."""
    if not typed.strip() or "\0" in typed or len(typed) > LONGEST_SEARCH:
        shown = typed.replace("\0", "?")
        raise Unusable(ParameterUnread("q", shown, f"words to look for, at most {LONGEST_SEARCH} characters"))
    paths = [shelf.column(name).path for name in shelf.searched]
    for word in typed.split():
        rows = rows.filter(reduce(or_, (Q(**{f"{path}__icontains": word}) for path in paths)))
    return rows


def _counted(found: Rows, include: str) -> dict[str, Any]:
    """Count the rows where that is asked for: as far as is quick, and whether there are more (1 query)."""
    if not include:
        return {}
    if include != "count":
        raise Unusable(ParameterUnread("include", include.replace("\0", "?"), "count, or leave it out"))
    count = found.order_by()[: MOST_COUNTED + 1].count()
    return {"count": min(count, MOST_COUNTED), "count_is_all": count <= MOST_COUNTED}


def columns_of(shelf: Shelf, typed: str) -> tuple[Column, ...]:
    """Read which columns are wanted; all where none are named.

    Raises:
        Unusable: one that the list has not.
    """
    if not typed:
        return shelf.columns
    known = {column.name: column for column in shelf.columns}
    names = list(dict.fromkeys(name.strip() for name in typed.split(",")))
    unknown = [name for name in names if name not in known]
    if unknown:
        raise Unusable(*(UnknownWord("field of this list", name, list(known), field="fields") for name in unknown[:20]))
    return tuple(known[name] for name in names)


def as_json(columns: Sequence[Column], row: Sequence[Any]) -> dict[str, Any]:
    """Write one row."""
    return {column.name: written(column.kind, value) for column, value in zip(columns, row, strict=True)}


def rows_as_json(columns: Sequence[Column], rows: Sequence[Sequence[Any]]) -> list[dict[str, Any]]:
    """Write many rows, column by column: most need no writing, and to ask each value anew would cost the most here."""
    if not rows:
        return []
    names = [column.name for column in columns]
    by_column = zip(columns, zip(*rows, strict=True), strict=True)
    cells = (written_all(column.kind, values) for column, values in by_column)
    return [dict(zip(names, row, strict=True)) for row in zip(*cells, strict=True)]


def _page(
    found: "QuerySet[Any]", columns: Sequence[Column], ordering: Ordering | None, cursor: Cursor | None, limit: int
) -> tuple[list[Any], bool]:
    """Read one page, each row after its key and what orders it, and whether more lies that way (1 query)."""
    is_back = cursor is not None and cursor.is_back
    if ordering is not None:
        found = ordering.sorted(ordering.beyond(found, cursor) if cursor else found, is_back=is_back)
    else:
        if cursor is not None:
            found = found.filter(pk__gt=cursor.key) if is_back else found.filter(pk__lt=cursor.key)
        found = found.order_by("pk" if is_back else "-pk")
    heads = ("pk", ordering.column.path) if ordering else ("pk",)
    rows = list(found.values_list(*heads, *(column.path for column in columns))[: limit + 1])
    page = rows[:limit]
    return page[::-1] if is_back else page, len(rows) > limit


def _limit(typed: str) -> int:
    if not typed:
        return USUAL
    if not typed.isascii() or not typed.isdigit() or len(typed) > _LONGEST_LIMIT or not 1 <= int(typed) <= MOST:
        raise Unusable(ParameterUnread("limit", typed.replace("\0", "?"), f"1 to {MOST:,}"))
    return int(typed)
