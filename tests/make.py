"""Known people, places and lots for tests, all made through actions."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.acting import Booked
from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.receiving import Delivery, receive
from inventory.actions.running import Out, Run, book_run
from inventory.models import Line, LineName, Lot, MarketClass, Membership, Place, Plot, Site, Station, Stock
from inventory.rules.roles import ROLES

NOW = datetime(2025, 6, 1, 12, tzinfo=UTC)


@dataclass(frozen=True)
class House:
    """A small station with one person of each role."""

    station: Station
    people: Mapping[str, User]

    def __getattr__(self, role: str) -> User:
        if role not in self.people:
            raise AttributeError(role)
        return self.people[role]


def house(code: str = "ST") -> House:
    """A station with people of each role, a stranger, four places, two classes, three lines and four plots."""
    station = Station.objects.create(code=code, name="A small station", zone="Etc/GMT+5")
    people = {role: User.objects.create_user(f"{role}-{code}".lower()) for role in (*ROLES, "stranger")}
    for role in ROLES:
        Membership.objects.create(station=station, user=people[role], role=role)
    for place in ("F-1", "L-1", "A-01", "B-01"):
        Place.objects.create(station=station, code=place)
    site = Site.objects.create(station=station, code="ST")
    classes = {name: MarketClass.objects.create(station=station, name=name) for name in ("navy", "black")}
    for name, market_class in (("N-1", "navy"), ("N-2", "navy"), ("B-1", "black")):
        line = Line.objects.create(station=station, name=name, market_class=classes[market_class])
        LineName.objects.create(station=station, line=line, name=name)
        for index in (1, 2):
            code_ = f"ST24-{name}-{index}"
            Plot.objects.create(station=station, site=site, code=code_, season=2024, line=line, generation=6)
    return House(station, people)


def received(house: House, mass: str = "800", plot: str = "ST24-N-1-1", **more: Any) -> Lot:
    """A lot that was received, and no question asked."""
    answers = more.pop("answers", {"field_differs": "test", "already_in": "test"})
    delivery = Delivery(**{"plots": (plot,), "net": mass, "place": "F-1", "at": "2024-09-24", **more})
    booked = receive(delivery, station=house.station, by=house.intake, now=NOW, answers=answers)
    return booked.lots[0]


def cleaned(house: House, lot: Lot, feed: str, clean: str, **more: Any) -> Lot:
    """The lot that came out of a run whose screenings took the rest."""
    return run(house, lot, feed, clean, **more).lots[0]


def run(house: House, lot: Lot, feed: str, clean: str, *, number: str = "R1", **more: Any) -> Booked:
    """A run whose screenings took the rest."""
    rest = str(Decimal(feed) - Decimal(clean))
    arguments: dict[str, Any] = {
        "machines": "air-screen", "outs": (Out(mass=clean),), "taken_off": {"throughs": rest}, "at": "2024-10-08",
    }  # fmt: skip
    a_run = Run(number=number, feed_lot=lot.number, feed=feed, **{**arguments, **more})
    return book_run(a_run, station=house.station, by=house.line, now=NOW)


def bagged(house: House, lot: Lot, *, count: int, part_bag: str | None = None, **more: Any) -> Lot:
    """A lot whose loose seed was bagged off."""
    bagging = Bagging(**{"lot": lot.number, "count": count, "part_bag": part_bag, "at": "2024-12-02", **more})
    bag_off(bagging, station=house.station, by=house.intake, now=NOW)
    return lot


def kg_left(lot: Lot) -> Decimal:
    """What is left of a lot by its stock rows [kg]."""
    return Decimal(sum(stock.mg for stock in Stock.objects.filter(lot=lot))) / 1_000_000
