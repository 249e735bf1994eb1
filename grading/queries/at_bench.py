"""What the site asks of the bench: which sample was typed or scanned, and what waits there."""

from collections.abc import Sequence

from django.urls import reverse

from grading.models import Sample
from grading.queries.bench_queue import waiting_samples
from grading.queries.finding import standing_portions, standing_samples
from grading.queries.lab import open_trays
from hilum.plugins import Found, Waiting
from inventory.models import Station
from inventory.queries.today import today_at
from inventory.rules.label_codes import LabelKind, read_label_code
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain

LONGEST_TAG = 20
MOST_WAITS = 40  # on the home page; the samples' own page has all


def sample_found(station: Station, typed: str) -> Found | None:
    """Find a sample by its tag: to its pan where it waits for it, else to what it reads (2 queries)."""
    sample = _sample(station, typed)
    if sample is None:
        return None
    is_worked = standing_portions(station).filter(sample=sample).exists()
    return Found("sample", sample.number, reverse("sample" if is_worked else "pan-of", args=[sample.number]))


def bench_waits(station: Station) -> Sequence[Waiting]:
    """List samples without a portion, then trays whose day of count has come (4 queries)."""
    return [*_samples(station), *_trays(station)]


def _trays(station: Station) -> list[Waiting]:
    due = [tray for tray in open_trays(station, today_at(station)) if tray.is_due]
    return [
        Waiting("bench", f"The germination tray of {tray.lot} is due for its count",
                f"{reverse('lab', args=['germination'])}?lot={tray.lot}", since=tray.count_on.isoformat(), verb="test")
        for tray in due
    ]  # fmt: skip


def _samples(station: Station) -> list[Waiting]:
    return [
        Waiting("bench", f"Sample {one.number} waits for its pan", reverse("pan-of", args=[one.number]),
                since=one.since.isoformat(), verb="grade")
        for one in waiting_samples(station, MOST_WAITS)
    ]  # fmt: skip


def _sample(station: Station, typed: str) -> Sample | None:
    """A label's number names the sample by its row, a tag by its number."""
    text = plain(typed).upper()
    try:
        code = read_label_code(text)
    except Mistake:
        return None
    if code is not None:
        kind, key = code
        return standing_samples(station).filter(pk=key).first() if kind is LabelKind.SAMPLE else None
    return standing_samples(station).filter(number=text).first() if len(text) <= LONGEST_TAG else None
