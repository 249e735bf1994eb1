"""Blind re-grades for tests: samples graded by one, laid out by records, and graded again by another."""

from typing import Any

from grading.models import Sample
from inventory.actions.acting import Booked
from inventory.importing.acts import book
from tests.grading.refusals import DAY, graded
from tests.grading.station import NOW, Bench


def first(bench: Bench, number: str, grader: str = "bench-1", **words: Any) -> Booked:
    """A sample that was drawn and graded."""
    return told(bench, "grade", graded(number=number, grader=grader, **words))


def laid_out(bench: Bench, of: str | None, number: str, by: str = "records") -> Sample:
    """A file sample taken out again, blind."""
    told(bench, "bench sample", {"file_sample_of": of, "blind": "yes", "number": number, "at": DAY}, by=by)
    return Sample.objects.get(number=number)


def again(bench: Bench, number: str, grader: str = "bench-2", by: str = "bench", **words: Any) -> Booked:
    """A laid-out sample graded by another."""
    usual = graded(grader=grader)
    portion = {name: usual[name] for name in ("portion_g", "weights_g", "sound_g", "at", "grader")}
    return told(bench, "grade", {**portion, "sample": number, **words}, by=by)


def told(bench: Bench, verb: str, words: dict[str, Any], by: str = "bench") -> Booked:
    """An act in words."""
    return book(verb, words, station=bench.plant.station, by=bench.plant.people[by], now=NOW)
