"""`manage.py origin REF`: names, pedigree and generation book of a line, or the pedigree of a cross."""

from argparse import ArgumentParser
from typing import Any

from inventory.management.door import DONE, Door, columns, the_station
from inventory.queries.breeding import Breeding, breeding_of, heterozygosity_words
from inventory.queries.generations import BookRow

HEADINGS = ("season", "of planned", "plot", "sown from", "how", "generation", "left of F1's heterozygosity")


class Command(Door):
    """Tell where a line or cross comes from, and how far its seed has been selfed."""

    help = "Show a line's names, pedigree and generation book, or a cross's pedigree."

    def take(self, parser: ArgumentParser) -> None:
        """Take a line or cross."""
        parser.add_argument("ref", help="A line, by any name it ever had, or a cross.")

    def answer(self, options: dict[str, Any]) -> int:
        """Find and write."""
        found = breeding_of(the_station(options), options["ref"])
        if options["json"]:
            self.say_json(found.as_json())
            return DONE
        self.say(*(note.says for note in found.notes), _head(found), f"Pedigree: {found.parentage.text}")
        self.say(*_parents(found))
        if found.book:
            self.say(*columns([HEADINGS, *map(_cells, found.book)]))
        return DONE


def _head(found: Breeding) -> str:
    market_class = f", {found.market_class}" if found.market_class else ""
    also = f", also called {', '.join(found.also)}" if found.also else ""
    cross = f", from cross {found.cross}" if found.cross and found.cross != found.name else ""
    return f"{str(found.kind).capitalize()} {found.name}{market_class}{also}{cross}."


def _parents(found: Breeding) -> list[str]:
    parts = [f"{name} {part.numerator}/{part.denominator}" for name, part in found.parentage.parts.items()]
    said = [f"Expected parts: {', '.join(parts)}."] if len(parts) > 1 else []
    if found.parentage.recurrent:
        said.append(f"Crossed back to {found.parentage.recurrent} {found.parentage.backcrosses} ×.")
    return said


def _cells(row: BookRow) -> tuple[str, ...]:
    return (
        str(row.season),
        f"{row.season_no} of {row.planned}",
        row.plot,
        ", ".join(row.sown_from),
        row.how,
        row.generation.words,
        heterozygosity_words(row.generation.heterozygosity),
    )
