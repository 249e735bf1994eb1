"""Units and observations that are sent: plots, samples and field notes; a value that is changed is noted anew."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any
from uuid import UUID

from django.db import transaction

from api.brapi.asked import Asked, uuids
from api.brapi.envelope import Rows
from api.brapi.errors import BadRequest, NoSuch
from api.brapi.germplasm import tell_unkept
from api.brapi.observations import observed, tell_observations
from api.brapi.outside import Names, keep_names, names_sent, text_sent
from api.brapi.seedlots import lot_by_uid
from api.brapi.studies import studies_of
from api.brapi.told import without_empty
from api.brapi.units import PLOT, SAMPLE, plots_and_samples, tell_units, unit_id
from api.brapi.writing import answers_in, booked_once, told_beside, too_many, when_sent
from grading.actions.noting import SampleNoting, note_samples
from grading.actions.sampling import Sampled, take_sample
from grading.models import Sample
from inventory.actions.acting import Booked
from inventory.actions.noting import Amending, Noting, amend_notes, note_all
from inventory.actions.plots import NewPlot, add_plots
from inventory.models import FieldNote, Line, Operation, Plot, Site

Sent = Mapping[str, Any]
_OF_UNITS = (
    "observationUnitName", "germplasmDbId", "germplasmName", "seedLotDbId", "studyDbId", "observationUnitPosition",
    "externalReferences", "additionalInfo", "observationUnitDbId",
)  # fmt: skip
_OF_NOTES = (
    "observationDbId", "observationUnitDbId", "observationVariableDbId", "observationTimeStamp", "collector", "value",
    "externalReferences", "additionalInfo",
)  # fmt: skip


@dataclass(frozen=True)
class NewUnit:
    """A plot or a sample that is to be entered, and what its sender calls it."""

    words: NewPlot | Sampled
    names: Names


def post_units(asked: Asked) -> Rows:
    """Enter plots and samples, all or none."""
    sent = asked.body_objects()
    too_many(len(sent))
    for one in sent:
        tell_unkept(asked, one, _OF_UNITS)
    units = [_new_unit(one, asked) for one in sent]

    def acts(key: str) -> Booked:
        operations: list[Operation] = []
        for unit in units:
            operations += _enter(unit, asked, key, answers_in(sent))
        return Booked(tuple(operations))

    booked = booked_once(asked, acts, sent)
    return _units_in_order(units, booked, asked)


def _enter(unit: NewUnit, asked: Asked, key: str, answers: Mapping[str, str]) -> tuple[Operation, ...]:
    if isinstance(unit.words, Sampled):
        drawn = take_sample(unit.words, station=asked.station, by=asked.person, key=key, answers=answers).operations
        sample = Sample.objects.get(operation__in=[one.pk for one in drawn])
        keep_names(asked.station, sample.operation.uid, unit.names)
        return drawn
    entered = add_plots([unit.words], station=asked.station, by=asked.person, key=key, answers=answers).operations
    keep_names(asked.station, Plot.objects.get(station=asked.station, code=unit.words.code).uid, unit.names)
    return entered


def _units_in_order(units: Sequence[NewUnit], booked: Booked, asked: Asked) -> list[Any]:
    both = plots_and_samples(asked)
    plots = {plot.code: plot for plot in both.first.filter(
        code__in=[unit.words.code for unit in units if isinstance(unit.words, NewPlot)])}  # fmt: skip
    samples = iter(both.last.filter(operation__in=[one.pk for one in booked.operations]).order_by("pk"))  # type: ignore[union-attr]
    return [plots[unit.words.code] if isinstance(unit.words, NewPlot) else next(samples) for unit in units]


def _new_unit(sent: Sent, asked: Asked) -> NewUnit:
    position = _object(sent, "observationUnitPosition")
    level = text_sent(_object(position, "observationLevel"), "levelName").casefold()
    name, told = text_sent(sent, "observationUnitName"), told_beside(sent)
    if level not in (PLOT, SAMPLE):
        raise BadRequest(
            f"{name[:60] or 'A unit'} is of level {level[:40]!r}. Send plot or sample as levelName of observationLevel."
        )
    names = names_sent(sent)
    if level == SAMPLE:
        return NewUnit(_new_sample(sent, name, told, asked), names)
    return NewUnit(_new_plot(sent, name, told, position, asked), names)


def _new_sample(sent: Sent, name: str, told: Mapping[str, str], asked: Asked) -> Sampled:
    dbid = text_sent(sent, "seedLotDbId")
    lot = lot_by_uid(asked, [dbid]).get(dbid.casefold())
    if lot is None:
        raise BadRequest(
            f"{name[:60] or 'The sample'} is of seedLotDbId {dbid[:60]!r}, which is no lot here. Give one."
        )
    return Sampled(
        number=name or None, lot=lot.number, mass=told.get("drawn") or None, scheme=told.get("scheme", ""),
        points=told.get("points") or None, at=told.get("drawnAt") or None,
    )  # fmt: skip


def _new_plot(sent: Sent, name: str, told: Mapping[str, str], position: Sent, asked: Asked) -> NewPlot:
    if not name:
        raise BadRequest("observationUnitName is missing. Give the code of the plot.")
    site, season, trial = _study(sent, asked)
    return NewPlot(
        code=name, line=_line(sent, name, asked), site=site, season=season, trial=trial,
        rep=_whole(position, "positionCoordinateY"), position=_whole(position, "positionCoordinateX"),
        is_block=not trial and told.get("block") == "true", area=told.get("areaM2") or None,
        sown_on=told.get("sownOn") or None,
    )  # fmt: skip


def _line(sent: Sent, name: str, asked: Asked) -> str:
    dbid = text_sent(sent, "germplasmDbId")
    if not dbid:
        return text_sent(sent, "germplasmName")
    line = Line.objects.filter(station=asked.station, uid__in=uuids([dbid])).first()
    if line is None:
        raise BadRequest(
            f"{name[:60]} is of germplasmDbId {dbid[:60]!r}, which is no line here. Give one of germplasm."
        )
    return line.name


def _study(sent: Sent, asked: Asked) -> tuple[str, int | None, str]:
    """Read site, season and trial from a study that is here; without one the plot's code may say them."""
    dbid = text_sent(sent, "studyDbId")
    if not dbid:
        return "", None, ""
    study = next((one for one in studies_of(asked.station) if one["studyDbId"] == dbid and "_key" in one), None)
    if study is None:
        raise BadRequest(
            f"studyDbId {dbid[:60]!r} is no study of plots here. Leave it out, or give one of GET studies."
        )
    trial, site, season = study["_key"]
    return Site.objects.get(pk=site).code, season, trial


def _object(sent: Sent, name: str) -> Sent:
    value = sent.get(name)
    if value is None:
        return {}
    if not isinstance(value, Mapping):
        raise BadRequest(f"{name} is an object. Send it so.")
    return value


def _whole(position: Sent, name: str) -> int | None:
    text = text_sent(position, name)
    if not text:
        return None
    if not text.isascii() or not text.isdigit() or len(text) > 4:
        raise BadRequest(f"{name} reads {text[:40]!r}. Give the number of the row or column, such as 3.")
    return int(text)


def put_units(asked: Asked) -> Rows:
    """Keep other names for units, by a map of DbId and object; all or none."""
    return _renamed(asked, asked.body_map())


def put_unit(asked: Asked, dbid: str) -> Any:
    """Keep other names for one unit."""
    return _renamed(asked, {dbid: asked.body_object()})[0]


def _renamed(asked: Asked, sent: Mapping[str, Sent]) -> list[Any]:
    """Keep what is sent of units beside what they are: a plot's line, place and season stand in its own act."""
    found = plots_and_samples(asked)
    units: dict[str, Any] = {str(plot.uid): plot for plot in found.first.filter(uid__in=uuids(sent))}
    for sample in found.last.filter(operation__uid__in=uuids(sent)):  # type: ignore[union-attr]
        units[str(sample.operation.uid)] = sample
    told = {row["observationUnitDbId"]: row for row in tell_units(list(units.values()), asked)}
    names: dict[str, Names] = {}
    for dbid, one in sent.items():
        if dbid.casefold() not in units:
            raise NoSuch("observation unit", dbid)
        kept = ("observationUnitName", "externalReferences", "observationUnitDbId")
        tell_unkept(asked, one, kept, without_empty(told[dbid.casefold()]))
        names[dbid] = names_sent(one, "observationUnitName")
        unit = units[dbid.casefold()]
        if names[dbid].name == (unit.code if isinstance(unit, Plot) else unit.number):
            names[dbid].name = ""
    with transaction.atomic():
        for dbid, some in names.items():
            keep_names(asked.station, UUID(unit_id(units[dbid.casefold()])), some, instead=True)
    return [units[dbid.casefold()] for dbid in sent]


def post_observations(asked: Asked) -> Rows:
    """Write notes of plots and samples down, all or none."""
    sent = asked.body_objects()
    too_many(len(sent))
    for one in sent:
        tell_unkept(asked, one, _OF_NOTES)
    units = _units(sent, asked)
    ready = [(_noting(one, units[text_sent(one, "observationUnitDbId").casefold()]), names_sent(one)) for one in sent]

    def acts(key: str) -> Booked:
        common = {"station": asked.station, "by": asked.person, "key": key, "answers": answers_in(sent)}
        operations: list[Operation] = []
        for is_sample, some in groupby(
            (words for words, _names in ready), lambda words: isinstance(words, SampleNoting)
        ):
            write: Any = note_samples if is_sample else note_all
            operations += write(list(some), **common).operations
        uids = _uids_of(operations)
        for act, (_words, names) in zip(operations, ready, strict=True):
            keep_names(asked.station, uids[act.pk], names)
        return Booked(tuple(operations))

    booked = booked_once(asked, acts, sent)
    return _notes(asked, booked.operations)


def _uids_of(acts: Sequence[Operation]) -> dict[int, UUID]:
    rows = FieldNote.objects.filter(operation__in=[act.pk for act in acts])
    return dict(rows.values_list("operation_id", "uid"))


def _notes(asked: Asked, acts: Sequence[Operation]) -> list[FieldNote]:
    """Give the notes of acts as they stand now: one that was put right since is told as it is."""
    uids = _uids_of(acts)
    now = {note.uid: note for note in observed(asked).first.filter(uid__in=list(uids.values()))}
    return [now[uids[act.pk]] for act in acts if uids.get(act.pk) in now]


def _units(sent: Sequence[Sent], asked: Asked) -> dict[str, Plot | Sample]:
    dbids = [text_sent(one, "observationUnitDbId") for one in sent]
    found = plots_and_samples(asked)
    units: dict[str, Plot | Sample] = {str(plot.uid): plot for plot in found.first.filter(uid__in=uuids(dbids))}
    for sample in found.last.filter(operation__uid__in=uuids(dbids)):  # type: ignore[union-attr]
        units[str(sample.operation.uid)] = sample
    for dbid in dbids:
        if dbid.casefold() not in units:
            raise BadRequest(
                f"observationUnitDbId {dbid[:60]!r} is no unit here. Give one of GET observationunits."
                if dbid else "observationUnitDbId is missing. Say which plot or sample was looked at."
            )  # fmt: skip
    return units


def _noting(sent: Sent, unit: Plot | Sample) -> Noting | SampleNoting:
    told = told_beside(sent)
    common: dict[str, Any] = {
        "variable": text_sent(sent, "observationVariableDbId") or text_sent(sent, "observationVariableName"),
        "value": _value(sent), "moisture": told.get("moisturePercent") or None,
        "observer": text_sent(sent, "collector"), "at": when_sent(sent, "observationTimeStamp") or None,
    }  # fmt: skip
    if isinstance(unit, Plot):
        return Noting(plot=unit.code, **common)
    return SampleNoting(sample=unit.number, **common)


def _value(sent: Sent) -> str:
    value = sent.get("value")
    if isinstance(value, bool | list | Mapping):
        raise BadRequest('value is a text here, also for a number: "2.3". Send it so.')
    return text_sent(sent, "value")


def put_observations(asked: Asked) -> Rows:
    """Change observations by a map of DbId and object, all or none."""
    return _changed(asked, asked.body_map())


def put_observation(asked: Asked, dbid: str) -> Any:
    """Change one observation."""
    return _changed(asked, {dbid: asked.body_object()})[0]


def _changed(asked: Asked, sent: Mapping[str, Sent]) -> list[FieldNote]:
    """Note values anew under the same id; what is left out stays, and what does not differ is not noted again."""
    too_many(len(sent))
    notes = {str(note.uid): note for note in observed(asked).first.filter(uid__in=uuids(sent))}
    told = {row["observationDbId"]: row for row in tell_observations(list(notes.values()), asked)}
    for dbid, one in sent.items():
        if dbid.casefold() not in notes:
            raise NoSuch("observation that can be changed", dbid)
        tell_unkept(asked, one, _OF_NOTES, told[dbid.casefold()])
    amended = [words for dbid, one in sent.items() if (words := _amending(one, notes[dbid.casefold()])) is not None]

    def acts(key: str) -> Booked:
        booked = Booked(())
        if amended:
            why = next((told["reason"] for one in sent.values() if "reason" in (told := told_beside(one))), "")
            booked = amend_notes(
                amended, station=asked.station, by=asked.person, key=key, answers=answers_in(sent.values()),
                reason=why or "A program sent it with another value.",
            )  # fmt: skip
        for dbid, one in sent.items():
            keep_names(asked.station, notes[dbid.casefold()].uid, names_sent(one), instead=True)
        return booked

    booked_once(asked, acts, list(sent.values()))
    now = {str(note.uid): note for note in observed(asked).first.filter(uid__in=uuids(sent))}
    return [now[dbid.casefold()] for dbid in sent]


def _amending(sent: Sent, note: FieldNote) -> Amending | None:
    told = told_beside(sent)
    words = {
        "variable": text_sent(sent, "observationVariableDbId") or note.variable,
        "value": _value(sent) or note.value,
        "moisture": told.get("moisturePercent") or note.moisture_pct,
        "observer": text_sent(sent, "collector") or note.observer,
        "at": when_sent(sent, "observationTimeStamp") or note.operation.at.isoformat(),
    }
    before = {
        "variable": note.variable, "value": note.value, "moisture": note.moisture_pct, "observer": note.observer,
        "at": note.operation.at.isoformat(),
    }  # fmt: skip
    if words == before:
        return None
    about: dict[str, Any] = {"plot": note.plot.code} if note.plot else {"lot": note.lot.number if note.lot else None}
    return Amending(note=str(note.uid), **about, **words)
