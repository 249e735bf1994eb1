"""What is known of lines and crosses as passport data of an accession.

Source: FAO/Bioversity Multi-Crop Passport Descriptors V.2.1, 2015 (MCPD); what these books do not know stays empty.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from uuid import UUID

from django.db.models import Max, Q

from inventory.models import Cross, Line, LineName, Standing, Station, Stock
from inventory.queries.lineage import Key
from inventory.queries.notation import Parentage, parentages_of
from inventory.rules.taxon import AUTHORITY, CROP, GENUS, SEED_COLLECTION, SPECIES, status_of

SEPARATOR = ";"


@dataclass(frozen=True, kw_only=True)
class Passport:
    """One accession under the descriptors' own names, in their order; each a text, "" where it is not known.

    Attributes:
        accename, storage: several, in a file joined with ";" without a blank.
        remarks: what has no descriptor of its own, with the name of the one it belongs to before it.
        parentage: the pedigree behind ANCEST, for who asks further; None for a line from outside.
    """

    puid: str
    accenumb: str
    genus: str = GENUS
    species: str = SPECIES
    spauthor: str = AUTHORITY
    cropname: str = CROP
    accename: tuple[str, ...] = ()
    bredname: str = ""
    sampstat: str = ""
    ancest: str = ""
    storage: tuple[str, ...] = ()
    remarks: str = ""
    parentage: Parentage | None = None

    def as_texts(self) -> dict[str, str]:
        """Write it as one row of a file: descriptor -> text."""
        known = {field.name: getattr(self, field.name) for field in fields(self) if field.name != "parentage"}
        return {
            name.upper(): value if isinstance(value, str) else SEPARATOR.join(value) for name, value in known.items()
        }


def puid_of(uid: UUID) -> str:
    """Write a line's or cross's persistent identifier as a URN (RFC 9562, section 4)."""
    return f"urn:uuid:{uid}"


def station_passports(station: Station) -> list[Passport]:
    """Write the passports of all lines of a station that stand, and of its crosses, lines first, each by name."""
    lines = Line.objects.filter(station=station, merged_into__isnull=True).select_related("market_class", "cross")
    crosses = Cross.objects.filter(station=station)
    return passports_of(station, [*lines.order_by("name", "pk"), *crosses.order_by("code", "pk")])


def passports_of(station: Station, things: Sequence[Line | Cross]) -> list[Passport]:
    """Write passports in the order in which lines and crosses are given (5 queries, and 2 a generation of pedigrees).

    Args:
        things: lines with their market class at hand, or each costs a query more.
    """
    lines = [thing.pk for thing in things if isinstance(thing, Line)]
    names, generations, in_store = _names(lines), _generations(lines), _in_store(lines)
    parentages = parentages_of([key_of_thing(thing) for thing in things if _is_bred(thing)])

    return [
        _cross_passport(thing, station, parentages[key_of_thing(thing)])
        if isinstance(thing, Cross)
        else _line_passport(
            thing, station, parentages.get(key_of_thing(thing)), names[thing.pk], generations.get(thing.pk),
            in_store=thing.pk in in_store,
        )
        for thing in things
    ]  # fmt: skip


def _cross_passport(cross: Cross, station: Station, parentage: Parentage) -> Passport:
    status = status_of(is_cross=True, has_cross=True, generation=None)
    return Passport(
        puid=puid_of(cross.uid), accenumb=cross.code, bredname=station.name, sampstat=status, ancest=parentage.text,
        parentage=parentage,
    )  # fmt: skip


def _line_passport(
    line: Line, station: Station, parentage: Parentage | None, names: Sequence[str], generation: int | None, *,
    in_store: bool,
) -> Passport:  # fmt: skip
    return Passport(
        puid=puid_of(line.uid),
        accenumb=line.name,
        accename=(line.name, *(name for name in names if name != line.name)),
        bredname=station.name if parentage else "",
        sampstat=status_of(is_cross=False, has_cross=parentage is not None, generation=generation),
        ancest=parentage.text if parentage else "",
        storage=(SEED_COLLECTION,) if in_store else (),
        remarks=f"CROPNAME:{line.market_class.name}" if line.market_class else "",
        parentage=parentage,
    )


def key_of_thing(thing: Line | Cross) -> Key:
    """Name a line or cross as pedigrees do."""
    return ("line" if isinstance(thing, Line) else "cross"), thing.pk


def _is_bred(thing: Line | Cross) -> bool:
    return isinstance(thing, Cross) or thing.cross_id is not None


def _names(lines: Iterable[int]) -> dict[int, list[str]]:
    names: dict[int, list[str]] = defaultdict(list)
    for line, name in LineName.objects.filter(line__in=lines).order_by("name").values_list("line_id", "name"):
        names[line].append(name)
    return names


def _generations(lines: Iterable[int]) -> dict[int, int]:
    """The furthest generation that seed of each line has come to, where any was said."""
    standings = Standing.objects.filter(line__in=lines, made_by__isnull=False, generation__isnull=False)
    return dict(standings.order_by().values_list("line_id").annotate(most=Max("generation")))


def _in_store(lines: Iterable[int]) -> set[int]:
    return set(
        Stock.objects.filter(Q(lot__standing__line__in=lines), mg__gt=0)
        .order_by()
        .values_list("lot__standing__line_id", flat=True)
        .distinct()
    )
