"""`manage.py verify`: prove the books of a station."""

from typing import Any

from hilum.plugins.host import the_host
from inventory.management.door import DONE, NO, Door, the_station
from inventory.queries.verifying import verify


class Command(Door):
    """Compare everything that is kept with what the acts say; exit status 1 where something differs."""

    help = "Prove the books: every row against its act, every act against the chain, every sum against stock."

    def answer(self, options: dict[str, Any]) -> int:
        """Verify the inventory's books and ask every plugin about its own records."""
        station = the_station(options)
        verdict = verify(station)
        found = the_host().check_records(station.code)
        differences = [*verdict.differences, *(f"{difference.where}: {difference.says}" for difference in found)]
        if options["json"]:
            counts = {"operations": verdict.operations, "entries": verdict.entries}
            self.say_json({**counts, "differences": differences, "chain": verdict.chain})
        else:
            self.say(*differences)
            self.say(
                f"{verdict.operations:,} acts with {verdict.entries:,} entries read: "
                f"{len(differences) or 'no'} difference{'' if len(differences) == 1 else 's'}; "
                f"the chain is {verdict.chain}."
            )
        return NO if differences or verdict.broken_at else DONE
