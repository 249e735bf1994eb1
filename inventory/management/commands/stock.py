"""`manage.py stock [--line L] [--class C] [--place P]`: what is in store."""

from argparse import ArgumentParser
from typing import Any

from inventory.management.door import DONE, Door, columns, the_person, the_station
from inventory.queries.stocking import StockRow, stock
from inventory.rules.mass import kg_words

HEADINGS = ("lot", "line", "class", "place", "kg", "bags", "promised", "hold", "grade", "germination")


class Command(Door):
    """List lots by place with what is left, promised, held and known of their quality."""

    help = "List what is in store, all of it or by line, class and place."

    def take(self, parser: ArgumentParser) -> None:
        """Take what to keep, and who asks."""
        parser.add_argument("--by", default="", help="Who asks: what is hidden from this account stays out.")
        parser.add_argument("--line", default="", help="Keep this line, by any name it ever had.")
        parser.add_argument("--class", dest="market_class", default="", help="Keep this market class.")
        parser.add_argument("--place", default="", help="Keep what stands here.")

    def answer(self, options: dict[str, Any]) -> int:
        """List, and sum up."""
        kept = {name: options[name] for name in ("line", "market_class", "place")}
        person = the_person(options).get_username() if options["by"] else ""
        rows = stock(the_station(options), **kept, person=person)
        if options["json"]:
            self.say_json([row.as_json() for row in rows])
            return DONE
        if rows:
            self.say(*columns([HEADINGS, *map(_cells, rows)], right=frozenset({4, 5, 6})))
        lots = len({row.lot for row in rows})
        self.say(f"{kg_words(sum(row.mg for row in rows))} kg in {lots} lot{'' if lots == 1 else 's'}.")
        return DONE


def _cells(row: StockRow) -> tuple[str, ...]:
    return (
        row.lot,
        row.line or "blend",
        row.market_class or "",
        row.place,
        kg_words(row.mg),
        str(row.bags or ""),
        kg_words(row.promised_mg) if row.promised_mg else "",
        row.hold,
        row.last_grade or "",
        row.last_germination or "",
    )
