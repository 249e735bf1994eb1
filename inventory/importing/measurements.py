"""Plugins' ways to measure a lot as every door offers them: an act by its verb, and a kind of sheet."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, fields, make_dataclass
from functools import lru_cache
from typing import Any

from django.contrib.auth.models import User

from hilum.plugins import MeasurementField, MeasurementKind, SheetColumn, SheetFinding, SheetKind, SheetRow
from hilum.plugins.host import the_host
from inventory.actions.acting import Booked
from inventory.actions.plugin_measuring import ByMethod, measure_by, read_values, work_out
from inventory.models import Station
from inventory.rules.mistakes import Refused

MOST_KINDS = 200


def verb_of(kind: MeasurementKind) -> str:
    """Give the verb of a kind: "soaking_test" -> "soaking test"."""
    return kind.name.replace("_", " ")


@lru_cache(MOST_KINDS)
def words_of_kind(kind: MeasurementKind) -> type[Any]:
    """Make the dataclass of a kind's typed words: the lot, its fields, when."""
    return words_of_fields(kind.name, kind.title, kind.fields, before=[("lot", Any)], after=[("at", Any, None)])


def words_of_fields(
    name: str, tells: str, asked: Sequence[MeasurementField], *, before: Sequence[Any] = (), after: Sequence[Any] = ()
) -> type[Any]:
    """Make the dataclass of the typed words of a plugin's fields, those that are needed first."""
    return make_dataclass(
        "".join(part.capitalize() for part in name.split("_")),
        [*before, *map(_field, sorted(asked, key=lambda one: not one.required)), *after],
        frozen=True,
        kw_only=True,
        namespace={"__doc__": tells, "__module__": __name__},
    )


def _field(asked: MeasurementField) -> tuple[str, Any, Any]:
    shape: Any = Sequence[Any] if asked.several else Any
    looks = {"looks": " ".join(filter(None, (asked.words, _shape(asked)))), "called": asked.words}
    return (asked.name, shape, field(metadata=looks) if _is_needed(asked) else _empty(asked, looks))


def _is_needed(asked: MeasurementField) -> bool:
    return asked.required and not asked.choices


def _empty(asked: MeasurementField, looks: Mapping[str, str]) -> Any:
    return field(default=(), metadata=looks) if asked.several else field(default=None, metadata=looks)


def _shape(asked: MeasurementField) -> str:
    if asked.choices:
        return f"({' or '.join(asked.choices)})"
    unit = f"[{asked.unit}]" if asked.unit else ""
    return " ".join(filter(None, (unit, f"such as {asked.example}" if asked.example else "")))


def book_measurement(kind: MeasurementKind, words: Any, **asked: Any) -> Booked:
    """Do the act of a kind from its typed words."""
    values = {name: value for name, value in given(words).items() if name not in ("lot", "at")}
    return measure_by(kind.name, [ByMethod(lot=words.lot, values=values, at=words.at)], **asked)


def given(words: Any) -> dict[str, Any]:
    """Give what was typed of the fields of a dataclass of words, replicates as lists."""
    values = {one.name: getattr(words, one.name) for one in fields(words)}
    typed = {name: list(value) if isinstance(value, tuple) else value for name, value in values.items()}
    return {name: value for name, value in typed.items() if value not in (None, "", [])}


def sheet_kinds_of_measurements(station: str = "") -> Iterator[SheetKind]:
    """Make a kind of sheet of every way to measure: one row, one measurement."""
    for plugin, kind in the_host().measurement_kinds(station).values():
        yield _Sheet(plugin, kind).kind


def _column(asked: MeasurementField) -> SheetColumn:
    headings = (f"{asked.words} ({asked.unit})" if asked.unit else asked.words, asked.words, asked.name)
    reads = "text" if asked.several or asked.choices else asked.reads
    return SheetColumn(asked.name, tuple(dict.fromkeys(headings)), reads, asked.required, _shape(asked))


class _Sheet:
    """A measurement's sheet: rows are checked as the act would, and booked by it."""

    def __init__(self, plugin: str, kind: MeasurementKind) -> None:
        self._plugin, self._kind = plugin, kind
        columns = (
            SheetColumn("lot", ("Lot", "Lot number"), "code", required=True),
            SheetColumn("at", ("Date", "Day"), "date"),
            *(_column(one) for one in kind.fields),
        )
        self.kind = SheetKind(kind.name, kind.title, columns, self._check, self._save)

    def _check(self, rows: Sequence[SheetRow], _station: str) -> Sequence[SheetFinding]:
        return [found for row in rows for found in self._found(row)]

    def _found(self, row: SheetRow) -> Iterator[SheetFinding]:
        values, mistakes = read_values(self._kind.fields, self._typed(row))
        try:
            findings = () if mistakes else work_out(self._plugin, self._kind, values).findings
        except Refused as refused:
            findings, mistakes = (), list(refused.mistakes)
        for found in findings:
            yield SheetFinding(row.number, self._at(found.field), found.level, found.says)
        for mistake in mistakes:
            yield SheetFinding(row.number, self._at(mistake.field), "error", mistake.says)

    def _save(self, rows: Sequence[SheetRow], station: str, user: str) -> Sequence[str]:
        measured = [
            ByMethod(lot=row.values["lot"], values=self._typed(row), at=row.values.get("at")) for row in rows
        ]  # fmt: skip
        booked = measure_by(
            self._kind.name, measured, station=Station.objects.get(code=station), by=User.objects.get(username=user),
            answers=self._answered(rows),
        )  # fmt: skip
        return [str(operation.uid) for operation in booked.operations]

    def _answered(self, rows: Sequence[SheetRow]) -> dict[str, str]:
        """Answer what was asked of these rows: it was answered in the sheet, which keeps the answer."""
        values = [read_values(self._kind.fields, self._typed(row))[0] for row in rows]
        asked = {found.code for one in values for found in work_out(self._plugin, self._kind, one).findings}
        return dict.fromkeys(asked, "answered in the sheet")

    def _typed(self, row: SheetRow) -> dict[str, Any]:
        """Give the values of a row; replicates stand in one cell with semicolons between."""
        typed: dict[str, Any] = {}
        for one in self._kind.fields:
            text = row.values.get(one.name, "")
            typed[one.name] = [part.strip() for part in text.split(";") if part.strip()] if one.several else text
        return {name: value for name, value in typed.items() if value}

    def _at(self, field_name: str) -> str:
        name = field_name.partition(".")[0]
        return name if name in {column.name for column in self.kind.columns} else ""
