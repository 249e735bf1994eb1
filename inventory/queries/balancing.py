"""The whole plant's balance: what came in against where it went and what is left, to the milligram."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Sum
from django.db.models.functions import Coalesce

from inventory.models import Entry, Station, Stock

COMING_IN = ("harvested", "received", "treatment")


@dataclass(frozen=True)
class PlantBalance:
    """Everything that ever came in and left [mg].

    Args:
        came_in: account -> mass that came from there.
        went: account, with its stream or the kind of act where that parts it -> mass that went there.
        in_store: sum of stock.
    """

    came_in: Mapping[str, int]
    went: Mapping[tuple[str, str], int]
    in_store: int

    @property
    def total_in(self) -> int:
        """All that came in [mg]."""
        return sum(self.came_in.values())

    @property
    def difference(self) -> int:
        """What is missing or too much [mg]: always 0."""
        return self.total_in - sum(self.went.values()) - self.in_store

    def to(self, account: str, part: str = "") -> int:
        """What went to an account, or to one part of it [mg]."""
        return sum(mg for (name, of), mg in self.went.items() if name == account and part in ("", of))


def plant_balance(station: Station) -> PlantBalance:
    """Sum the accounts outside the store and the store itself (2 queries); reversed acts cancel themselves."""
    kind = Coalesce("operation__reverses__kind", "operation__kind")
    entries = Entry.objects.filter(station=station).exclude(account="").annotate(kind=kind)
    came_in: defaultdict[str, int] = defaultdict(int)
    went: defaultdict[tuple[str, str], int] = defaultdict(int)
    for account, stream, act, mg in entries.values_list("account", "stream", "kind").annotate(Sum("mg")):
        if account in COMING_IN:
            came_in[account] -= mg
        else:
            went[(account, stream or act)] += mg
    in_store = Stock.objects.filter(station=station).aggregate(all=Sum("mg"))["all"] or 0
    return PlantBalance(dict(came_in), {part: mg for part, mg in went.items() if mg}, in_store)
