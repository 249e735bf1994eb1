"""What of the bench looks wrong or is missing, for the daily list of the data manager."""

from collections.abc import Iterable, Sequence

from django.urls import reverse
from django.utils.translation import gettext

from grading.models import Sample
from grading.queries.in_store import InStore, lots_in_store
from grading.queries.likeness_words import says
from grading.queries.looks import NO_CHANCE, looks_of
from grading.queries.watch_list import watch_words
from hilum.plugins import LookAt
from inventory.models import Station
from inventory.queries.today import today_at

# What is done about each list of the watch.
_MENDED_BY = {
    "below": "germination", "too_near": "germination", "repeat": "germination", "older": "germination",
    "never": "germination", "health_over": "seed-health", "health_near": "seed-health",
}  # fmt: skip


def look_at_bench(station: Station, person: str) -> list[LookAt]:
    """List lots without a sample, those that do not look like their line, and the watch before planting.

    Args:
        person: account that looks; grades that a blind re-grade hides from it are left out.
    """
    lots = lots_in_store(station)
    return [*_strange(station), *_unsampled(station, lots), *_watched(station, person, lots)]


def _strange(station: Station) -> Iterable[LookAt]:
    group, looks = gettext("Looks like another line"), looks_of(station)
    for first, second in looks.pairs:
        words = gettext("%(one)s and %(other)s look like each other's line: were their tags swapped?")
        yield LookAt(group, words % {"one": first, "other": second}, _reassign(first), (first, second))
    for each in looks.strange:
        yield LookAt(group, says(each), _reassign(each.lot.lot), (each.lot.lot,))
    for look in looks.rough:
        yield LookAt(group, f"{look.says} {NO_CHANCE}", _reassign(look.weighed.lot), (look.weighed.lot,))


def _reassign(lot: str) -> str:
    return reverse("lot", args=[lot])


def _unsampled(station: Station, lots: Sequence[InStore]) -> Iterable[LookAt]:
    """Lots in store of which no sample was ever drawn (1 query)."""
    stands = Sample.objects.filter(station=station, operation__reversed_by__isnull=True)
    sampled = set(stands.values_list("lot_id", flat=True))
    for lot in lots:
        if lot.lot_id not in sampled:
            words = gettext("%(lot)s has no sample.") % {"lot": lot.number}
            address = f"{reverse('act', args=['bench-sample'])}?lot={lot.number}"
            yield LookAt(gettext("No sample was drawn"), words, address, (lot.number,))


def _watched(station: Station, person: str, lots: Sequence[InStore]) -> Iterable[LookAt]:
    listed = watch_words(station, today_at(station), person, lots)
    for name, lines in listed.items():
        for head, lot, line in lines:
            act = _MENDED_BY.get(name)
            address = f"{reverse('act', args=[act])}?lot={lot}" if act else reverse("lot", args=[lot])
            yield LookAt(head, line, address, (lot,))
