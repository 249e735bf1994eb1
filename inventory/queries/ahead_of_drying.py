"""What a lot should weigh once it is dried: said before it is weighed, so that a wrong reading is seen at the scale."""

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from inventory.models import Station, Stock
from inventory.queries.finding import find_lot, find_place
from inventory.queries.moistures import newest_moisture
from inventory.rules.mass import read_mass
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.moisture import dried_mass, read_moisture
from inventory.rules.rounding import half_up_int

TO_MG = 10_000  # what is worked out is said to ten grams; a platform scale shows no more


@dataclass
class DryingAhead:
    """A drying while it is typed [mg, % wet basis]; what cannot be read yet is left out."""

    there_mg: int | None = None
    before: Decimal | None = None
    after: Decimal | None = None
    weighed_mg: int | None = None
    says: list[str] = field(default_factory=list)

    @property
    def expected_mg(self) -> int | None:
        """What its dry matter says it should weigh, to ten grams."""
        if self.there_mg is None or self.before is None or self.after is None or self.after >= self.before:
            return None
        exact = dried_mass(self.there_mg, self.before, self.after)
        return half_up_int(Fraction(exact, TO_MG)) * TO_MG

    @property
    def more_mg(self) -> int:
        """What the scale shows beyond that; below 0 where it shows less."""
        return (self.weighed_mg or 0) - (self.expected_mg or 0)

    @property
    def less_mg(self) -> int:
        """What the scale shows below that."""
        return -self.more_mg


def drying_ahead(
    station: Station, *, lot: str, place: str, before: str, after: str, weighed: str, unit: str
) -> DryingAhead:
    """Look at a drying while it is typed; nothing is judged here, the act does that (4 queries)."""
    ahead = DryingAhead()
    try:
        if lot.strip():
            found, _notes = find_lot(station, lot)
            stock = Stock.objects.filter(lot=found, bag_no=0)
            if place.strip():
                stock = stock.filter(place=find_place(station, place)[0])
            ahead.there_mg = stock.aggregate(all=Sum("mg"))["all"] or 0
            ahead.before = newest_moisture(found)
        if before.strip():
            ahead.before = read_moisture(before, field="before").percent
        if after.strip():
            ahead.after = read_moisture(after, field="after").percent
        if weighed.strip():
            ahead.weighed_mg = read_mass(weighed, unit=unit, field="weighed").mg
    except Mistake as mistake:
        ahead.says.append(mistake.says)
    except Refused as refused:
        ahead.says += [mistake.says for mistake in refused.mistakes]
    return ahead
