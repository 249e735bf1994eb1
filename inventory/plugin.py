"""The books as plugins see them: `hilum.plugins.books()` answers with this."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Exists, OuterRef, Sum

from hilum.plugins import ActDone, Measurement
from hilum.plugins.books import Done, LotSeen, NotBooked, Who, Wrong
from hilum.plugins.host import the_host
from hilum.plugins.settings_schema import SettingValue
from inventory.actions.by_plugins import booked_by
from inventory.importing.acts import book
from inventory.models import ActiveHold, Standing, Station, Stock
from inventory.queries.acts_done import acts_done
from inventory.queries.plugin_measures import measurements
from inventory.queries.plugin_settings import settings_of
from inventory.queries.signing_in import station_of
from inventory.rules.mistakes import Level, Mistake, Refused
from inventory.rules.plugin_mistakes import PluginOff


class StationBooks:
    """The books of the stations of this site; see `hilum.plugins.books.Books` for what each promises."""

    def who(self, request: Any) -> Who:
        """Say who sends a request, and at which station they work."""
        if not isinstance(request.user, User):
            return Who("", "", "")
        station, role = station_of(request.user)
        return Who(request.user.get_username(), station.code if station else "", role)

    def lots(self, station: str, numbers: Sequence[str] | None = None) -> tuple[LotSeen, ...]:
        """Give lots that stand in the books, by number (2 queries)."""
        here = Standing.objects.filter(station__code=station, made_by__isnull=False)
        if numbers is not None:
            here = here.filter(lot__number__in=numbers)
        held = here.annotate(is_held=Exists(ActiveHold.objects.filter(lot=OuterRef("lot_id"))))
        rows = list(held.select_related("lot", "line", "market_class").order_by("lot__number"))
        stock = Stock.objects.filter(lot__in=[row.lot_id for row in rows]).order_by()
        left = dict(stock.values_list("lot").annotate(left=Sum("mg")))
        return tuple(_seen(row, left.get(row.lot_id, 0)) for row in rows)

    def measurements(self, station: str, kind: str, lots: Sequence[str] | None = None) -> tuple[Measurement, ...]:
        """Give measurements of one kind that were not taken back, the newest first."""
        return measurements(Station.objects.get(code=station), kind, lots)

    def acts(self, station: str, *, after: int = 0, most: int = 500) -> tuple[ActDone, ...]:
        """Give acts behind a number of the station's chain, in their order."""
        return acts_done(Station.objects.get(code=station), after=after, most=most)

    def settings(self, plugin: str, station: str) -> Mapping[str, SettingValue]:
        """Give what a plugin is set to at a station (2 queries; none where nothing can be set)."""
        return settings_of(plugin, station)

    def book(
        self, verb: str, words: Mapping[str, Any], *, station: str, person: str, key: str = "", reason: str = "",
        answers: Mapping[str, str] | None = None, plugin: str = "",
    ) -> Done:  # fmt: skip
        """Do any act of the site from its words, in a plugin's name where one is given."""
        if plugin and not (plugin in the_host().names() and the_host().is_on(plugin, station)):
            raise NotBooked([_wrong(PluginOff(plugin, station))])
        try:
            with booked_by(plugin):
                booked = book(
                    verb, words, station=Station.objects.get(code=station), by=User.objects.get(username=person),
                    key=key, reason=reason, answers=answers,
                )  # fmt: skip
        except Mistake as mistake:
            raise NotBooked([_wrong(mistake)]) from mistake
        except Refused as refused:
            raise NotBooked([_wrong(mistake) for mistake in refused.mistakes]) from refused
        return Done(tuple(str(one.uid) for one in booked.operations), tuple(lot.number for lot in booked.lots))


def _seen(row: Any, left: int) -> LotSeen:
    return LotSeen(
        row.lot.number, str(row.lot.uid), row.line.name if row.line else "",
        row.market_class.name if row.market_class else "", row.crop_year, row.opening_mg, left, row.treated,
        row.is_held, {"station": row.station_id, "lot": row.lot_id},
    )  # fmt: skip


def _wrong(mistake: Mistake) -> Wrong:
    return Wrong(mistake.code, mistake.field, mistake.says, mistake.level in (Level.QUESTION, Level.DUPLICATE))
