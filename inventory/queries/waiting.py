"""What waits for somebody at a station: runs that are open, wet lots, and what plugins add."""

from collections.abc import Iterable

from django.urls import reverse

from hilum.plugins import Waiting
from hilum.plugins.host import the_host
from inventory.models import Station
from inventory.queries.drafts import open_drafts
from inventory.rules.roles import BENCH, BREEDER, INTAKE, LINE, RECORDS, may

AREA_OF_ROLE = {INTAKE: "floor", LINE: "floor", BENCH: "bench", BREEDER: "breeding", RECORDS: "floor"}


def what_waits(station: Station, role: str) -> list[Waiting]:
    """List what waits, what this role may end first, then the longest wait first."""
    items = [*_open_runs(station), *the_host().waiting(station.code)]
    return sorted(items, key=lambda item: (not _is_theirs(item, role), item.since or "9"))


def _is_theirs(item: Waiting, role: str) -> bool:
    return may(role, item.verb) if item.verb else AREA_OF_ROLE.get(role) == item.area


def _open_runs(station: Station) -> Iterable[Waiting]:
    for draft in open_drafts(station):
        words = f"Run {draft.number} of {draft.feed_lot.number} is being filled"
        yield Waiting("floor", words, f"{reverse('act', args=['book-draft'])}?number={draft.number}", verb="clean")
