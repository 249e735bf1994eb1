"""A whole filtered list as a file: what `/api/v1/LIST/export` streams, made while nobody waits for it."""

import shutil
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from api.jobs.kinds import JobKind, Made, Progress, Task
from api.scopes import resource_of
from api.unusable import Unusable
from api.v1.columns import Column
from api.v1.exporting import FORMS, LINES, WHOLE_FILES, file_name, rows_of
from api.v1.listing import columns_of, filtered_by
from api.v1.shelves import BY_NAME, Rows
from inventory.importing.words import UnknownWord
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed

_STEP = 1000  # rows


@dataclass(frozen=True)
class ExportWords:
    """A list and how it is wanted.

    Attributes:
        filters: as in the list's own address, one in each text: "lot__in=24-0001-5,24-0002-8".
    """

    list: str
    format: str = "csv"
    fields: str = ""
    filters: tuple[str, ...] = field(default_factory=tuple)


class UnreadFilter(Mistake):
    """A filter that is no name with its value."""

    code = "filter_unread"

    def __init__(self, typed: str) -> None:
        super().__init__(f"{typed[:60]!r} is no filter. Write it as in an address: lot=24-0001-5.", field="filters")


def _found(task: Task) -> tuple[Rows, tuple[Column, ...]]:
    words: ExportWords = task.words
    shelf = BY_NAME.get(words.list)
    if shelf is None:
        raise Unusable(UnknownWord("list", words.list, list(BY_NAME), field="list"))
    if words.format not in FORMS:
        raise Unusable(UnknownWord("format", words.format, list(FORMS), field="format"))
    given = _given(words.filters)
    unknown = [name for name in given if name not in shelf.filters.base_filters]
    if unknown:
        known = list(shelf.filters.base_filters)
        raise Unusable(*(UnknownWord("filter of this list", name, known, field="filters") for name in unknown))
    return filtered_by(shelf, given, task.station, task.person), columns_of(shelf, words.fields)


def _given(filters: tuple[str, ...]) -> Mapping[str, list[str]]:
    given: dict[str, list[str]] = {}
    for typed in filters:
        name, equals, value = typed.partition("=")
        if not equals:
            raise Unusable(UnreadFilter(typed))
        given.setdefault(name.strip(), []).append(value)
    return given


def _check(task: Task) -> None:
    _found(task)


def _do(task: Task, progress: Progress) -> Made:
    found, columns = _found(task)
    words: ExportWords = task.words
    count = found.count()
    rows = _counted(rows_of(found, columns), count, progress)
    _write(task.file, words, columns, rows)
    media_type = FORMS[words.format].partition(";")[0]
    return Made(f"{count:,} {words.list}.", file_name(BY_NAME[words.list], words.format), media_type)


def _write(file: Path, words: ExportWords, columns: Sequence[Column], rows: Iterator[Any]) -> None:
    if words.format in WHOLE_FILES:
        with file.open("wb") as out:
            shutil.copyfileobj(WHOLE_FILES[words.format](BY_NAME[words.list], columns, rows), out)
        return
    lines = LINES[words.format](columns, rows)
    with file.open("w", encoding="utf-8", newline="") as out:
        out.writelines(lines)


def _counted(rows: Iterator[Any], count: int, progress: Progress) -> Iterator[Any]:
    for number, row in enumerate(rows):
        if number % _STEP == 0:
            progress(number, count)
        yield row


EXPORT = JobKind(
    "export", f"A whole list as a file: {listed(list(FORMS))}", ExportWords, _do, _check,
    reads=lambda words: resource_of(f"/api/v1/{words.list}"),
)  # fmt: skip
