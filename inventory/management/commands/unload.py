"""`manage.py unload LOAD`: take a whole load back."""

from argparse import ArgumentParser
from typing import Any

from inventory.actions.loading import UnloadedBefore, unload
from inventory.actions.reversing import UsedSince
from inventory.management.door import DONE, NO, UNUSABLE, Door, take_person, the_person_who_may, the_station
from inventory.queries.loads import find_load
from inventory.rules.mistakes import Mistake

MOST_SHOWN = 20
_NO = (UnloadedBefore, UsedSince)


class Command(Door):
    """Reverses every act of a load; exit status 1 where it was taken back before or later acts stand on it."""

    help = "Take a whole load back: every act of it is reversed, or none."

    def take(self, parser: ArgumentParser) -> None:
        """Take the load, who and why."""
        parser.add_argument("load", help="as `sheet` named it, L1")
        parser.add_argument("--reason", default="", help="Why; it is kept with each reversal.")
        take_person(parser)

    def answer(self, options: dict[str, Any]) -> int:
        """Take it back and say how many acts were reversed."""
        station = the_station(options)
        load = find_load(station, options["load"])
        by = the_person_who_may(options, station, "unload")
        booked = unload(load, station=station, by=by, reason=options["reason"])
        count = len(booked.operations)
        if options["json"]:
            self.say_json({"load": str(load), "sheet": load.file_name, "reversed": count})
        else:
            self.say(f"Load {load} ({load.file_name}) is taken back: {count:,} acts reversed.")
        return DONE

    def refuse(self, mistakes: tuple[Mistake, ...]) -> int:
        """Name what stands in the way; that is an answer, other refusals are not."""
        for mistake in mistakes[:MOST_SHOWN]:
            self.complain(mistake.says)
        if len(mistakes) > MOST_SHOWN:
            self.complain(f"And {len(mistakes) - MOST_SHOWN:,} more like these.")
        return NO if all(isinstance(mistake, _NO) for mistake in mistakes) else UNUSABLE
