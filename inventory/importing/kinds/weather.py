"""Daily temperatures: each row is one day of one site."""

from collections.abc import Mapping, Sequence

from django.contrib.auth.models import User

from inventory.actions.desk import Desk
from inventory.actions.drafts import Draft
from inventory.actions.field import DayTyped, WeatherLog, plan_weather
from inventory.actions.reader import Reader
from inventory.importing.cells import RowCells
from inventory.importing.kinds.kind import Kind
from inventory.importing.vocabulary import WEATHER
from inventory.models import Site, Station


def read_day(rows: Sequence[RowCells]) -> WeatherLog:
    """Read one row as a day."""
    cells = rows[0]
    day = DayTyped(day=cells.date("date", needed=True), low=cells.number("low"), high=cells.number("high"))
    return WeatherLog(site=cells.text("site"), days=(day,), unit=cells.text("unit") or "C")


def expect(_desk: Desk, _rows: Sequence[WeatherLog]) -> None:
    """Nothing is looked up ahead: each site's days are read once, when its first row is planned."""


def plan(reader: Reader, log: WeatherLog, by: User) -> Sequence[Draft]:
    """Plan the log of one day."""
    return [plan_weather(reader, log, by=by)]


def lists(station: Station) -> Mapping[str, Sequence[str]]:
    """Offer sites."""
    return {"site": list(Site.objects.filter(station=station).order_by("code").values_list("code", flat=True))}


KIND: Kind = Kind(WEATHER, ("measure",), read_day, expect, plan, {"day": ("date",), "days": ("date",)}, lists=lists)
