"""Clocks that disagree: acts that were done after they were written down, and clocks that ran backwards."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import F, QuerySet, Window
from django.db.models.functions import Lag

from inventory.models import Operation, Station
from inventory.queries.today import mark_of_data

WITHIN = timedelta(minutes=2)  # clocks of one house may differ by so much; ours, no source
MOST = 50


@dataclass(frozen=True)
class Disagreement:
    """An act whose times cannot both be right.

    Attributes:
        act: the one that was written down later.
        by: how far the clocks are apart.
        before: the act written down before it, where its own time of writing is the later one; else None.
    """

    act: Operation
    by: timedelta
    before: int | None = None


def clocks_that_disagree(station: Station, since: datetime) -> list[Disagreement]:
    """List acts whose clocks disagree by more than two minutes, the newest first (2 queries).

    Args:
        since: only acts that were written down from this moment on.
    """
    acts = Operation.objects.filter(station=station, recorded_at__gte=since).select_related("by").order_by("-seq")
    return sorted([*_done_later(acts), *_ran_back(acts)], key=lambda one: -one.act.seq)


def _done_later(acts: QuerySet[Operation]) -> Iterable[Disagreement]:
    """Acts that say they were done after they were written down; the demo's own day may lie ahead of the clock."""
    mark = mark_of_data()
    if mark is not None and mark.today is not None:
        return
    for act in acts.filter(at__gt=F("recorded_at") + WITHIN)[:MOST]:
        yield Disagreement(act, act.at - act.recorded_at)


def _ran_back(acts: QuerySet[Operation]) -> Iterable[Disagreement]:
    """Acts that were written down at an earlier time than the one before them in the chain."""
    in_chain = Window(Lag("recorded_at"), order_by=F("seq").asc())
    seen = acts.annotate(before=in_chain)
    for act in seen.filter(before__gt=F("recorded_at") + WITHIN)[:MOST]:
        yield Disagreement(act, act.before - act.recorded_at, act.seq - 1)
