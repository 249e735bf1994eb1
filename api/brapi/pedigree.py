"""Pedigrees: who the parents are, their parents, sibs and offspring; never deeper than asked, and never in a circle."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from django.db.models import Q

from api.brapi.asked import Asked, read_query
from api.brapi.envelope import Rows
from api.brapi.germplasm import (
    FILTERS,
    LinesAndCrosses,
    Thing,
    dbid_of,
    every,
    found,
    method_name,
    method_of,
    name_of,
    standing,
)
from api.brapi.routes import Route
from api.brapi.things import Things
from inventory.models import Cross
from inventory.queries.families import Family, Relative, ancestors, descendants, family_of
from inventory.queries.lineage import Key
from inventory.queries.notation import Parentage, parentages_of
from inventory.queries.passports import key_of_thing, puid_of

DEEPEST = 50  # generations; no programme is older
MOST_NODES = 20_000
_FLAGS = ("includeParents", "includeSiblings", "includeProgeny", "includeFullTree", "pedigreeDepth", "progenyDepth")


def _widen(rows: Rows, asked: Asked) -> Rows:
    """Add the generations above and below that were asked for: a depth of 1 is in parents and progeny already."""
    is_whole = asked.flag("includeFullTree", default=False)
    up = DEEPEST if is_whole else asked.number("pedigreeDepth", 1) - 1
    down = DEEPEST if is_whole else asked.number("progenyDepth", 1) - 1
    if (up <= 0 and down <= 0) or not isinstance(rows, LinesAndCrosses):
        return rows
    keys = [("line", pk) for pk in rows.lines.order_by("pk").values_list("pk", flat=True)]
    keys += [("cross", pk) for pk in rows.crosses.order_by("pk").values_list("pk", flat=True)]
    above, more_above = ancestors(keys, min(max(up, 0), DEEPEST))
    below, more_below = descendants(keys, min(max(down, 0), DEEPEST))
    nodes = list(dict.fromkeys([*keys, *_met(above), *_met(below)]))
    is_cut = (more_above and up >= DEEPEST) or (more_below and down >= DEEPEST) or len(nodes) > MOST_NODES
    if is_cut:
        asked.warnings.append(f"The tree is cut off: {DEEPEST} generations and {MOST_NODES:,} nodes are the most.")
    return _rows_of(nodes[:MOST_NODES], asked)


def _met(found_: Mapping[Key, list[Relative]]) -> Iterable[Key]:
    return (relative.key for relatives in found_.values() for relative in relatives)


def _rows_of(nodes: Sequence[Key], asked: Asked) -> LinesAndCrosses:
    lines = [row for kind, row in nodes if kind == "line"]
    crosses = [row for kind, row in nodes if kind == "cross"]
    return every(asked).narrowed(Q(pk__in=lines), Q(pk__in=crosses))


def _tell(things: Sequence[Thing], asked: Asked) -> list[dict[str, Any]]:
    """Tell a page of pedigrees (at most 14 queries, and 2 a generation of notations)."""
    with_sibs = asked.flag("includeSiblings", default=False)
    with_progeny = asked.flag("includeProgeny", default=False)
    keys = [key_of_thing(thing) for thing in things]
    family = family_of(keys, with_sibs=with_sibs, with_offspring=with_progeny)
    parentages = parentages_of([key for key in keys if family.parents[key]])
    tells: dict[str, Callable[[Family, Key], list[dict[str, Any]]]] = {}
    if asked.flag("includeParents", default=True):
        tells["parents"] = parents_told
    if with_sibs:
        tells["siblings"] = sibs_told
    if with_progeny:
        tells["progeny"] = progeny_told
    return [
        _node(thing, parentages.get(key)) | {name: told(family, key) for name, told in tells.items()}
        for thing, key in zip(things, keys, strict=True)
    ]


def _node(thing: Thing, parentage: Parentage | None) -> dict[str, Any]:
    method = method_of(parentage)
    return {
        "germplasmDbId": dbid_of(thing),
        "germplasmName": name_of(thing),
        "germplasmPUI": puid_of(thing.uid),
        "defaultDisplayName": name_of(thing),
        "familyCode": _family_code(thing),
        "breedingMethodDbId": method,
        "breedingMethodName": method_name(method),
        "pedigreeString": parentage.text if parentage else None,
    }


def _family_code(thing: Thing) -> str:
    if isinstance(thing, Cross):
        return thing.code
    return thing.cross.code if thing.cross else ""


def parents_told(family: Family, key: Key) -> list[dict[str, Any]]:
    """Tell parents with what they were: FEMALE and MALE of a cross, the SELF of a line that was bred from one."""
    return [_named(family, one.key) | {"parentType": str(one.role)} for one in family.parents.get(key, ())]


def progeny_told(family: Family, key: Key) -> list[dict[str, Any]]:
    """Tell offspring with what this one was to them."""
    return [_named(family, one.key) | {"parentType": str(one.role)} for one in family.offspring.get(key, ())]


def sibs_told(family: Family, key: Key) -> list[dict[str, Any]]:
    """Tell full sibs."""
    return [_named(family, sib) for sib in family.full_sibs(key)]


def _named(family: Family, key: Key) -> dict[str, Any]:
    thing = family.things[key]
    return {"germplasmDbId": dbid_of(thing), "germplasmName": name_of(thing)}


def _old_pedigree(asked: Asked, dbid: str) -> Mapping[str, Any]:
    """Answer the address that version 2.1 replaced by pedigree, since many programs still ask there."""
    read_query(asked, ("notation", "includeSiblings"))
    if asked.one("notation").casefold() not in ("", "purdy"):
        asked.warnings.append("Pedigrees are written in Purdy's notation alone.")
    thing = found(asked, dbid)
    key = key_of_thing(thing)
    with_sibs = asked.flag("includeSiblings", default=False)
    family = family_of([key], with_sibs=with_sibs, with_offspring=False)
    parentage = parentages_of([key])[key] if family.parents[key] else None
    return {
        "germplasmDbId": dbid_of(thing),
        "germplasmName": name_of(thing),
        "familyCode": _family_code(thing),
        "pedigree": parentage.text if parentage else None,
        "parents": parents_told(family, key),
        "siblings": sibs_told(family, key) if with_sibs else None,
    }


def _old_progeny(asked: Asked, dbid: str) -> Mapping[str, Any]:
    read_query(asked, ())
    thing = found(asked, dbid)
    key = key_of_thing(thing)
    family = family_of([key], with_sibs=False, with_offspring=True)
    return {
        "germplasmDbId": dbid_of(thing), "germplasmName": name_of(thing), "progeny": progeny_told(family, key),
    }  # fmt: skip


PEDIGREE = Things(
    "pedigree", "germplasm", "germplasmDbId", standing, _tell, FILTERS, flags=_FLAGS, has_one=False, has_search=True,
    widen=_widen,
)  # fmt: skip
THINGS = (PEDIGREE,)
ROUTES = (
    Route("germplasm/{germplasmDbId}/pedigree", _old_pedigree),
    Route("germplasm/{germplasmDbId}/progeny", _old_progeny),
)
