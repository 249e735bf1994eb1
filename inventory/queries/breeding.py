"""A line or cross as its breeder asks for it: names, pedigree, generation book, and the crossing log."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from inventory.models import Cross, Line, LineName, Pollination, Station
from inventory.queries.anything import ThingKind, find_anything
from inventory.queries.crossing import CrossingRates, ParentRate
from inventory.queries.generations import BookRow, Generation, generation_book
from inventory.queries.notation import Parentage, parentage_of
from inventory.rules.mistakes import Mistake, Note
from inventory.rules.rounding import half_up
from inventory.rules.shares import share_text


class NeitherLineNorCross(Mistake):
    """What was named has no pedigree of its own."""

    code = "neither_line_nor_cross"

    def __init__(self, name: str, kind: str) -> None:
        super().__init__(f"{name} is a {kind}. Name a line or a cross; trace {name} says which it came from.")


@dataclass(frozen=True)
class Breeding:
    """Where a line or cross comes from, and how far its seed has been selfed.

    Args:
        also: every other name the line ever had.
        cross: code of the cross a line came from, or of the cross itself; "" where it is not known.
        book: the line's generation book, oldest season first; a cross has none.
    """

    name: str
    kind: ThingKind
    market_class: str
    also: tuple[str, ...]
    cross: str
    parentage: Parentage
    book: tuple[BookRow, ...]
    notes: tuple[Note, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Write it with exact shares as text."""
        return {
            "ref": self.name,
            "kind": str(self.kind),
            "class": self.market_class or None,
            "also": list(self.also),
            "cross": self.cross or None,
            "pedigree": self.parentage.text,
            "parents": {name: share_text(part) for name, part in self.parentage.parts.items()},
            "recurrent": self.parentage.recurrent or None,
            "backcrosses": self.parentage.backcrosses,
            "book": [_book_json(row) for row in self.book],
        }


def breeding_of(station: Station, ref: str) -> Breeding:
    """Tell a line or cross (about twelve queries, and two for each generation of its pedigree).

    Raises:
        Mistake: nothing is called so, or it is neither a line nor a cross.
    """
    thing = find_anything(station, ref)
    if thing.kind is ThingKind.LINE:
        line = Line.objects.select_related("market_class", "cross").get(pk=thing.keys[0])
        names = LineName.objects.filter(line__in=[line.pk, *_merged(line)]).exclude(name=line.name).order_by("name")
        return Breeding(
            line.name, thing.kind, str(line.market_class or ""), tuple(names.values_list("name", flat=True)),
            str(line.cross or ""), parentage_of(line), tuple(generation_book(line)), thing.notes,
        )  # fmt: skip
    if thing.kind is ThingKind.CROSS:
        cross = Cross.objects.get(pk=thing.keys[0])
        return Breeding(cross.code, thing.kind, "", (), cross.code, parentage_of(cross), (), thing.notes)
    raise NeitherLineNorCross(thing.id, thing.kind)


def _merged(line: Line) -> Sequence[int]:
    return list(Line.objects.filter(merged_into=line).values_list("pk", flat=True))


def _book_json(row: BookRow) -> dict[str, Any]:
    return {
        "season": row.season, "season_no": row.season_no, "planned": row.planned, "plot": row.plot,
        "sown_from": list(row.sown_from), "how": row.how or None, **generation_json(row.generation),
    }  # fmt: skip


def generation_json(generation: Generation) -> dict[str, str | None]:
    """Write a generation and the part of the F1's heterozygosity that is expected in it."""
    left = generation.heterozygosity
    return {"generation": generation.words or None, "heterozygosity": share_text(left)}


def heterozygosity_words(left: Fraction | None) -> str:
    """Write the expected heterozygosity as a per cent of the F1's, with two decimals; "" where it is not known."""
    return "" if left is None else f"{half_up(left * 100, 2)} %"


def crossing_log(station: Station) -> list[dict[str, Any]]:
    """List pollinations that stand, oldest first, the female on top (1 query)."""
    rows = Pollination.objects.filter(station=station, operation__reversed_by__isnull=True).select_related(
        "operation__by", "cross__female", "cross__male", "cross__female_cross", "cross__male_cross"
    )
    return [
        {
            "date": row.operation.at.isoformat(),
            "by": row.operation.by.get_username(),
            "cross": row.cross.code,
            "female": str(row.cross.female or row.cross.female_cross),
            "male": str(row.cross.male or row.cross.male_cross),
            "buds": row.buds_tried,
            "pods": row.pods_set,
            "seeds": row.seeds_taken,
        }
        for row in rows.order_by("operation__at", "pk")
    ]


def rates_json(rates: CrossingRates) -> dict[str, Any]:
    """Write the shares of pollinations that set, with their likely ranges [1]."""
    return {side: [_rate_json(rate) for rate in getattr(rates, side)] for side in ("by_female", "by_male")}


def _rate_json(rate: ParentRate) -> dict[str, Any]:
    return {
        "parent": rate.parent, "crosses": rate.crosses, "buds": rate.buds, "pods": rate.pods, "seeds": rate.seeds,
        "share": round(rate.share.estimate, 4), "likely": [round(rate.share.low, 4), round(rate.share.high, 4)],
    }  # fmt: skip
