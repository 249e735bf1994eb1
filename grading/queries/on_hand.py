"""Seed of a line that could be sown: what stands, what is promised, held or treated, and how it germinates."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from grading.queries.germination import MOST_MONTHS, Tested, germinations_of, months_before, newest_valid
from inventory.models import Link, Standing, Station
from inventory.queries.stocking import StockRow, stock
from inventory.rules.nodes import NodeKind, key_of, kind_of, node
from inventory.rules.seed_use import Source

FROM_THE_LINE = ("clean", "size", "sort", "blend")


@dataclass(frozen=True)
class OnHand:
    """A lot with seed, as a sower sees it.

    Attributes:
        lot_id: its key.
        lot, line: their names.
        mg, promised_mg: what stands, and what of it is promised [mg].
        places: where it stands.
        hold: why nothing of it may be sown, "" where it may.
        is_treated: it carries a treatment.
        is_clean: it came out of a run or a blend, or was split from such.
        crop, made_on: the crop's year (of a blend of several, the year it was made), and the day it was made.
        test: the newest valid germination test.
    """

    lot_id: int
    lot: str
    line: str
    mg: int
    promised_mg: int
    places: tuple[str, ...]
    hold: str
    is_treated: bool
    is_clean: bool
    crop: int
    made_on: date
    test: Tested | None

    def is_old(self, today: date) -> bool:
        """Say whether its test is older than twelve months."""
        return self.test is not None and self.test.on < months_before(today, MOST_MONTHS)

    def source(self, *, leaves_promised: bool, leaves_treated: bool, least_pct: int) -> Source:
        """See it as a lot that could be sown.

        Args:
            leaves_promised: what is promised is not taken.
            leaves_treated: treated seed is not taken.
            least_pct: germination below it is not sown [%].
        """
        free = max(0, self.mg - self.promised_mg) if leaves_promised else self.mg
        good = self.test is not None and self.test.result.mean_pct >= least_pct
        barred = f"on hold: {self.hold}" if self.hold else ""
        if not barred and leaves_treated and self.is_treated:
            barred = "treated"
        if not barred and self.test is not None and not good:
            barred = f"germination {self.test.result.mean_pct} % is under {least_pct} %"
        if not barred and free == 0:
            barred = "all of it is promised"
        return Source(self.lot, free, good, self.crop, self.made_on, barred)


def seed_on_hand(station: Station, line: str, today: date) -> list[OnHand]:
    """List the lots of a line that hold seed, by number; the number of queries does not grow with the lots.

    Args:
        line: any of its names.
        today: promises that ended before it have lapsed.

    Raises:
        Mistake: no line is called so.
    """
    return _on_hand(station, stock(station, line=line, today=today))


def lots_on_hand(station: Station, numbers: Iterable[str], today: date) -> dict[str, OnHand]:
    """Give these lots, where they hold seed, by number."""
    wanted = set(numbers)
    rows = [row for row in stock(station, today=today) if row.lot in wanted]
    return {one.lot: one for one in _on_hand(station, rows)}


def _on_hand(station: Station, rows: Sequence[StockRow]) -> list[OnHand]:
    by_lot: dict[str, list[StockRow]] = {}
    for row in rows:
        by_lot.setdefault(row.lot, []).append(row)
    standings = Standing.objects.filter(station=station, lot__number__in=by_lot, made_by__isnull=False)
    known = {one.lot.number: one for one in standings.select_related("lot", "line", "made_by")}
    clean = _clean_lots(list(known.values()))
    tests = germinations_of(station, [one.lot_id for one in known.values()])
    zone = ZoneInfo(station.zone)
    return [
        _one(known[number], rows, zone, number in clean, newest_valid(tests.get(known[number].lot_id, [])))
        for number, rows in sorted(by_lot.items())
        if number in known
    ]


def _one(standing: Standing, rows: Sequence[StockRow], zone: ZoneInfo, is_clean: bool, test: Tested | None) -> OnHand:  # noqa: FBT001 - a fact of the lot, not a switch
    made = standing.made_at.astimezone(zone).date() if standing.made_at else date.min
    return OnHand(
        standing.lot_id, standing.lot.number, rows[0].line or "",
        sum(row.mg for row in rows), sum(row.promised_mg for row in rows),
        tuple(row.place for row in rows), rows[0].hold, standing.treated, is_clean, standing.crop_year or made.year,
        made, test,
    )  # fmt: skip


def _clean_lots(standings: Sequence[Standing]) -> set[str]:
    """Find the lots that came out of a run or a blend; what was split from a lot is as clean as that lot."""
    clean = {one.lot.number for one in standings if one.made_by and one.made_by.kind in FROM_THE_LINE}
    split = {one.lot_id: one for one in standings if one.made_by and one.made_by.kind == "split"}
    parents = _parents(split)
    found = Standing.objects.filter(lot__in=set(parents.values())).select_related("lot", "made_by")
    made_of = {one.lot_id: one for one in found}
    for lot_id, one in split.items():
        parent = made_of.get(parents.get(lot_id, 0))
        if parent and (parent.lot.number in clean or (parent.made_by and _clean_lots([parent]))):
            clean.add(one.lot.number)
    return clean


def _parents(split: Mapping[int, Standing]) -> dict[int, int]:
    links = Link.objects.filter(child__in=[node(NodeKind.LOT, lot) for lot in split], is_sowing=False)
    return {key_of(link.child): key_of(link.parent) for link in links if kind_of(link.parent) is NodeKind.LOT}
