"""Measurements that take no seed: dated acts without masses, which never stand in the way of a reversal."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Model

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import plan_each
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader, sure
from inventory.models import Moisture, Station
from inventory.rules.gathering import Gathering
from inventory.rules.moisture import moisture_mistakes
from inventory.rules.moisture_reading import (
    BASES,
    METHODS,
    TEMPERATURES,
    OvenDoesNotFit,
    WorkedOut,
    by_oven,
    to_wet_basis,
)

MOST_G, MOST_DRY_BASIS = 10_000, 300


@dataclass(frozen=True, kw_only=True)
class MoistureReading:
    """A moisture of a lot as it was typed: a reading, or the weights of seed before and after the oven [g].

    `basis` is wet where nothing is said; `temperature` is that of the seed in a meter, or of the oven.
    """

    lot: Typed
    moisture: Typed = None
    method: str = field(default="", metadata={"looks": "meter or oven"})
    basis: str = field(default="", metadata={"looks": "wet or dry; without it wet"})
    temperature: Typed = field(default=None, metadata={"looks": "degrees Celsius, such as 21.5"})
    wet_g: Typed = field(default=None, metadata={"looks": "grams before the oven, such as 12.412"})
    dry_g: Typed = field(default=None, metadata={"looks": "grams after the oven, such as 10.855"})
    dish_g: Typed = field(default=None, metadata={"looks": "grams of the dish, such as 2.004; without it 0"})
    at: Typed = None


def plan_measure(
    reader: Reader, rows: Sequence[Model], *, by: User, at: datetime, key: str = "", reason: str = "",
    facts: Mapping[str, Any] | None = None,
) -> Draft:  # fmt: skip
    """Plan a measurement on the reader's desk.

    Args:
        rows: what was measured, each row with its own `operation` to be filled in.
        facts: what the caller keeps with the act beside what was typed.

    Raises:
        Refused: all that was gathered by the reader.
    """
    kept = {**reader.finish(), **(facts or {})}
    draft = Draft(
        kind="measure", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=kept, rows=tuple(rows)
    )  # fmt: skip
    return reader.desk.plan(draft)


@dataclass(frozen=True)
class _Taken:
    """A moisture as it was understood [% wet basis]."""

    percent: Decimal | None
    method: str
    basis: str
    temperature: str


@action("moisture")
def read_moisture_of(
    readings: Sequence[MoistureReading], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter moistures of lots; unlikely ones are asked about.

    Raises:
        Refused: a lot is not known, or a reading looks like a fraction, a dry-basis number or a slip.
    """
    desk = Desk(station, now)

    def plan(asked: MoistureReading) -> Draft:
        reader = Reader(desk, answers)
        at, known = reader.when(asked.at), reader.lot(asked.lot)
        reader.note_typed(**vars(asked))
        taken = _taken(reader, asked)
        facts = reader.finish()
        row = Moisture(
            station=station, lot=sure(known).lot, wet_basis_pct=str(sure(taken.percent)), method=taken.method,
            basis=taken.basis, temperature_c=taken.temperature,
        )  # fmt: skip
        return plan_measure(reader, [row], by=by, at=at, key=key, reason=reason, facts=facts)

    return Booked(tuple(post_all(plan_each(readings, plan))))


def _taken(reader: Reader, asked: MoistureReading) -> _Taken:
    """Read a moisture by its reading or its oven weights; what is wrong is gathered."""
    words = Gathering()
    by_weight = any(each not in (None, "") for each in (asked.wet_g, asked.dry_g, asked.dish_g))
    method = (
        words.word(asked.method, "method", METHODS, "oven" if by_weight else "") if asked.method or by_weight else ""
    )
    basis = words.word(asked.basis, "basis", BASES, BASES[0])
    coldest, hottest = TEMPERATURES[method]
    degrees = words.number(
        asked.temperature, "temperature", unit="°C", least=coldest, most=hottest, example="21.5", needed=False
    )  # fmt: skip
    percent = _by_oven(reader, words, asked) if by_weight else _by_reading(reader, words, asked, basis)
    reader.add(*words.mistakes)
    reader.notes.extend(words.notes)
    return _Taken(percent, method, "dry" if basis == "dry" else "", "" if degrees is None else f"{degrees:f}")


def _by_oven(reader: Reader, words: Gathering, asked: MoistureReading) -> Decimal | None:
    if asked.moisture not in (None, ""):
        says = "Both a reading and the weights of the oven are given. Give the one or the other."
        words.add(OvenDoesNotFit(says, field="moisture"))
    typed = {"wet_g": asked.wet_g, "dry_g": asked.dry_g, "dish_g": asked.dish_g or "0"}
    wet, dry, dish = (
        words.number(grams, name, unit="g", least=0, most=MOST_G, example="12.412") for name, grams in typed.items()
    )
    if wet is None or dry is None or dish is None:
        return None
    percent, mistakes = by_oven(wet, dry, dish)
    words.add(*mistakes)
    if percent is not None:
        words.add(*moisture_mistakes(percent))
        reader.notes.append(WorkedOut(f"({wet} - {dry}) g of ({wet} - {dish}) g", percent))
    return percent


def _by_reading(reader: Reader, words: Gathering, asked: MoistureReading, basis: str) -> Decimal | None:
    if asked.moisture in (None, ""):
        words.add(Missing("moisture", "16.2"))
        return None
    if basis != "dry":
        return reader.moisture(asked.moisture)
    read = words.number(asked.moisture, "moisture", unit="%", least=0, most=MOST_DRY_BASIS, example="19.0")
    if read is None:
        return None
    percent = to_wet_basis(read)
    words.add(*moisture_mistakes(percent))
    reader.notes.append(WorkedOut(f"{read} % on dry basis", percent))
    return percent
