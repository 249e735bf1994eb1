"""Prove grading's own records: rule sets that are still here, masses that agree with the ledger."""

import hashlib
from collections.abc import Iterator

from django.db.models import F, Q, Sum

from grading.models import PanPhoto, PhotoBytes, Portion, Sample, SeedTest
from grading.queries.editions import edition_of, own_editions
from hilum.plugins import Difference
from inventory.models import Station


def record_differences(station: Station) -> list[Difference]:
    """List what does not agree in grading's records of a station (5 queries, and each photograph once)."""
    return [*_editions_gone(station), *_other_masses(station), *_other_pictures(station)]


def _editions_gone(station: Station) -> Iterator[Difference]:
    used = Portion.objects.filter(station=station).values_list("rule_set", "edition").order_by().distinct()
    own = own_editions(station)
    for rule_set, edition in used:
        if edition_of(rule_set, edition, own) is None:
            says = f"Portions were graded under {rule_set}, edition {edition}, which is no longer here. Put it back."
            yield Difference("rule_set_gone", rule_set, says)


def _other_masses(station: Station) -> Iterator[Difference]:
    for model, account in ((Sample, "sampled"), (SeedTest, "tested")):
        rows = model._default_manager.filter(station=station).annotate(
            left=Sum("operation__entries__mg", filter=Q(operation__entries__account=account))
        )
        for row in rows.exclude(drawn_mg=F("left")).exclude(drawn_mg=0, left__isnull=True):
            says = f"{row.number} says {row.drawn_mg} mg, but {row.left or 0} mg left its lot for it."
            yield Difference("drawn_mass", row.number, says)


def _other_pictures(station: Station) -> Iterator[Difference]:
    """Photographs whose bytes are gone, or are not those that were attached."""
    attached = dict(PanPhoto.objects.filter(station=station).values_list("sha256", "sample__number"))
    for mark, number in attached.items():
        content = PhotoBytes.objects.filter(sha256=mark).values_list("content", flat=True).first()
        if content is None or hashlib.sha256(bytes(content)).hexdigest() != mark:
            what = "is gone" if content is None else "is not the one that was attached"
            yield Difference("photo", number, f"The photograph {mark[:12]} of {number} {what}. Attach it again.")
