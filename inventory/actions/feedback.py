"""Keep what growers, packers and cooks said of seed that left: word back, which moves no seed and is never lost."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import entered, read_name
from inventory.actions.posting import post
from inventory.actions.reader import Reader
from inventory.models import Feedback, Shipment, Station
from inventory.queries.shipments import find_shipments, shipped_with
from inventory.rules.feedback import about_mistakes, shipment_mistakes
from inventory.rules.reading import plain, typed_text
from inventory.rules.shipping import UnknownShipment

LONGEST_WHO, LONGEST_SAID = 160, 4000


@dataclass(frozen=True, kw_only=True)
class WordBack:
    """What was said and by whom, as it was typed: of a shipment, a lot or a line, or several of these."""

    who: str
    said: str
    shipment: str = ""
    lot: Typed = None
    line: str = ""
    at: Typed = None


@action("feedback")
def keep_feedback(
    word: WordBack, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Keep what was said of seed that left.

    Raises:
        Refused: who, what or the seed is missing or unknown, or the seed does not fit the shipment.
    """
    reader = Reader(Desk(station, now), answers)
    return Booked((post(plan_feedback(reader, word, by=by, key=key, reason=reason)),))


def plan_feedback(reader: Reader, word: WordBack, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan what was said on the reader's desk.

    Raises:
        Refused: all that stands in the way of it.
    """
    at = reader.when(word.at)
    reader.note_typed(**vars(word))
    who = read_name(reader, word.who, "who", "Tollhaven, grower", LONGEST_WHO)
    # Signs without width alone say nothing; else the text stays as it was typed, with its lines.
    words = word.said if plain(typed_text(word.said)) else ""
    said = reader.text(words, "said", "even stand, two days late", LONGEST_SAID)
    shipment, lot, line_name = (plain(typed_text(typed)) for typed in (word.shipment, word.lot, word.line))
    reader.add(*about_mistakes(shipment, lot, line_name))
    known = reader.lot(word.lot) if lot else None
    line = reader.line(line_name) if line_name else None
    shipments = _shipments(reader, shipment) if shipment else []
    _check(reader, shipments, known, at)
    row = Feedback(
        station=reader.desk.station, shipment=shipments[0].code if shipments else "", lot=known.lot if known else None,
        line=line, who=who, said=said,
    )  # fmt: skip
    return entered(reader, {}, kind="feedback", by=by, at=at, key=key, reason=reason, rows=(row,))


def _shipments(reader: Reader, code: str) -> list[Shipment]:
    shipments = find_shipments(reader.desk.station, code)
    if not shipments:
        reader.add(UnknownShipment(code, instead="name the lot or the line"))
    return shipments


def _check(reader: Reader, shipments: list[Shipment], known: Known | None, at: datetime) -> None:
    if not shipments:
        return
    is_other = known is not None and shipped_with(shipments, known.lot) is None
    days = [reader.desk.local_day(moment) for moment in (*(one.operation.at for one in shipments), at)]
    questions = shipment_mistakes(
        shipments[0].code, left_on=min(days[:-1]), said_on=days[-1],
        other_lot=known.lot.number if known and is_other else "",
    )  # fmt: skip
    reader.add(*questions)
