"""Pedigrees of lines and crosses as the books have them, in Purdy's notation, with each parent's expected part."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.models import Cross, Line
from inventory.queries.descending import step_up
from inventory.queries.lineage import Key, Lineage
from inventory.rules.pedigree import Cross as Crossing
from inventory.rules.pedigree import Pedigree, contributions, render_pedigree

DEEPEST = 12  # crosses one above the other that are written out; what lies deeper goes by its code


@dataclass(frozen=True)
class Parentage:
    """Who the parents are.

    Args:
        text: in Purdy's notation, female left; a line without a cross is its own name.
        parts: parent -> its expected part [1]; they sum to 1.
        recurrent: the parent that was crossed back to, "" where there is none.
        backcrosses: how often.
        pedigree: the same as crosses, for sums.
    """

    text: str
    parts: dict[str, Fraction]
    recurrent: str = ""
    backcrosses: int = 0
    pedigree: Pedigree = ""

    @property
    def recurrent_share(self) -> Fraction | None:
        """The expected part of the recurrent parent [1]."""
        return self.parts[self.recurrent] if self.recurrent else None


def parentage_of(thing: Line | Cross) -> Parentage:
    """Write the pedigree of a line or cross; lines stand by their names, crosses that bear none are written out.

    Costs two queries for each generation and two more.
    """
    ref = ("line" if isinstance(thing, Line) else "cross", thing.pk)
    return parentages_of([ref])[ref]


def parentages_of(things: Sequence[Key]) -> dict[Key, Parentage]:
    """Write the pedigrees of many lines and crosses, at the cost of the one that goes furthest back."""
    if not things:
        return {}
    lineage = Lineage(things[0])
    lineage.met.update(dict.fromkeys(things))
    step_up(lineage)
    book = _Book(lineage)
    return {thing: _parentage(book.written(thing, depth=0)) for thing in things}


def _parentage(pedigree: Pedigree) -> Parentage:
    recurrent, backcrosses = _recurrent(pedigree)
    return Parentage(render_pedigree(pedigree), contributions(pedigree), recurrent, backcrosses, pedigree)


class _Book:
    """Names of lines and crosses, and the parents of crosses, female first."""

    def __init__(self, lineage: Lineage) -> None:
        self.crosses = Cross.objects.in_bulk(lineage.rows("cross"))
        parents = {pk for cross in self.crosses.values() for pk in (cross.female_id, cross.male_id) if pk}
        self.lines = Line.objects.select_related("merged_into").in_bulk(parents | set(lineage.rows("line")))

    def written(self, key: Key, depth: int) -> Pedigree:
        kind, row = key
        if kind == "line":
            line = self.lines[int(row)]
            own = line.cross_id if depth == 0 else None
            return self.written(("cross", own), 1) if own else (line.merged_into or line).name
        cross = self.crosses[int(row)]
        if depth > DEEPEST:
            return cross.code
        return Crossing(
            self._parent(cross.female_id, cross.female_cross_id, depth),
            self._parent(cross.male_id, cross.male_cross_id, depth),
        )

    def _parent(self, line: int | None, cross: int | None, depth: int) -> Pedigree:
        key: Key = ("line", line) if line is not None else ("cross", cross or 0)
        return self.written(key, depth + 1)


def _recurrent(pedigree: Pedigree) -> tuple[str, int]:
    """Find the parent that each later cross went back to, and how many did."""
    if isinstance(pedigree, str):
        return "", 0
    for name in (pedigree.female, pedigree.male):
        if isinstance(name, str) and (doses := _doses(pedigree, name)) > 1:
            return name, doses - 1
    return "", 0


def _doses(pedigree: Pedigree, name: str) -> int:
    """Count the crosses, from the last one down, in which a name is a parent."""
    doses = 0
    while isinstance(pedigree, Crossing) and name in (pedigree.female, pedigree.male):
        doses += 1
        pedigree = pedigree.male if pedigree.female == name else pedigree.female
    return doses
