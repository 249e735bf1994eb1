"""What papers have in common: masses with their unit, days, and the line at the foot that says as of when."""

from datetime import date, datetime
from fractions import Fraction
from zoneinfo import ZoneInfo

from django.utils.dateformat import format as date_words
from django.utils.translation import gettext

from inventory.models import ChainHead, Lot, Operation, Station
from inventory.queries.showing import shown_mass, shown_number, shown_unit
from inventory.queries.today import now_at
from inventory.rules.rounding import half_up


def kg(mg: int) -> str:
    """Write a mass with its unit, as whoever prints works in."""
    return f"{shown_mass(mg)} {shown_unit()}"


def percent(part: int, whole: int) -> str:
    """Write a part of a whole as per cent with two decimals; nothing of nothing."""
    return f"{shown_number(half_up(Fraction(100 * part, whole), 2))} %" if whole else ""


def day(moment: datetime | date | None, station: Station) -> str:
    """Write a day: 9 Oct 2024; nothing for nothing."""
    if moment is None:
        return ""
    if isinstance(moment, datetime):
        moment = moment.astimezone(ZoneInfo(station.zone)).date()
    return date_words(moment, "j M Y")


def moment(at: datetime, station: Station) -> str:
    """Write a day and the time of it: 9 Oct 2024, 14:30."""
    return date_words(at.astimezone(ZoneInfo(station.zone)), "j M Y, H:i")


def who(act: Operation) -> str:
    """Name who did an act, and why where that was said."""
    name = act.by.get_username()
    return f"{name}: {act.reason}" if act.reason else name


def foot(station: Station) -> str:
    """Say as of when the books stand, with the newest act's number and the head of its chain (1 query)."""
    head = ChainHead.objects.filter(station=station).first()
    words = gettext("%(station)s · as the books stood on %(moment)s · newest act #%(number)s · books' mark %(hash)s")
    return words % {
        "station": station.name,
        "moment": moment(now_at(station), station),
        "number": head.seq if head else 0,
        "hash": head.hash[:12] if head else "–",
    }


def digits_of(lot: Lot) -> str:
    """Write a lot's number as its bars hold it."""
    return lot.number.replace("-", "")
