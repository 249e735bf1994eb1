"""`manage.py work`: do what waits beside the web server, until it is told to stop; `--once` for cron and tests."""

import os
import signal
from argparse import ArgumentParser
from typing import Any

from django.db import close_old_connections

from api.jobs.doing import STOPPING
from api.work.duties import do_duties
from inventory.management.door import DONE, NO, Door

IDLE = 2.0  # seconds between two looks where nothing waited
MOST_AT_ONCE = 10_000  # rounds of --once, so that it ends whatever comes in


class Command(Door):
    """Does jobs, tells webhooks, and whatever else waits."""

    help = "Do what waits beside the web server: jobs, webhooks. Runs until it is stopped; any number may run at once."

    def take(self, parser: ArgumentParser) -> None:
        """Take --once and --beside."""
        parser.add_argument("--once", action="store_true", help="End when nothing waits any longer.")
        parser.add_argument("--beside", type=int, help="Number of the process that it ends with.")

    def answer(self, options: dict[str, Any]) -> int:
        """Do duties over and over; with --once, tell what was done and fail if a duty did."""
        if options["once"]:
            return self._once(is_json=options["json"])
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: STOPPING.set())
        while not STOPPING.is_set() and options["beside"] in (None, os.getppid()):
            if not any(done > 0 for done in do_duties().values()):
                STOPPING.wait(IDLE)
            close_old_connections()
        return DONE

    def _once(self, *, is_json: bool) -> int:
        total: dict[str, int] = {}
        failed: set[str] = set()
        for _round in range(MOST_AT_ONCE):
            done = do_duties()
            failed |= {name for name, count in done.items() if count < 0}
            total = {name: total.get(name, 0) + max(count, 0) for name, count in done.items()}
            if not any(count > 0 for count in done.values()):
                break
        if is_json:
            self.say_json({"done": total, "failed": sorted(failed)})
        else:
            self.say(*(f"{name}: {count}" for name, count in total.items()))
        self.complain(*(f"{name} failed; the log says why." for name in sorted(failed)))
        return NO if failed else DONE
