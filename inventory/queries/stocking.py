"""What is in store: a row for each lot and place, with what is promised, held and known of its quality."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from hilum.plugins.host import the_host
from inventory.models import ActiveHold, MarketClass, Promise, Station, Stock
from inventory.queries.finding import find_line, find_place
from inventory.queries.today import today_at
from inventory.rules.codes import read_code
from inventory.rules.mass import kg_text


@dataclass(frozen=True)
class StockRow:
    """What is left of a lot at a place.

    Args:
        line, market_class: None for a blend of several.
        mg: loose and in bags [mg]; bags: how many hold seed.
        promised_mg: of the lot's promises what this place can give, the rest on its last row, so that rows add up.
        hold: why nothing of it may leave, "" where it may.
        last_grade, last_germination: as the bench says them, None where it never looked.
    """

    lot: str
    line: str | None
    market_class: str | None
    place: str
    mg: int
    bags: int
    promised_mg: int = 0
    hold: str = ""
    last_grade: str | None = None
    last_germination: str | None = None

    def as_json(self) -> dict[str, Any]:
        """Write it with exact numbers as text."""
        return {
            "lot": self.lot,
            "line": self.line,
            "class": self.market_class,
            "place": self.place,
            "kg": kg_text(self.mg),
            "bags": self.bags,
            "promised_kg": kg_text(self.promised_mg),
            "hold": self.hold or None,
            "last_grade": self.last_grade,
            "last_germination": self.last_germination,
        }


def stock(
    station: Station, *, line: str = "", market_class: str = "", place: str = "", today: date | None = None,
    person: str = "",
) -> list[StockRow]:  # fmt: skip
    """List what is in store by lot and place; the number of queries does not grow with the rows.

    Args:
        line, market_class, place: keep only these, as forgivingly as they read; "" keeps all.
        today: promises that ended before it have lapsed; the station's day where it is not given.
        person: name of the account that asks; what is hidden from it now stays out. "" where nobody is known.

    Raises:
        Mistake: no line, class or place is called so, with the nearest.
    """
    rows = list(_rows(station, stock_wanted(station, line, market_class, place)))
    lots = {row["lot"]: row["lot__number"] for row in rows}
    promised = promised_by_lot(station, today or today_at(station))
    holds = hold_reasons(station)
    facts = the_host().lot_facts(list(lots.values()), station.code, person) if lots else {}
    last = {row["lot"]: index for index, row in enumerate(rows)}
    found = []
    for index, row in enumerate(rows):
        left = promised.get(row["lot"], 0)
        here = left if index == last[row["lot"]] else min(left, row["kept"])
        promised[row["lot"]] = left - here
        found.append(_row(row, here, holds.get(row["lot"], ""), facts.get(row["lot__number"], {})))
    return found


def _row(row: Mapping[str, Any], promised: int, hold: str, facts: Mapping[str, str]) -> StockRow:
    return StockRow(
        lot=row["lot__number"],
        line=row["line"],
        market_class=row["lot__standing__market_class__name"],
        place=row["place__code"],
        mg=row["kept"],
        bags=row["bags"],
        promised_mg=promised,
        hold=hold,
        last_grade=facts.get("last_grade"),
        last_germination=facts.get("last_germination"),
    )


def _rows(station: Station, wanted: Q) -> QuerySet[Any]:
    line = Coalesce("lot__standing__line__merged_into__name", "lot__standing__line__name")
    there = Stock.objects.filter(wanted, station=station, mg__gt=0).annotate(line=line)
    rows = there.values("lot", "lot__number", "line", "lot__standing__market_class__name", "place__code")
    return rows.annotate(kept=Sum("mg"), bags=Count("pk", filter=Q(bag_no__gt=0))).order_by(
        "lot__number", "place__code"
    )


def stock_wanted(station: Station, line: str, market_class: str, place: str) -> Q:
    """Say which rows of the stock are of a line, class and place, as forgivingly as they read; "" keeps all.

    Raises:
        Mistake: no line, class or place is called so, with the nearest.
    """
    wanted = Q()
    if line:
        found, _notes = find_line(station, line)
        wanted &= Q(lot__standing__line=found) | Q(lot__standing__line__merged_into=found)
    if market_class:
        names = MarketClass.objects.filter(station=station).values_list("name", flat=True)
        name = read_code(market_class, list(names), kind="market class", field="class").value
        wanted &= Q(lot__standing__market_class__name=name)
    if place:
        wanted &= Q(place=find_place(station, place)[0])
    return wanted


def promised_by_lot(station: Station, today: date) -> dict[int, int]:
    """What is promised of each lot, neither taken back nor lapsed [mg] (1 query)."""
    standing = Promise.objects.filter(station=station, operation__reversed_by__isnull=True)
    in_time = standing.filter(Q(until__isnull=True) | Q(until__gte=today)).order_by()
    return dict(in_time.values_list("lot").annotate(Sum("mg")))


def hold_reasons(station: Station) -> dict[int, str]:
    """Why each lot is on hold; several holds are said one after the other (1 query)."""
    said: dict[int, list[str]] = {}
    holds = ActiveHold.objects.filter(station=station).order_by("hold__seq").values_list("lot", "hold__reason")
    for lot, reason in holds:
        said.setdefault(lot, []).append(reason or "on hold")
    return {lot: "; ".join(reasons) for lot, reasons in said.items()}
