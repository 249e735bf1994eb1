"""What stands beside a blend while it is laid out: each part with its share, and whether they are of one line."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.models import Lot, Standing, Station, Stock
from inventory.queries.finding import find_lot
from inventory.rules.bag_numbers import read_bags
from inventory.rules.lot_number import read_lot_number
from inventory.rules.mass import read_mass
from inventory.rules.mistakes import Mistake
from inventory.rules.runs import percent_of


@dataclass(frozen=True)
class PartTyped:
    """A part of a blend as it is typed: lot, bags by number, loose mass, place."""

    lot: str
    bags: str = ""
    loose: str = ""
    place: str = ""


@dataclass(frozen=True)
class PartAhead:
    """A part of a blend as the books know it [mg].

    Attributes:
        mg: what would go in; 0 where it cannot be read yet.
        line, market_class: "" for a blend of several.
    """

    lot: str
    line: str
    market_class: str
    mg: int
    there_mg: int
    is_treated: bool


@dataclass(frozen=True)
class BlendAhead:
    """A blend as far as it is laid out."""

    parts: tuple[PartAhead, ...]
    says: tuple[str, ...]

    @property
    def went_in_mg(self) -> int:
        """All parts together [mg]."""
        return sum(part.mg for part in self.parts)

    @property
    def shares(self) -> list[tuple[PartAhead, str]]:
        """Each part with its percent of what goes in."""
        whole = self.went_in_mg
        return [(part, percent_of(part.mg, whole) if whole else "") for part in self.parts]

    @property
    def lines(self) -> list[str]:
        """The lines that meet, each once."""
        return list(dict.fromkeys(part.line or "a blend" for part in self.parts))


def blend_laid_out(station: Station, typed: Sequence[PartTyped], unit: str) -> BlendAhead:
    """Look at a blend while it is laid out (3 queries, 1 more for each lot that is not found at once)."""
    numbers = {number for one in typed if (number := _number(one.lot))}
    known = {lot.number: lot for lot in Lot.objects.filter(station=station, number__in=numbers)}
    keys = [lot.pk for lot in known.values()]
    standings = {
        one.lot_id: one for one in Standing.objects.filter(lot__in=keys).select_related("line", "market_class")
    }
    stock = list(Stock.objects.filter(lot__in=keys, mg__gt=0).select_related("place"))
    parts: list[PartAhead] = []
    says: list[str] = []
    for one in typed:
        try:
            lot = known.get(_number(one.lot)) or find_lot(station, one.lot)[0]
            rows = [row for row in stock if row.lot_id == lot.pk and _stands_at(row, one.place)]
            parts.append(_part(lot, standings.get(lot.pk), _goes_in(rows, one, unit), rows))
        except Mistake as mistake:
            says.append(mistake.says)
    return BlendAhead(tuple(parts), tuple(says))


def _number(typed: str) -> str:
    """Bring a lot's number as typed to the form in the books; "" where it cannot be read."""
    try:
        return read_lot_number(typed).value.text
    except Mistake:
        return ""


def _stands_at(row: Stock, place: str) -> bool:
    return not place.strip() or row.place.code.casefold() == place.strip().casefold()


def _goes_in(rows: Sequence[Stock], typed: PartTyped, unit: str) -> int:
    """Bags that are named go in whole, and what is weighed; a lot named alone goes in with all its loose seed [mg].

    Raises:
        Mistake: bags or mass cannot be read.
    """
    bags = set(read_bags(typed.bags)) if typed.bags.strip() else set()
    in_bags = sum(row.mg for row in rows if row.bag_no in bags)
    if typed.loose.strip():
        return in_bags + read_mass(typed.loose, unit=unit or "kg").mg
    return in_bags if bags else sum(row.mg for row in rows if not row.bag_no)


def _part(lot: Lot, standing: Standing | None, mg: int, rows: Sequence[Stock]) -> PartAhead:
    return PartAhead(
        lot=lot.number,
        line=standing.line.name if standing and standing.line else "",
        market_class=standing.market_class.name if standing and standing.market_class else "",
        mg=mg,
        there_mg=sum(row.mg for row in rows),
        is_treated=bool(standing and standing.treated),
    )
