"""Pedigrees of lines with those of all their ancestors, and what was really grown of a backcross."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Q, Sum

from inventory.models import Cross, Line, LineName, Pollination, Station
from inventory.queries.finding import find_cross, find_line
from inventory.queries.notation import parentage_of
from inventory.rules.mistakes import Mistake
from inventory.rules.pedigree import Pedigree, contributions

MOST_ANCESTORS = 400


class TooManyAncestors(Mistake):
    """More ancestors than a table of pairs can hold."""

    code = "too_many_ancestors"

    def __init__(self) -> None:
        says = f"These lines have more than {MOST_ANCESTORS} ancestors in the books. Name fewer lines."
        super().__init__(says, field="lines")


class NoBackcross(Mistake):
    """A line or cross that was not crossed back to anything."""

    code = "no_backcross"

    def __init__(self, name: str, pedigree: str) -> None:
        says = f"{name} is {pedigree}: no parent was crossed back to. Name the last backcross, or a line from it."
        super().__init__(says, field="grown")


@dataclass(frozen=True)
class Grown:
    """One cross of a backcross programme, and what its pollinations gave.

    Attributes:
        step: "F1", "BC1" …
        cross: its code.
        pollinations, buds, pods, seeds: of the crossing log; all 0 where nothing was written down.
    """

    step: str
    cross: str
    pollinations: int
    buds: int
    pods: int
    seeds: int


def pedigrees_of(station: Station, lines: Iterable[Line]) -> dict[str, Pedigree | None]:
    """Give the pedigree of lines and of all lines above them, by name; founders have None.

    Costs about four queries and two a generation for each line that has a cross.

    Raises:
        Mistake: there are more ancestors than a table can hold.
    """
    found: dict[str, Pedigree | None] = {}
    waiting = list(lines)
    while waiting:
        line = waiting.pop()
        if line.name in found:
            continue
        if len(found) == MOST_ANCESTORS:
            raise TooManyAncestors
        pedigree = parentage_of(line).pedigree if line.cross_id else None
        found[line.name] = pedigree if pedigree != line.name else None
        parents = [] if pedigree is None else [name for name in contributions(pedigree) if name not in found]
        named = LineName.objects.filter(station=station, name__in=parents).select_related("line__merged_into")
        waiting += [each.line.merged_into or each.line for each in named]
    return found


def grown_backcross(station: Station, typed: str) -> tuple[str, list[Grown]]:
    """Give the recurrent parent of a backcross and each of its crosses, the first one first.

    Args:
        typed: code of the last cross, or a line that came from it.

    Raises:
        Mistake: there is no such line or cross, or nothing was crossed back to.
    """
    last = _cross_of(station, typed)
    parentage = parentage_of(last)
    if not parentage.backcrosses:
        raise NoBackcross(last.code, parentage.text)
    chain = [last]
    while len(chain) <= parentage.backcrosses:
        inner = _inner(chain[-1], parentage.recurrent)
        if inner is None:
            break
        chain.append(inner)
    chain.reverse()
    counted = _counted(chain)
    return parentage.recurrent, [
        Grown(f"BC{t}" if t else "F1", cross.code, *counted.get(cross.pk, (0, 0, 0, 0)))
        for t, cross in enumerate(chain)
    ]


def _cross_of(station: Station, typed: str) -> Cross:
    try:
        return find_cross(station, typed, field="grown")[0]
    except Mistake:
        line = find_line(station, typed, field="grown")[0]
    if line.cross is None:
        raise NoBackcross(line.name, "a line without a cross")
    return line.cross


def _inner(cross: Cross, recurrent: str) -> Cross | None:
    """The earlier cross on the other side of the recurrent parent."""
    if cross.female and (cross.female.merged_into or cross.female).name == recurrent:
        return cross.male_cross
    return cross.female_cross


def _counted(crosses: list[Cross]) -> dict[int, tuple[int, int, int, int]]:
    rows = Pollination.objects.filter(Q(cross__in=crosses) & Q(operation__reversed_by__isnull=True)).values("cross_id")
    sums = rows.annotate(
        times=Count("pk"), buds=Sum("buds_tried"), pods=Sum("pods_set"), seeds=Sum("seeds_taken")
    ).order_by()
    return {row["cross_id"]: (row["times"], row["buds"], row["pods"], row["seeds"]) for row in sums}
