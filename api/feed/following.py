"""The acts of a station in the order of its chain, each with what it touched and what it puts right.

An act gets its number under the lock of the station's chain, which it holds until it is committed: so numbers have no
gaps, and whoever has read as far as one of them never misses an act, however many people book at once. A time or a key
of a table has not that property: it is given before the commit, and a later one may be seen first.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Exists, OuterRef

from api.feed.touched import Content, Names, Touched, names_of, touched_by
from api.v1.values import instant, mass
from grading.queries.blind import hidden_from, open_regrades
from inventory.models import Operation, Station
from inventory.queries.plugin_measures import results_told
from inventory.queries.uses import name_act
from inventory.rules.kinds import BLIND

_OURS = ("lot_ids",)  # facts that are keys of our own
_TAKEN_BACK = ("reverses", "reverses__run", "reverses__shipment")


@dataclass(frozen=True)
class Told:
    """One act as it is told.

    Attributes:
        withheld: it is not said what it touched: it waits for a blind re-grade, and is told by the act that follows it.
        about, reverses: number and id of the act that it follows up, or takes back.
        touched: kind of thing -> those it touched.
    """

    seq: int
    uid: str
    kind: str
    name: str
    at: datetime
    recorded_at: datetime
    by: str
    reason: str
    about: tuple[int, str] | None
    reverses: tuple[int, str] | None
    withheld: bool
    touched: Mapping[str, Any]
    entries: Sequence[Mapping[str, Any]]
    facts: Mapping[str, Any]

    @property
    def as_json(self) -> dict[str, Any]:
        """Write it as programs read it."""
        return {
            "seq": self.seq, "id": self.uid, "kind": self.kind, "name": self.name, "at": instant(self.at),
            "recorded_at": instant(self.recorded_at), "by": self.by, "reason": self.reason,
            "about": _pointer(self.about), "reverses": _pointer(self.reverses), "withheld": self.withheld,
            "touched": self.touched, "entries": list(self.entries), "facts": self.facts,
        }  # fmt: skip


def acts_after(station: Station, after: int, limit: int, *, person: User | None = None) -> list[Told]:
    """Tell the acts behind a number, in order (2 queries, 4 while a blind re-grade waits).

    Args:
        after: number of the last act that is known; 0 for all.
        limit: how many at most.
        person: who asks; without one, what waits for a blind re-grade is withheld all the same.
    """
    followed = Operation.objects.filter(about=OuterRef("pk"), reverses__isnull=True, reversed_by__isnull=True)
    acts = Operation.objects.filter(station=station, seq__gt=after).order_by("seq")
    acts = acts.annotate(is_followed=Exists(followed), is_regrading=Exists(open_regrades(station)))
    page = list(acts.select_related("by", "about", "run", "shipment", *_TAKEN_BACK)[:limit])
    texts = [_texts(act) for act in page]
    hidden = _hidden(station, person) if page and page[0].is_regrading else {}
    withheld = [_waits(act, some, hidden) for act, some in zip(page, texts, strict=True)]
    touched = [Touched() if waits else touched_by(*some) for waits, some in zip(withheld, texts, strict=True)]
    names = names_of(touched)
    return [
        _told(act, some[0], None if waits else things, names)
        for act, some, waits, things in zip(page, texts, withheld, touched, strict=True)
    ]


def _texts(act: Operation) -> list[Content]:
    """An act's own text, and that of the act it takes back: it touches what that one touched."""
    return [json.loads(one.content) for one in (act, act.reverses) if one is not None]


def _hidden(station: Station, person: User | None) -> Mapping[int, str]:
    if person is not None:
        return hidden_from(station, person)
    waiting = list(open_regrades(station).select_related("file_sample_of"))
    return {one.pk: one.number for each in waiting for one in (each, each.file_sample_of) if one is not None}


def _waits(act: Any, texts: Sequence[Content], hidden: Mapping[int, str]) -> bool:
    if texts[0]["facts"].get(BLIND) and not act.is_followed:
        return True
    numbers = set(hidden.values())
    return bool(hidden) and any(_is_of(text, hidden, numbers) for text in texts)


def _is_of(text: Content, keys: Mapping[int, str], numbers: set[str]) -> bool:
    of_rows = (row.get("sample_id") in keys or row.get("number") in numbers for _label, row in text["rows"])
    return text["facts"].get("sample") in numbers or any(of_rows)


def _told(act: Operation, text: Content, touched: Touched | None, names: Names) -> Told:
    facts = {name: fact for name, fact in text["facts"].items() if name not in _OURS} | _measured(text)
    return Told(
        act.seq, str(act.uid), act.kind, _name(act, is_told=touched is not None), act.at, act.recorded_at,
        act.by.get_username(), act.reason if touched else "", _number(act.about), _number(act.reverses),
        touched is None, touched.told(names) if touched else {},
        [_entry(one, names) for one in text["entries"]] if touched else (), facts if touched else {},
    )  # fmt: skip


def _measured(text: Content) -> dict[str, Any]:
    """What a plugin's method came to, which stands in rows of the act alone."""
    rows = [row for label, row in text["rows"] if label == "inventory.Measured"]
    told = [{"kind": row["kind"], "results": results_told(row["results"])} for row in rows]
    return {"measured": told} if told else {}


def _name(act: Operation, *, is_told: bool) -> str:
    if not is_told:
        return f"{act.kind} #{act.seq}"
    return name_act(act) if act.reverses is None else f"reversal of {name_act(act.reverses)}"


def _entry(entry: Sequence[Any], names: Names) -> dict[str, Any]:
    lot, place, bag, account, stream, mg = entry
    return {
        "lot": names.of["lots", lot] if lot is not None else None,
        "place": names.of["places", place] if place is not None else None,
        "bag": bag or None, "account": account or None, "stream": stream or None, "mass": mass(mg),
    }  # fmt: skip


def _number(act: Operation | None) -> tuple[int, str] | None:
    return None if act is None else (act.seq, str(act.uid))


def _pointer(number: tuple[int, str] | None) -> dict[str, Any] | None:
    return None if number is None else {"seq": number[0], "id": number[1]}
