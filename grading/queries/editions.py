"""The editions that a station grades by: those that came with the app, and its own."""

import json
from collections.abc import Iterable, Mapping
from datetime import date
from functools import cache, lru_cache

from grading.models import Portion, RuleEdition, RulesWithdrawn
from grading.queries.shipped import shipped_rule_sets, shipped_text
from grading.rules.rule_form import read_rule_set
from grading.rules.rule_set import RuleSet
from grading.rules.timeline import Key, dated, key_of, timeline
from inventory.models import Station

KEPT = 256  # texts read once a process


@lru_cache(maxsize=KEPT)
def edition_from(text: str) -> RuleSet:
    """Read an edition from its text, once a process: texts in the books never change.

    Raises:
        Refused: it cannot be read.
    """
    return read_rule_set(json.loads(text))


def rules_of(station: Station | str) -> tuple[RuleSet, ...]:
    """Give all editions of a station with the days on which they are in force, by id and day (2 queries).

    Args:
        station: or its code.
    """
    here = {"station__code": station} if isinstance(station, str) else {"station": station}
    stands = {**here, "operation__reversed_by__isnull": True}
    rows = RuleEdition.objects.filter(**stands).order_by("operation__seq")
    own = [dated(parsed, row.begins, parsed.in_force_until) for row in rows if (parsed := edition_from(row.text))]
    gone: dict[Key, date] = {}
    for row in RulesWithdrawn.objects.filter(**stands):
        key = (row.rule_set.casefold(), row.edition)
        gone[key] = min(row.ends, gone.get(key, date.max))
    return timeline((*shipped_rule_sets(), *own), gone)


def own_editions(station: Station) -> dict[Key, RuleSet]:
    """Give every edition that a station ever put in force, taken back or not: a grade keeps its edition (1 query)."""
    rows = RuleEdition.objects.filter(station=station).order_by("operation__seq")
    return {key_of(parsed): parsed for row in rows if (parsed := edition_from(row.text))}


def edition_of(rule_set_id: str, edition: str, own: Mapping[Key, RuleSet] | None = None) -> RuleSet | None:
    """Give the edition under which something was graded; None if it is no longer here.

    Args:
        own: the station's own, as `own_editions` gives them.
    """
    key = (rule_set_id.casefold(), edition)
    return _shipped().get(key) or (own or {}).get(key)


def is_taken(station: Station, wanted: RuleSet, known: Iterable[RuleSet]) -> bool:
    """Say whether an edition's name stands for other limits: one that stands, or one that something was graded under.

    Args:
        known: the station's editions that stand.
    """
    if key_of(wanted) in {key_of(each) for each in known}:
        return True
    graded = Portion.objects.filter(station=station, rule_set=wanted.id, edition=wanted.edition)
    return graded.exists()


def text_of(station: Station | None, wanted: RuleSet) -> str:
    """Give the written form of an edition, to be copied and changed; it is one of the app's or of the station's own."""
    own = RuleEdition.objects.filter(station=station, rule_set=wanted.id, edition=wanted.edition) if station else None
    row = own.order_by("operation__seq").last() if own is not None else None
    return row.text if row else shipped_text(wanted.id)


def is_shipped(rule_set_id: str, edition: str) -> bool:
    """Say whether an edition came with the app."""
    return (rule_set_id.casefold(), edition) in _shipped()


@cache
def _shipped() -> dict[Key, RuleSet]:
    return {key_of(each): each for each in shipped_rule_sets()}
