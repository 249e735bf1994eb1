"""Who descends from whom, over lines and crosses as they stand in the books."""

from django.db.models import Q

from inventory.models import Cross, Line
from inventory.rules.descent import reaches

Person = tuple[str, int]  # "line" or "cross", and its key


def descends_from(cross: Cross, ancestor: Line) -> bool:
    """Say whether a line stands anywhere in the pedigree of a cross (2 queries a generation)."""
    return reaches(_parents([("cross", cross.pk)]), ("line", ancestor.pk), _parents)


def _parents(nodes: list[Person]) -> list[Person]:
    """The parents of crosses, and the crosses of lines, one step up."""
    crosses = [key for kind, key in nodes if kind == "cross"]
    lines = [key for kind, key in nodes if kind == "line"]
    parents: list[Person] = []
    for row in Cross.objects.filter(pk__in=crosses).values("female", "male", "female_cross", "male_cross"):
        parents += [("line", key) for key in (row["female"], row["male"]) if key is not None]
        parents += [("cross", key) for key in (row["female_cross"], row["male_cross"]) if key is not None]
    came_from = Line.objects.filter(Q(pk__in=lines) & Q(cross__isnull=False)).values_list("cross_id", flat=True)
    return parents + [("cross", key) for key in came_from if key is not None]
