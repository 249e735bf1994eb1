"""The questions that the books alone answer on the list of lots."""

from collections.abc import Callable, Mapping

from django.utils.translation import gettext, gettext_lazy

from hilum.plugins import LotQuestion
from hilum.plugins.host import the_host
from inventory.models import Lot, Promise, Standing, Station, Stock
from inventory.queries.floor import wet_lots
from inventory.queries.labels import without_label
from inventory.queries.stocking import hold_reasons
from inventory.queries.today import today_at
from inventory.rules.mass import kg_words

Answer = Mapping[str, str]


def lot_questions(station: str) -> tuple[LotQuestion, ...]:
    """Give every question of the list of lots of a station: the books' own first, then those of plugins."""
    own = [LotQuestion(name, str(words), str(none), _at_station(find)) for name, words, none, find in _OWN]
    return (*own, *the_host().lot_questions(station))


def too_wet(station: Station) -> Answer:
    """Lots in store that are too wet to keep, and since when (3 queries)."""
    return {wet.standing.lot.number: f"{wet.percent} % since {wet.since:%Y-%m-%d}" for wet in wet_lots(station)}


def on_hold(station: Station) -> Answer:
    """Lots on hold, and why (2 queries)."""
    reasons = hold_reasons(station)
    numbers = Lot.objects.filter(holds__isnull=False, station=station).distinct().values_list("pk", "number")
    return {number: reasons.get(key, "") for key, number in numbers}


def promised(station: Station) -> Answer:
    """Lots of which seed is promised: how much, for whom, until when (1 query)."""
    today = today_at(station)
    rows = Promise.objects.filter(station=station, operation__reversed_by__isnull=True).select_related("lot")
    found: dict[str, list[str]] = {}
    for row in rows.order_by("operation__seq"):
        if row.until is None or row.until >= today:
            until = gettext(" until %(day)s") % {"day": row.until.isoformat()} if row.until else ""
            says = f"{kg_words(row.mg)} kg " + gettext("for %(who)s") % {"who": row.recipient} + until
            found.setdefault(row.lot.number, []).append(says)
    return {lot: "; ".join(says) for lot, says in found.items()}


def no_place(station: Station) -> Answer:
    """Lots that still stand where deliveries are set down (1 query)."""
    there = Stock.objects.filter(station=station, place__code=station.floor, mg__gt=0)
    says = gettext("still at %(place)s") % {"place": station.floor}
    return dict.fromkeys(there.values_list("lot__number", flat=True), says)


def no_label(station: Station) -> Answer:
    """Lots made this week without a label (2 queries)."""
    return dict.fromkeys((row.lot.number for row in without_label(station)), gettext("no label was printed"))


def treated(station: Station) -> Answer:
    """Lots that carry a treatment (1 query)."""
    rows = Standing.objects.filter(station=station, treated=True, made_by__isnull=False)
    return dict.fromkeys(rows.values_list("lot__number", flat=True), gettext("for sowing alone"))


_OWN = (
    ("too-wet", gettext_lazy("too wet"), gettext_lazy("No lot is too wet to keep."), too_wet),
    ("no-place", gettext_lazy("still on the floor"), gettext_lazy("Nothing stands on the floor."), no_place),
    ("no-label", gettext_lazy("no label"), gettext_lazy("Every lot of this week has its label."), no_label),
    ("on-hold", gettext_lazy("on hold"), gettext_lazy("No lot is on hold."), on_hold),
    ("promised", gettext_lazy("promised"), gettext_lazy("No seed is promised."), promised),
    ("treated", gettext_lazy("treated"), gettext_lazy("No lot is treated."), treated),
)


def _at_station(find: Callable[[Station], Answer]) -> Callable[[str, str], Answer]:
    return lambda code, _person: find(Station.objects.get(code=code))
