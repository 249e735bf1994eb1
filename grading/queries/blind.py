"""Blind re-grades: which are due, which wait for their grader, and what nobody who might pick one may see.

Every door that shows a sample's result or its lot to a person asks `hidden_from` first.
"""

from collections.abc import Mapping, Sequence

from django.contrib.auth.models import User
from django.db.models import Exists, OuterRef, QuerySet

from grading.models import Portion, RegradePlan, Sample
from grading.queries.finding import standing_portions, standing_samples
from grading.rules.regrades import is_chosen
from inventory.models import Membership, Station
from inventory.rules.mistakes import Mistake
from inventory.rules.roles import BREEDER, RECORDS

KNOW_ALL = (BREEDER, RECORDS)  # they pick no beans


class HiddenUntilGraded(Mistake):
    """A result that a blind re-grade still waits for."""

    code = "hidden_until_graded"

    def __init__(self, number: str) -> None:
        says = f"What is known of {number} is hidden from graders until its blind re-grade is in the books."
        super().__init__(f"{says} Grade that one first, or ask records.", field="sample")


def graders_of(sample: Sample) -> set[str]:
    """Name who picked portions of a sample (1 query)."""
    return set(standing_portions(sample.station).filter(sample=sample).values_list("grader", flat=True))


def open_regrades(station: Station) -> QuerySet[Sample]:
    """Blind samples that were laid out and not graded yet."""
    graded = standing_portions(station).filter(sample=OuterRef("pk"))
    return standing_samples(station).filter(~Exists(graded), is_blind=True).select_related("operation__by", "station")


def due_samples(station: Station) -> list[Sample]:
    """List samples whose first grading was chosen and that were not taken out blind yet, the oldest first (3 queries).

    A grading is judged by the plan that stood when it was written down.
    """
    plans = RegradePlan.objects.filter(station=station, operation__reversed_by__isnull=True)
    seqs = list(plans.order_by("operation__seq").values_list("operation__seq", "one_in"))
    if not seqs:
        return []
    again = standing_samples(station).filter(is_blind=True, file_sample_of=OuterRef("sample"))
    portions = standing_portions(station).filter(~Exists(again), sample__file_sample_of__isnull=True)
    first: dict[int, Portion] = {}
    for row in portions.filter(operation__seq__gt=seqs[0][0]).order_by("operation__seq"):
        first.setdefault(row.sample_id, row)
    earlier = standing_portions(station).filter(sample__in=first, operation__seq__lt=seqs[0][0])
    before = set(earlier.values_list("sample_id", flat=True))
    return [
        row.sample
        for row in first.values()
        if row.sample_id not in before and is_chosen(row.operation.hash, _one_in(seqs, row.operation.seq))
    ]


def hidden_from(station: Station, person: User) -> Mapping[int, str]:
    """Give the samples whose result and lot a person may not see now: key -> number (2 queries, 3 if any is open).

    While a blind sample waits, it and the sample that it was kept from are hidden from whoever might pick it: from all
    but the breeder, records, whoever laid it out, and whoever picked the first portion.
    """
    waiting = list(open_regrades(station))
    return {each.pk: each.number for each in _hidden_of(waiting, person)}


def _hidden_of(waiting: Sequence[Sample], person: User) -> list[Sample]:
    """The blind samples, and those they were kept from, that a person may not see (2 queries, or none)."""
    if not waiting or Membership.objects.filter(station=waiting[0].station_id, user=person, role__in=KNOW_ALL).exists():
        return []
    kept = {each.file_sample_of_id: each.file_sample_of for each in waiting if each.file_sample_of}
    picked = (
        standing_portions(waiting[0].station)
        .filter(sample__in=kept)
        .values_list("sample_id", "grader", "operation__by")
    )
    knows = {sample for sample, grader, by in picked if grader == person.get_username() or by == person.pk}
    hidden: list[Sample] = []
    for each in waiting:
        if each.operation.by_id != person.pk and each.file_sample_of and each.file_sample_of_id not in knows:
            hidden += [each, each.file_sample_of]
    return hidden


def lots_hidden_from(station: Station, person: str) -> frozenset[int]:
    """Give the keys of lots whose grades an account may not see now (1 query, 4 if any is open).

    A lot's chances would give its results away.

    Args:
        person: name of the account; nothing is hidden from "", since nobody is known.
    """
    waiting = list(open_regrades(station)) if person else []
    user = User.objects.filter(username=person).first() if waiting else None
    return frozenset(each.lot_id for each in _hidden_of(waiting, user)) if user else frozenset()


def may_see(sample: Sample, person: User) -> bool:
    """Say whether a person may see a sample's result and lot now (up to 3 queries)."""
    return sample.pk not in hidden_from(sample.station, person)


def _one_in(plans: list[tuple[int, int]], seq: int) -> int:
    return next((one_in for since, one_in in reversed(plans) if since < seq), 0)
