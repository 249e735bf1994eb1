"""Samples, portions and tests that stand: their own act was not taken back."""

from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from grading.models import Portion, Sample, SeedTest
from inventory.models import Operation, Station
from inventory.rules.codes import read_code
from inventory.rules.mistakes import Note
from inventory.rules.reading import plain, typed_text


def standing_samples(station: Station) -> QuerySet[Sample]:
    """All samples of a station that were not taken back."""
    samples = Sample.objects.filter(station=station, operation__reversed_by__isnull=True)
    return samples.select_related("lot", "operation", "file_sample_of")


def standing_portions(station: Station) -> QuerySet[Portion]:
    """All graded portions of a station that were not taken back."""
    portions = Portion.objects.filter(station=station, operation__reversed_by__isnull=True)
    return portions.select_related("operation", "sample__lot", "sample__operation", "sample__file_sample_of")


def standing_tests(station: Station) -> QuerySet[SeedTest]:
    """All germination tests of a station that were not taken back."""
    tests = SeedTest.objects.filter(station=station, operation__reversed_by__isnull=True)
    return tests.select_related("lot", "operation")


def find_sample(station: Station, typed: object, *, field: str = "sample") -> tuple[Sample, tuple[Note, ...]]:
    """Find a sample by its number (1 query; 2 more to read it forgivingly).

    Raises:
        Mistake: there is none; the nearest numbers are proposed.
    """
    samples = standing_samples(station)
    found = samples.filter(number=plain(typed_text(typed)).upper()).first()
    if found is not None:
        return found, ()
    read = read_code(typed, list(samples.values_list("number", flat=True)), kind="sample", field=field)
    return samples.get(number=read.value), read.notes


def day_of(operation: Operation, station: Station) -> date:
    """Give the station's calendar day of an act."""
    return operation.at.astimezone(ZoneInfo(station.zone)).date()
