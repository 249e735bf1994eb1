"""What an act was about, in words: its lots or names, and the sentence and next step of acts that move no seed."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext

from inventory.models import Entry, Operation, Stock
from inventory.queries.showing import shown_mass, shown_unit

MOST_NAMED = 4


@dataclass(frozen=True)
class Said:
    """What an act did, in a sentence, and what to look for next.

    Attributes:
        sentence: "" where the tables of the act say it all.
        opens: a name that the scan line would open, "" for none.
        to_people: the next step is on the page of people.
    """

    sentence: str = ""
    opens: str = ""
    to_people: bool = False


def subjects_of(acts: Sequence[Operation]) -> dict[int, str]:
    """Name what each act was about: key of the act -> lots, or the names it wrote down (1 query)."""
    lots: dict[int, list[str]] = {}
    moved = Entry.objects.filter(operation__in=[act.pk for act in acts], lot__isnull=False)
    for act, number in moved.order_by("pk").values_list("operation", "lot__number"):
        named = lots.setdefault(act, [])
        if number not in named:
            named.append(number)
    return {act.pk: _some(_named(_facts(act), lots.get(act.pk, []))) for act in acts}


def said_of(act: Operation) -> Said:
    """Say in a sentence what an act did that shows no table of its own (2 queries at most)."""
    say = _SENTENCES.get(act.kind)
    return say(_facts(act), act) if say else Said()


def _facts(act: Operation) -> Mapping[str, Any]:
    facts: Mapping[str, Any] = json.loads(act.content).get("facts", {})
    return facts


def _named(facts: Mapping[str, Any], lots: Sequence[str]) -> Sequence[str]:
    """A sample is named without its lot: whoever grades it blind reads this too."""
    return [str(facts["sample"])] if facts.get("sample") else lots or list(_names(facts))


def _names(facts: Mapping[str, Any]) -> Iterable[str]:
    typed = facts.get("typed") or {}
    if "name_before" in facts:
        yield f"{facts['name_before']} → {facts['name']}"
    elif "record" in facts:
        yield f"{facts['record']} {facts.get('code') or facts.get('name', '')}".strip()
    else:
        named = facts.get("lots") or facts.get("lot") or typed.get("lot") or typed.get("lots")
        named = named or typed.get("line") or typed.get("plot") or ()
        yield from map(str, named if isinstance(named, list | tuple) else (named,))


def _some(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    shown = ", ".join(names[:MOST_NAMED])
    return gettext("%(names)s and %(n)d more") % {"names": shown, "n": more} if more > 0 else shown


def _renamed(facts: Mapping[str, Any], _act: Operation) -> Said:
    words = gettext("%(before)s is called %(name)s from now on; the old name still finds it.")
    names = {"before": facts.get("name_before", ""), "name": facts.get("name", "")}
    return Said(words % names, opens=names["name"])


def _entered(facts: Mapping[str, Any], _act: Operation) -> Said:
    name = str(facts.get("code") or facts.get("name") or "")
    if facts.get("record") == "person":
        words = gettext("%(name)s may work as %(role)s, once a first password was given on the page of people.")
        return Said(words % {"name": name, "role": facts.get("role", "")}, to_people=True)
    words = gettext("Entered: %(record)s %(name)s.") % {"record": facts.get("record", ""), "name": name}
    return Said(words, opens=name if facts.get("record") in ("line", "cross", "plot", "plant", "place") else "")


def _laid_out(facts: Mapping[str, Any], _act: Operation) -> Said:
    day = date_format(date.fromisoformat(facts["count_on"]), "j M Y")
    lot = str(facts.get("lot", ""))
    return Said(gettext("The tray of %(lot)s is to be counted on %(day)s.") % {"lot": lot, "day": day}, opens=lot)


def _drawn(facts: Mapping[str, Any], _act: Operation) -> Said:
    sample = str(facts.get("sample") or "")
    return Said(gettext("Sample %(sample)s was drawn.") % {"sample": sample}, opens=sample) if sample else Said()


def _bagged(_facts: Mapping[str, Any], act: Operation) -> Said:
    filled = Entry.objects.filter(operation=act, bag_no__gt=0).select_related("lot").first()
    if filled is None or filled.lot is None:
        return Said()
    lot = filled.lot.number
    loose = sum(Stock.objects.filter(lot=filled.lot, bag_no=0).values_list("mg", flat=True))
    if not loose:
        return Said(gettext("All that is left of %(lot)s stands in bags.") % {"lot": lot}, opens=lot)
    words = gettext("Of %(lot)s %(mass)s %(unit)s are still loose.")
    return Said(words % {"lot": lot, "mass": shown_mass(loose), "unit": shown_unit()}, opens=lot)


_SENTENCES = {"rename": _renamed, "origin": _entered, "tray": _laid_out, "sample": _drawn, "bag": _bagged}
