"""Blend lots on purpose: shares by what went in, one new lot, and the line name only where all are of one line."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft, EntryDraft, links_to_lot, outside, seed
from inventory.actions.posting import post
from inventory.actions.reader import Reader
from inventory.actions.taking import Taken, take
from inventory.models import Identity, Line, Lot, Place, Station
from inventory.rules import blending as rules
from inventory.rules.nodes import NodeKind


@dataclass(frozen=True, kw_only=True)
class Part:
    """What of a lot goes in: bags by number, whole, and loose seed; named alone, all its loose seed."""

    lot: Typed
    bags: Typed = ""
    loose: Typed = None
    place: str = ""


@dataclass(frozen=True, kw_only=True)
class Blend:
    """A blend as it was typed; without a weighed `out` it is what went in less what was spilled."""

    parts: Sequence[Part]
    place: str
    out: Typed = None
    spilled: Typed = None
    lot: Typed = None
    unit: str = "kg"
    at: Typed = None


@dataclass(frozen=True)
class Mixed:
    """What went in, and what became of it [mg]."""

    parts: list[Taken]
    out: int
    spilled: int

    @property
    def went_in(self) -> int:
        """The sum of the parts."""
        return sum(part.mg for part in self.parts)


@action("blend")
def blend(
    asked: Blend, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Blend two or more lots into a new one.

    Raises:
        Refused: fewer than two lots, a lot with itself, two lines without a why, or masses that do not add up.
    """
    reader = Reader(Desk(station, now), answers)
    return Booked((post(plan_blend(reader, asked, by=by, key=key, reason=reason)),))


def plan_blend(reader: Reader, asked: Blend, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a blend on the reader's desk.

    Raises:
        Refused: all that stands in the way of this blend.
    """
    at = reader.when(asked.at)
    _note_typed(reader, asked)
    parts = reader.each("parts", asked.parts, lambda part: _part(reader, asked, part))
    if len(parts) == len(asked.parts):
        reader.add(*rules.lots_mistakes([part.known.lot.number for part in parts]))
    mixed, place = _mixed(reader, asked, parts), reader.place(asked.place)
    _ask_about_identity(reader, parts)
    lot = reader.attempt(lambda: reader.desk.new_lot(asked.lot, at, reader.notes))
    facts = reader.finish()
    if mixed is None or place is None or lot is None:
        raise AssertionError("finish() lets nothing unread through")
    draft = Draft(
        kind="blend", station=reader.desk.station, by=by, at=at, reason=reason or reader.answers.get("two_lines", ""),
        key=key, facts=facts, entries=_entries(mixed, lot, place),
        links=links_to_lot(lot.pk, [(NodeKind.LOT, part.known.lot.pk, part.mg) for part in parts]),
        rows=[_identity([part.known for part in parts], lot, mixed.out)],
    )  # fmt: skip
    return reader.desk.plan(draft)


def _note_typed(reader: Reader, asked: Blend) -> None:
    parts = [" ".join(str(word) for word in vars(part).values() if word not in (None, "")) for part in asked.parts]
    reader.note_typed(**{**vars(asked), "parts": parts})


def _part(reader: Reader, asked: Blend, part: Part) -> Taken | None:
    known = reader.lot(part.lot)
    if known is None:
        return None
    bagged = take(reader, known, None, place=part.place, bags=part.bags) if part.bags not in (None, "") else None
    if part.loose in (None, ""):
        return bagged if part.bags not in (None, "") else take(reader, known, None, place=part.place)
    mass = reader.positive(part.loose, "loose", asked.unit)
    loose = take(reader, known, mass.mg, place=part.place) if mass else None
    if loose is None or (part.bags not in (None, "") and bagged is None):
        return None
    return Taken(known, {**(bagged.slots if bagged else {}), **loose.slots})


def _mixed(reader: Reader, asked: Blend, parts: Sequence[Taken]) -> Mixed | None:
    """Work out what came out, and hold it against what went in where all of it could be read."""
    spilled = reader.mass(asked.spilled, "spilled", asked.unit, needed=False)
    is_weighed = asked.out not in (None, "")
    out = reader.positive(asked.out, "out", asked.unit) if is_weighed else None
    if reader.has_errors or not parts or (is_weighed and out is None):
        return None
    lost, went_in = spilled.mg if spilled else 0, sum(part.mg for part in parts)
    mixed = Mixed(list(parts), out.mg if out else max(went_in - lost, 0), lost)
    reader.add(*rules.balance_of_blend(went_in, mixed.out, lost))
    return mixed


def _ask_about_identity(reader: Reader, parts: Sequence[Taken]) -> None:
    """Ask before a line name or a class is lost, or untreated seed becomes treated."""
    line_ids = {part.known.line_id for part in parts}
    if len(line_ids) > 1:
        names = dict(Line.objects.filter(pk__in=[pk for pk in line_ids if pk]).values_list("pk", "name"))
        said = sorted(names.get(pk or 0, "a blend") for pk in line_ids)
        reader.add(rules.TwoLines(said, loses_class=len({part.known.market_class_id for part in parts}) > 1))
    treated = [part.known.lot.number for part in parts if part.known.treated]
    if treated and len(treated) < len(parts):
        reader.add(rules.TreatedIn(treated, sum(part.mg for part in parts)))


def _entries(mixed: Mixed, lot: Lot, place: Place) -> list[EntryDraft]:
    missing = mixed.went_in - mixed.out - mixed.spilled
    lost = [outside(account, mg) for account, mg in (("spilled", mixed.spilled), ("unaccounted", missing)) if mg]
    return [*(entry for part in mixed.parts for entry in part.entries), seed(lot.pk, place.pk, mixed.out), *lost]


def _identity(parents: Sequence[Known], lot: Lot, out_mg: int) -> Identity:
    """Keep of line, class and crop year what all parents have in common."""
    lines = {parent.line_id for parent in parents}
    classes = {parent.market_class_id for parent in parents}
    years = {parent.crop_year for parent in parents}
    return Identity(
        station=lot.station,
        lot=lot,
        line_id=lines.pop() if len(lines) == 1 else None,
        market_class_id=classes.pop() if len(classes) == 1 else None,
        opening_mg=out_mg,
        crop_year=years.pop() if len(years) == 1 else None,
    )
