"""`manage.py recall REF`: what shares the seed of a thing that is bad, where it stands, and who got it."""

from argparse import ArgumentParser
from typing import Any

from inventory.management.door import DONE, Door, the_station
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
        parser.add_argument("ref", help="Lot, bag (24-0016-5/14), plot, plant, line, cross, season or sender.")

    def answer(self, options: dict[str, Any]) -> int:
        """Recall and write."""
        found = recall(the_station(options), options["ref"])
        if options["json"]:
            self.say_json(found.as_json())
            return DONE
        self.say(
            f"What shares the seed of {found.ref}: {kg_words(found.in_store_mg)} kg in store, "
            f"{kg_words(found.gone_mg)} kg gone."
        )
        self.say(*_lots(found))
        self.say(*_parts("Bag", found.bags), *_parts("Sown on", found.plots), *_parts("Shipped", found.shipments))
        self.say(*_accounts(found))
        return DONE


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
    said = [f"{account} {kg_words(half_up_int(mg))}" for account, mg in found.ended.items()]
    return [
        f"Its own seed, in kg: {', '.join(said)}.",
        f"Accounted for: {half_up(found.accounted_share * 100, 2)} %.",
    ]
