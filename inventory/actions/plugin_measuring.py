"""Measure a lot by a plugin's method: the plugin reckons, the books keep what was typed and what it came to."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db import OperationalError

from hilum.plugins import Measurement, MeasurementField, MeasurementKind, WorkedOut
from hilum.plugins.facts import MeasuredValue
from hilum.plugins.host import the_host
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_lots
from inventory.actions.measuring import plan_measure
from inventory.actions.origin import plan_each
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader, TooLong, sure
from inventory.models import Measured, Operation, Station
from inventory.rules.dates import read_date
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Level, Mistake, Refused
from inventory.rules.plugin_mistakes import FoundByPlugin, PluginFailed, PluginOff
from inventory.rules.reading import typed_text

LONGEST_TEXT = 400


@dataclass(frozen=True, kw_only=True)
class ByMethod:
    """One measurement as it was typed: the lot, and the values by the names of the kind's fields."""

    lot: Typed
    values: Mapping[str, Any]
    at: Typed = None


@dataclass(frozen=True)
class _Read:
    """A measurement as it was understood."""

    values: dict[str, MeasuredValue]
    worked_out: WorkedOut


@action("measure")
def measure_by(
    name: str, measured: Sequence[ByMethod], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter measurements by the method of that name; all or none.

    Raises:
        Refused: a value cannot be read, the plugin asks or says that something is wrong, or it fails.
    """
    plugin, kind = _kind(name, station)
    desk = Desk(station, now)
    expect_lots(desk, [each.lot for each in measured if each.lot not in (None, "")])
    read: list[_Read] = []

    def plan(asked: ByMethod) -> Draft:
        reader = Reader(desk, answers)
        at, known = reader.when(asked.at), reader.lot(asked.lot)
        reader.note_typed(**asked.values)
        found = _read(reader, plugin, kind, asked.values)
        facts = reader.finish()
        one = sure(found)
        row = Measured(
            station=station, lot=sure(known).lot, plugin=plugin, kind=name, typed=_kept(one.values),
            results=[[each.name, f"{each.value:f}", each.unit] for each in one.worked_out.results],
        )  # fmt: skip
        read.append(one)
        return plan_measure(reader, [row], by=by, at=at, key=key, reason=reason, facts=facts)

    drafts = plan_each(measured, plan)
    operations = post_all(drafts)
    for operation, draft, one in zip(operations, drafts, read, strict=True):
        _let_keep(plugin, kind, operation, draft, one)
    return Booked(tuple(operations))


def _kind(name: str, station: Station) -> tuple[str, MeasurementKind]:
    plugin, kind = the_host().measurement_kinds()[name]
    if not the_host().is_on(plugin, station.code):
        raise Refused([PluginOff(plugin, station.code)])
    return plugin, kind


def _read(reader: Reader, plugin: str, kind: MeasurementKind, typed: Mapping[str, Any]) -> _Read | None:
    """Read the values and let the plugin reckon; None where something could not be read, which is gathered."""
    values, mistakes = read_values(kind.fields, typed)
    reader.add(*mistakes)
    if mistakes:
        return None
    worked_out = work_out(plugin, kind, values)
    for found in map(FoundByPlugin, worked_out.findings):
        if found.level is Level.NOTE:
            reader.notes.append(found)  # type: ignore[arg-type]  # it is one by its level
        else:
            reader.add(found)
    return _Read(values, worked_out)


def read_values(
    fields: Sequence[MeasurementField], typed: Mapping[str, Any]
) -> tuple[dict[str, MeasuredValue], list[Mistake]]:
    """Read the typed words of a plugin's fields, with everything that is wrong with them."""
    words = Gathering()
    read = {field.name: _value(words, field, typed.get(field.name)) for field in fields}
    return {name: value for name, value in read.items() if value not in (None, "", ())}, words.mistakes


def work_out(plugin: str, kind: MeasurementKind, values: Mapping[str, MeasuredValue]) -> WorkedOut:
    """Let a plugin reckon.

    Raises:
        Refused: it failed, or answered with something else.
    """
    try:
        answer = kind.work_out(values)
    except Exception as error:
        raise Refused([_failed(plugin, error)]) from error
    if not isinstance(answer, WorkedOut):
        raise Refused([_failed(plugin, TypeError(f"a {type(answer).__name__} where a WorkedOut is promised"))])
    return answer


def _failed(plugin: str, error: Exception) -> PluginFailed:
    return PluginFailed(
        f"The plugin {plugin} failed ({type(error).__name__}: {error}). Nothing was written. Tell whoever brought it."
    )


def _value(words: Gathering, field: MeasurementField, typed: Any) -> MeasuredValue | None:
    if not field.several:
        return _one(words, field, typed, field.name)
    given = list(typed) if isinstance(typed, list | tuple) else [] if typed in (None, "") else [typed]
    if not given and field.required:
        return _one(words, field, None, field.name)
    read = [_one(words, field, each, f"{field.name}.{place}") for place, each in enumerate(given, 1)]
    return tuple(each for each in read if each is not None)  # type: ignore[return-value]  # all of one field's kind


def _one(words: Gathering, field: MeasurementField, typed: Any, name: str) -> str | Decimal | None:
    if field.reads == "number":
        return words.number(
            typed, name, unit=field.unit, least=field.least, most=field.most, example=field.example or "12.5",
            needed=field.required,
        )  # fmt: skip
    if field.choices:
        return words.word(typed, name, field.choices, field.choices[0])
    text = typed_text(typed).strip()
    if field.reads == "date" and text:
        day = words.attempt(lambda: read_date(text, field=name))
        return day.value.isoformat() if day else None
    if len(text) > LONGEST_TEXT:
        words.add(TooLong(name, len(text), LONGEST_TEXT))
    if not text and field.required:
        words.add(Mistake(f"{field.words.capitalize()} is missing. Give it, for example {field.example}.", field=name))
    return text


def _kept(values: Mapping[str, MeasuredValue]) -> dict[str, Any]:
    """Write values as exact texts."""
    return {name: _text(value) for name, value in values.items()}


def _text(value: MeasuredValue) -> str | list[str]:
    if isinstance(value, tuple):
        return [f"{each:f}" if isinstance(each, Decimal) else each for each in value]
    return f"{value:f}" if isinstance(value, Decimal) else value


def _let_keep(plugin: str, kind: MeasurementKind, operation: Operation, draft: Draft, read: _Read) -> None:
    """Let a plugin write rows of its own beside the act; if it fails, nothing is written."""
    if kind.keep is None:
        return
    [row] = draft.rows
    lot = row.lot  # type: ignore[attr-defined]
    kept = Measurement(
        kind.name, lot.number, operation.at.astimezone(UTC).isoformat(), operation.by.get_username(),
        str(operation.uid), read.values, read.worked_out.results,
        {"station": operation.station_id, "operation": operation.pk, "lot": lot.pk},
    )  # fmt: skip
    try:
        kind.keep(kept)
    except OperationalError:
        raise  # a collision, which is tried again
    except Exception as error:
        raise Refused([_failed(plugin, error)]) from error
