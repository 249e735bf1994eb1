"""State a station's GS1 numbers, so that what it tells in EPCIS documents bears names that partners' computers know."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import entered
from inventory.actions.posting import post
from inventory.actions.reader import Reader
from inventory.models import Gs1Numbers, MarketClass, Station
from inventory.queries.finding import find_class
from inventory.queries.gs1 import is_elsewhere, trade_numbers
from inventory.rules.gs1 import (
    ClassWithoutGtin,
    GlnElsewhere,
    GtinElsewhere,
    NoPrefix,
    NothingStated,
    OtherPrefix,
    StandsUnderPrefix,
    TradeNumbers,
    begins_with,
    read_gln,
    read_gtin,
    read_prefix,
)
from inventory.rules.reading import plain, typed_text


@dataclass(frozen=True, kw_only=True)
class Stating:
    """GS1 numbers as they were typed; what is left empty stays as it was stated before."""

    prefix: Typed = field(default="", metadata={"looks": "GS1 company prefix, 6 to 12 digits"})
    gtin: Typed = field(default="", metadata={"looks": "12, 13 or 14 digits"})
    market_class: str = field(default="", metadata={"looks": "whose GTIN it is; empty for all that have none"})
    gln: Typed = field(default="", metadata={"looks": "the station's location number, 13 digits"})
    at: Typed = None


@action("gs1 numbers")
def state_numbers(
    stating: Stating, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """State a company prefix, a GTIN for all lots or those of one market class, a location number, or several of these.

    Raises:
        Refused: a number cannot be read or does not check, or does not belong to the prefix.
    """
    reader = Reader(Desk(station, now), answers)
    return Booked((post(_plan(reader, stating, by=by, key=key, reason=reason)),))


def _plan(reader: Reader, stating: Stating, *, by: User, key: str, reason: str) -> Draft:
    at = reader.when(stating.at)
    reader.note_typed(**vars(stating))
    prefix, gtin, gln = (
        (reader.attempt(lambda: read(typed)) or "") if plain(typed_text(typed)) else ""  # noqa: B023 - called at once
        for read, typed in ((read_prefix, stating.prefix), (read_gtin, stating.gtin), (read_gln, stating.gln))
    )
    market_class = _class(reader, stating)
    if not reader.has_errors:
        stands = trade_numbers(reader.desk.station).without(market_class.pk if market_class else None, gtin)
        _check(reader, prefix, gtin, gln, stands=stands)
    row = Gs1Numbers(
        station=reader.desk.station, prefix=prefix, gtin=gtin, gln=gln, market_class=market_class
    )  # fmt: skip
    return entered(reader, {}, kind="gs1 numbers", by=by, at=at, key=key, reason=reason, rows=(row,))


def _class(reader: Reader, stating: Stating) -> MarketClass | None:
    name = plain(typed_text(stating.market_class))
    if not name:
        return None
    found = reader.attempt(lambda: reader.desk.find(find_class, name, "market_class", reader.notes))
    if found is not None and not plain(typed_text(stating.gtin)):
        reader.add(ClassWithoutGtin(str(found)))
    return found


def _check(reader: Reader, prefix: str, gtin: str, gln: str, *, stands: TradeNumbers) -> None:
    """Hold the numbers against each other and against those that stand."""
    if not (prefix or gtin or gln):
        reader.add(NothingStated())
    if prefix:
        reader.add(*(StandsUnderPrefix(one, prefix) for one in stands.gtins.values() if not begins_with(one, prefix)))
    whole = prefix or stands.prefix
    if gtin and not whole:
        reader.add(NoPrefix())
    elif gtin and not begins_with(gtin, whole):
        reader.add(OtherPrefix(gtin, whole))
    elif gtin and is_elsewhere(reader.desk.station, gtin=gtin):
        reader.add(GtinElsewhere(gtin))
    if gln and is_elsewhere(reader.desk.station, gln=gln):
        reader.add(GlnElsewhere(gln))
