"""Split a lot into several: the pieces add up to what was taken for them, the rest may stay."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft, links_to_lot, seed
from inventory.actions.posting import post
from inventory.actions.reader import Missing, Reader
from inventory.actions.taking import Taken, take
from inventory.models import Identity, Lot, Place, Station
from inventory.rules.blending import pieces_mistakes
from inventory.rules.nodes import NodeKind


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A lot that is split off."""

    mass: Typed
    place: str
    lot: Typed = None


@dataclass(frozen=True, kw_only=True)
class Split:
    """A split as it was typed: out of loose seed or bags; `mass` is what was taken for it, where that was weighed."""

    lot: Typed
    pieces: Sequence[Piece]
    mass: Typed = None
    bags: Typed = ""
    place: str = ""
    unit: str = "kg"
    at: Typed = None


@dataclass(frozen=True)
class PieceRead:
    """A piece, as read."""

    lot: Lot
    mg: int
    place: Place


@action("split")
def split(
    asked: Split, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Split a lot into pieces that keep its line, class, crop year, treatment and holds.

    Raises:
        Refused: the pieces do not add up, hold more than is left, or something cannot be read.
    """
    reader = Reader(Desk(station, now), answers)
    return Booked((post(plan_split(reader, asked, by=by, key=key, reason=reason)),))


def plan_split(reader: Reader, asked: Split, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a split on the reader's desk.

    Raises:
        Refused: all that stands in the way of this split.
    """
    at = reader.when(asked.at)
    pieces_typed = [" ".join(str(word) for word in vars(piece).values() if word) for piece in asked.pieces]
    reader.note_typed(**{**vars(asked), "pieces": pieces_typed})
    pieces = [read for piece in asked.pieces if (read := _piece(reader, asked, piece, at)) is not None]
    if not asked.pieces:
        reader.add(Missing("piece", "400.0 kg at A-01"))
    taken = _taken(reader, asked, sum(piece.mg for piece in pieces))
    if taken and len(pieces) == len(asked.pieces):
        reader.add(*pieces_mistakes(sum(piece.mg for piece in pieces), taken.mg))
    facts = reader.finish()
    if taken is None:
        raise AssertionError("finish() lets nothing unread through")
    sources = [(NodeKind.LOT, taken.known.lot.pk, taken.mg)]
    draft = Draft(
        kind="split", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=facts,
        entries=[*taken.entries, *(seed(piece.lot.pk, piece.place.pk, piece.mg) for piece in pieces)],
        links=[link for piece in pieces for link in links_to_lot(piece.lot.pk, sources)],
        rows=[_identity(taken, piece) for piece in pieces],
    )  # fmt: skip
    return reader.desk.plan(draft)


def _piece(reader: Reader, asked: Split, piece: Piece, at: datetime) -> PieceRead | None:
    mass, place = reader.positive(piece.mass, "mass", asked.unit), reader.place(piece.place)
    lot = reader.attempt(lambda: reader.desk.new_lot(piece.lot, at, reader.notes))
    return PieceRead(lot, mass.mg, place) if mass and place and lot else None


def _taken(reader: Reader, asked: Split, pieces_mg: int) -> Taken | None:
    """Take what was weighed for the split, else the named bags whole, else as much as the pieces hold."""
    known = reader.lot(asked.lot)
    is_weighed, is_bagged = asked.mass not in (None, ""), asked.bags not in (None, "")
    mass = reader.positive(asked.mass, "mass", asked.unit) if is_weighed else None
    if known is None or (is_weighed and mass is None):
        return None
    mg = mass.mg if mass else None if is_bagged else pieces_mg
    if mg == 0:
        return None  # no piece could be read, which was said
    return take(reader, known, mg, place=asked.place, bags=asked.bags)


def _identity(taken: Taken, piece: PieceRead) -> Identity:
    return Identity(
        station=piece.lot.station,
        lot=piece.lot,
        line_id=taken.known.line_id,
        market_class_id=taken.known.market_class_id,
        opening_mg=piece.mg,
        crop_year=taken.known.crop_year,
    )
