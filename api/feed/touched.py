"""What an act touched, read from its own text: lots, bags, plots, lines and the rest, as people call them.

The text of an act keeps keys; their names are looked up for a whole page of acts at once.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any, TypeAlias
from uuid import UUID

from django.apps import apps
from django.db.models import ForeignKey, Model, QuerySet, TextField, Value
from django.db.models.functions import Cast

from grading.models import Sample
from inventory.models import Bag, Cross, Line, Lot, Place, Plant, Plot, Site
from inventory.rules.nodes import NodeKind, key_of, kind_of

Content: TypeAlias = Mapping[str, Any]
Key: TypeAlias = tuple[str, int]
# Kind of thing -> its table, and the column by which people name it.
NAMED: Mapping[str, tuple[type[Model], str]] = {
    "lots": (Lot, "number"), "plots": (Plot, "code"), "lines": (Line, "name"), "crosses": (Cross, "code"),
    "plants": (Plant, "number"), "places": (Place, "code"), "sites": (Site, "code"), "samples": (Sample, "number"),
}  # fmt: skip
_OF_MODEL = {model: kind for kind, (model, _column) in NAMED.items()}
_OF_NODE = {NodeKind.LOT: "lots", NodeKind.PLOT: "plots", NodeKind.PLANT: "plants", NodeKind.CROSS: "crosses"}
# Rows that are themselves what people name: the name stands in the text.
_OWN = {
    "grading.Sample": ("samples", "number"), "grading.SeedTest": ("seed_tests", "number"),
    "inventory.Shipment": ("shipments", "code"), "inventory.RunRecord": ("runs", "number"),
}  # fmt: skip
_RECORDED = {
    "plot": "plots", "line": "lines", "cross": "crosses", "place": "places", "container": "containers",
    "plant": "plants", "site": "sites", "person": "people", "market class": "classes", "station": "stations",
}  # fmt: skip
_AT_ONCE = 9_000  # SQLite takes 32,766 parameters in one statement


@dataclass
class Touched:
    """What one act touched: keys that are still to be named, bags, and names that its text holds."""

    keys: dict[Key, None] = field(default_factory=dict)
    bags: dict[tuple[int, int], None] = field(default_factory=dict)
    names: dict[tuple[str, str], None] = field(default_factory=dict)

    def told(self, names: "Names") -> dict[str, list[Any]]:
        """Write it: lots and bags with the id that never changes, other things by their names."""
        told: dict[str, list[Any]] = {}
        for kind, name in (*((kind, names.of[kind, key]) for kind, key in self.keys), *self.names):
            known = told.setdefault(kind, [])
            if name not in known:
                known.append(name)
        told["lots"] = [{"id": names.uids[name], "lot": name} for name in told.get("lots", ())]
        told["bags"] = [{"id": names.bags[bag], "bag": f"{names.of['lots', bag[0]]}/{bag[1]}"} for bag in self.bags]
        return {kind: known for kind, known in told.items() if known}


@dataclass(frozen=True)
class Names:
    """Names of keys, ids of lots by their numbers, ids of bags by lot and number."""

    of: Mapping[Key, str]
    uids: Mapping[str, str]
    bags: Mapping[tuple[int, int], str]


def touched_by(*contents: Content) -> Touched:
    """Gather what acts touched, in the order in which their texts name it."""
    touched = Touched()
    for content in contents:
        for key in (*_in_entries(content, touched), *_in_links(content), *_in_rows(content), *_in_facts(content)):
            touched.keys[key] = None
        touched.names.update(dict.fromkeys(_named_there(content)))
    return touched


def names_of(many: Sequence[Touched]) -> Names:
    """Look up all names of a page of acts (1 query for every 9,000 things)."""
    keys = list(dict.fromkeys(key for one in many for key in one.keys))
    bags = list(dict.fromkeys(bag for one in many for bag in one.bags))
    of: dict[Key, str] = {}
    uids: dict[str, str] = {}
    of_bags: dict[tuple[int, int], str] = {}
    for start in range(0, max(len(keys), len(bags)), _AT_ONCE):
        part = slice(start, start + _AT_ONCE)
        for kind, key, name, uid in _looked_up(keys[part], bags[part]):
            if kind == "bags":
                of_bags[key, int(name)] = str(UUID(uid))
            else:
                of[kind, key] = name
            if kind == "lots":
                uids[name] = str(UUID(uid))
    return Names(of, uids, of_bags)


def _looked_up(keys: Sequence[Key], bags: Sequence[tuple[int, int]]) -> Iterator[tuple[str, int, str, str]]:
    queries = [_names_in(kind, [key for one, key in keys if one == kind]) for kind in NAMED]
    wanted = {"lot__in": {lot for lot, _number in bags}, "number__in": {number for _lot, number in bags}}
    queries.append(_rows(Bag.objects.filter(**wanted), "bags", "lot_id", "number", has_uid=True))
    first, *others = queries
    return iter(first.union(*others, all=True))


def _names_in(kind: str, keys: Sequence[int]) -> "QuerySet[Any, Any]":
    model, column = NAMED[kind]
    return _rows(model._default_manager.filter(pk__in=keys), kind, "pk", column, has_uid=model is Lot)


def _rows(
    found: "QuerySet[Any, Any]", kind: str, key: str, name: str, *, has_uid: bool = False
) -> "QuerySet[Any, Any]":
    text = TextField()
    uid = Cast("uid", text) if has_uid else Value("", output_field=text)
    told: QuerySet[Any, Any] = found.order_by().annotate(
        told_kind=Value(kind, output_field=text), told_name=Cast(name, text), told_uid=Cast(uid, text)
    )
    rows: QuerySet[Any, Any] = told.values_list("told_kind", key, "told_name", "told_uid")
    return rows


def _in_entries(content: Content, touched: Touched) -> Iterator[Key]:
    for lot, place, bag, *_rest in content["entries"]:
        if lot is not None:
            yield "lots", lot
            yield "places", place
        if bag:
            touched.bags[lot, bag] = None


def _in_links(content: Content) -> Iterator[Key]:
    for parent, child, *_rest in content["links"]:
        for end in (parent, child):
            if kind_of(end) in _OF_NODE:
                yield _OF_NODE[kind_of(end)], key_of(end)


def _in_rows(content: Content) -> Iterator[Key]:
    for label, row in content["rows"]:
        for column, kind in _pointers(label):
            if row.get(column) is not None:
                yield kind, row[column]


def _in_facts(content: Content) -> Iterator[Key]:
    return (("lots", key) for key in content["facts"].get("lot_ids", ()))


def _named_there(content: Content) -> Iterator[tuple[str, str]]:
    for label, row in content["rows"]:
        if label in _OWN:
            kind, column = _OWN[label]
            yield kind, row[column]
    facts = content["facts"]
    name = facts.get("code") or facts.get("name") or facts.get("number")
    if name and facts.get("record") in _RECORDED:
        yield _RECORDED[facts["record"]], str(name)


@cache
def _pointers(label: str) -> tuple[tuple[str, str], ...]:
    """The columns of a table that point at what people name; a table that is no longer installed has none."""
    try:
        fields: Iterable[Any] = apps.get_model(label)._meta.concrete_fields
    except (LookupError, ValueError):
        return ()
    pointers = [one for one in fields if isinstance(one, ForeignKey) and one.related_model in _OF_MODEL]
    return tuple((one.attname, _OF_MODEL[one.related_model]) for one in pointers)
