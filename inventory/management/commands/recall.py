"""`manage.py recall REF`: what shares the seed of a thing that is bad, where it stands, and who got it.

`--keep` keeps the answer as a dated drill; `--kept` lists the drills that were kept.
"""

from argparse import ArgumentParser
from fractions import Fraction
from typing import Any

from inventory.actions.drilling import keep_drill
from inventory.management.door import DONE, Door, take_person, the_person, the_station
from inventory.models import Station
from inventory.queries.drills import kept_drills
from inventory.queries.recalling import Recall, RecalledPart, recall
from inventory.rules.mass import kg_words
from inventory.rules.rounding import half_up, half_up_int


class Command(Door):
    """Answer the recall question on one page."""

    help = (
        "Name all lots, bags, sown plots and shipments that share a thing's seed, and how much of it is accounted for."
    )

    def take(self, parser: ArgumentParser) -> None:
        """Take what is bad."""
        parser.add_argument(
            "ref", nargs="?", default="", help="Lot, bag (24-0016-5/14), plot, plant, line, cross, season or sender."
        )
        parser.add_argument(
            "--keep", action="store_true", help="Keep the answer as a dated drill; needs --by, --reason."
        )
        parser.add_argument("--kept", action="store_true", help="List the drills that were kept, newest first.")
        take_person(parser)
        parser.add_argument("--reason", default="", help="Why the drill is held; it is kept with it.")

    def answer(self, options: dict[str, Any]) -> int:
        """Recall and write."""
        station = the_station(options)
        if options["kept"]:
            return self._list(station, as_json=options["json"])
        found = recall(station, options["ref"])
        if options["keep"]:
            keep_drill(options["ref"], station=station, by=the_person(options), reason=options["reason"])
        if options["json"]:
            self.say_json(found.as_json())
            return DONE
        self.say(
            f"What shares the seed of {found.ref}: {kg_words(found.in_store_mg)} kg in store, "
            f"{kg_words(found.gone_mg)} kg gone."
        )
        self.say(*_lots(found))
        self.say(*_parts("Bag", found.bags), *_parts("Sown on", found.plots), *_parts("Shipped", found.shipments))
        self.say(*_accounts(found), *(["This drill is kept in the books."] if options["keep"] else []))
        return DONE

    def _list(self, station: Station, *, as_json: bool) -> int:
        drills = kept_drills(station)
        if as_json:
            self.say_json(drills)
        else:
            self.say(*(map(_drill, drills)) if drills else ["No drill was kept yet."])
        return DONE


def _drill(kept: dict[str, Any]) -> str:
    found = f"{kept['accounted_pct']} % accounted for" if kept["accounted_pct"] else "it never held seed"
    return (
        f"{kept['date'][:10]}  {kept['ref']}: {found}; {kept['in_store_kg']} kg in store, {kept['gone_kg']} kg gone "
        f"({kept['by']}: {kept['reason']})"
    )


def _lots(found: Recall) -> list[str]:
    return [
        f"  Lot {lot.label}: {half_up(lot.share * 100, 2)} % of it; {kg_words(lot.in_store_mg)} kg in store"
        + (", on hold" if lot.is_held else "")
        for lot in found.lots
    ]


def _parts(word: str, parts: list[RecalledPart]) -> list[str]:
    return [
        f"  {word} {part.label}"
        + (f", {kg_words(part.mg)} kg" if part.mg is not None else "")
        + (f", at {part.who}" if word == "Bag" else "")
        + (f", {part.day.isoformat()}" if part.day else "")
        for part in parts
    ]


def _accounts(found: Recall) -> list[str]:
    if found.accounted_share is None:
        return [f"{found.ref} never held seed."]
    said = [f"{account} {kg_words(_to_the_gram(mg))}" for account, mg in found.ended.items()]
    return [
        f"Its own seed, in kg: {', '.join(said)}.",
        f"Accounted for: {half_up(found.accounted_share * 100, 2)} %.",
    ]


def _to_the_gram(mg: Fraction) -> int:
    """Round what was shared out to what a scale could show; --json keeps all of it."""
    return half_up_int(mg / 1000) * 1000
