"""Where kept samples stand: the newest word on each."""

from collections.abc import Iterable

from django.db.models import QuerySet

from grading.models import FileSample
from grading.models.filing import DISCARDED
from inventory.models import Station
from inventory.queries.uses import in_parts


def newest_filed(station: Station, sample_ids: Iterable[int]) -> dict[int, FileSample]:
    """Give the newest word on each sample that has one (1 query for 500 samples)."""
    found: dict[int, FileSample] = {}
    for some in in_parts(sorted(set(sample_ids))):
        found.update({row.sample_id: row for row in _standing(station).filter(sample__in=some)})
    return found


def filed_of(station: Station, sample_id: int) -> list[FileSample]:
    """Give all that happened to a kept sample, the newest first (1 query)."""
    return list(_standing(station).filter(sample=sample_id))[::-1]


def register(station: Station) -> list[FileSample]:
    """List kept samples that were not discarded, what may be discarded first (1 query)."""
    newest = {row.sample_id: row for row in _standing(station)}
    kept = [row for row in newest.values() if row.event != DISCARDED]
    return sorted(kept, key=lambda row: (row.until is None, row.until, row.sample.number))


def _standing(station: Station) -> QuerySet[FileSample]:
    rows = FileSample.objects.filter(station=station, operation__reversed_by__isnull=True)
    return rows.select_related("sample__lot", "operation__by").order_by("operation__at", "operation__seq")
