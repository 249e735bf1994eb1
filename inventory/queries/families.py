"""Parents, offspring and full sibs of lines and crosses, a generation at a time and never in a circle.

A line that came from a cross has that cross as its one parent, since it was bred from its seed by selfing; a cross has
its female and its male, or one parent where both are the same line.
"""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from django.db.models import Q

from inventory.models import Cross, Line
from inventory.queries.descending import crosses_with_parents, parents_of_cross
from inventory.queries.lineage import Key
from inventory.queries.uses import in_parts


class Role(StrEnum):
    """What a parent was."""

    FEMALE = "FEMALE"
    MALE = "MALE"
    SELF = "SELF"


@dataclass(frozen=True)
class Relative:
    """A parent or child, and the role that the parent of the two has."""

    key: Key
    role: Role


@dataclass
class Family:
    """What was found around some lines and crosses.

    Attributes:
        parents, offspring: complete for each key that was asked about, none for others.
        things: the lines and crosses themselves, by key.
    """

    parents: dict[Key, list[Relative]] = field(default_factory=dict)
    offspring: dict[Key, list[Relative]] = field(default_factory=dict)
    things: dict[Key, Line | Cross] = field(default_factory=dict)

    def full_sibs(self, key: Key) -> list[Key]:
        """Name those that have just the same parents, where the parents' offspring were asked for."""
        own = self.parents.get(key, [])
        if not own:
            return []
        shared = [{child.key for child in self.offspring.get(parent.key, ())} for parent in own]
        sibs = set[Key].intersection(*shared) - {key}
        return sorted(sib for sib in sibs if self._parents_named(sib) == self._parents_named(key))

    def _parents_named(self, key: Key) -> set[Key]:
        return {parent.key for parent in self.parents.get(key, ())}


def ancestors(starts: Collection[Key], generations: int) -> tuple[dict[Key, list[Relative]], bool]:
    """Find parents, and theirs, so many generations up (2 queries each).

    Returns:
        The parents of everything that was met on the way but the last generation, and whether there is more above it.
    """
    return _walked(starts, generations, _parents_of)


def descendants(starts: Collection[Key], generations: int) -> tuple[dict[Key, list[Relative]], bool]:
    """Find offspring, and theirs, so many generations down (2 queries each); the same as `ancestors` the other way."""
    return _walked(starts, generations, _offspring_of)


def family_of(keys: Collection[Key], *, with_sibs: bool, with_offspring: bool) -> Family:
    """Find the parents, and where wanted the full sibs and offspring, of some (at most 12 queries)."""
    family = Family(parents=_parents_of(keys))
    if with_sibs:
        above = {parent.key for parents in family.parents.values() for parent in parents}
        family.offspring.update(_offspring_of(above))
        sibs = {child.key for key in above for child in family.offspring.get(key, ())} - set(keys)
        family.parents.update(_parents_of(sibs))
    if with_offspring:
        family.offspring.update(_offspring_of(keys))
    met = {one.key for found in (family.parents, family.offspring) for rows in found.values() for one in rows}
    family.things = things_of({*keys, *family.parents, *met})
    return family


def things_of(keys: Iterable[Key]) -> dict[Key, Line | Cross]:
    """Read lines and crosses by key (2 queries for every 5,000)."""
    wanted = list(keys)
    found: dict[Key, Line | Cross] = {}
    for rows in in_parts(_rows(wanted, "line")):
        found.update({("line", line.pk): line for line in Line.objects.filter(pk__in=rows)})
    for rows in in_parts(_rows(wanted, "cross")):
        found.update({("cross", cross.pk): cross for cross in Cross.objects.filter(pk__in=rows)})
    return found


def _walked(
    starts: Collection[Key], generations: int, step: Callable[[Collection[Key]], Mapping[Key, list[Relative]]]
) -> tuple[dict[Key, list[Relative]], bool]:
    found: dict[Key, list[Relative]] = {}
    fresh = list(dict.fromkeys(starts))
    for _generation in range(generations):
        if not fresh:
            break
        found.update(step(fresh))
        fresh = [key for key in dict.fromkeys(one.key for at in fresh for one in found.get(at, ())) if key not in found]
    return found, bool(fresh)


def _parents_of(keys: Collection[Key]) -> dict[Key, list[Relative]]:
    """Find parents, female first; who has none here has an empty list (2 queries)."""
    found: dict[Key, list[Relative]] = {key: [] for key in keys}
    for rows in in_parts(_rows(keys, "line")):
        bred = Line.objects.filter(pk__in=rows, cross__isnull=False).values_list("pk", "cross_id")
        found.update({("line", line): [Relative(("cross", cross or 0), Role.SELF)] for line, cross in bred})
    for rows in in_parts(_rows(keys, "cross")):
        found.update(
            {("cross", row["pk"]): _roles(parents_of_cross(row)) for row in crosses_with_parents(Q(pk__in=rows))}
        )
    return found


def _offspring_of(keys: Collection[Key]) -> dict[Key, list[Relative]]:
    """Find offspring in the order of their keys, lines before crosses (3 queries)."""
    found: dict[Key, list[Relative]] = {key: [] for key in keys}
    for some in in_parts(_rows(keys, "cross")):
        bred = Line.objects.filter(cross__in=some, merged_into__isnull=True).order_by("pk")
        for cross, line in bred.values_list("cross_id", "pk"):
            found[("cross", cross or 0)].append(Relative(("line", line), Role.SELF))
    for cross, parents in _crosses_made_of(keys):
        for parent in parents:
            if parent.key in found:
                found[parent.key].append(Relative(("cross", cross), parent.role))
    return found


def _crosses_made_of(keys: Collection[Key]) -> list[tuple[int, list[Relative]]]:
    made: dict[int, list[Relative]] = {}
    for some in in_parts(_rows(keys, "line")):
        rows = crosses_with_parents(Q(mother__in=some) | Q(father__in=some))
        made.update({row["pk"]: _roles(parents_of_cross(row)) for row in rows})
    for some in in_parts(_rows(keys, "cross")):
        rows = crosses_with_parents(Q(female_cross__in=some) | Q(male_cross__in=some))
        made.update({row["pk"]: _roles(parents_of_cross(row)) for row in rows})
    return sorted(made.items(), key=lambda one: one[0])


def _roles(parents: list[Key]) -> list[Relative]:
    """Say which of a cross's parents is which; both the same is one plant selfed."""
    if len(set(parents)) == 1:
        return [Relative(parents[0], Role.SELF)]
    return [Relative(key, role) for key, role in zip(parents, (Role.FEMALE, Role.MALE), strict=True)]


def _rows(keys: Collection[Key], kind: str) -> list[int]:
    return [row for word, row in keys if word == kind and isinstance(row, int)]
