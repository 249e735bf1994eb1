"""`manage.py watch`: what to look at before planting and selling."""

from argparse import ArgumentParser
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from grading.queries.watch_list import watch_lines, watch_list
from inventory.management.door import DONE, Door, the_person, the_station
from inventory.models import DataMark, Station
from inventory.rules.dates import read_date


class Command(Door):
    """Lists lots whose germination or grade needs a look."""

    help = "List lots in store with low, doubtful, old or missing germination tests, and lots not of the first grade."

    def take(self, parser: ArgumentParser) -> None:
        """Take the day of the list, and who asks."""
        parser.add_argument("--by", default="", help="Who asks: what a blind re-grade still waits for is left out.")
        parser.add_argument("--today", default="", help="Day of the list; else today, or the demo's own day.")

    def answer(self, options: dict[str, Any]) -> int:
        """Print the lists."""
        station = the_station(options)
        person = the_person(options).get_username() if options["by"] else ""
        listed = watch_list(station, _day(options["today"], station), person)
        if options["json"]:
            self.say_json(listed)
        else:
            self.say(*watch_lines(listed))
        return DONE


def _day(typed: str, station: Station) -> date:
    if typed:
        return read_date(typed, field="today").value
    mark = DataMark.objects.first()
    return (mark.today if mark else None) or datetime.now(UTC).astimezone(ZoneInfo(station.zone)).date()
