"""Pairs of gradings of the same beans by two graders, factor by factor."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from grading.models import Portion, Sample
from grading.queries.editions import edition_of
from grading.queries.finding import day_of, standing_portions, standing_samples
from grading.queries.grades import editions_behind, read_row
from grading.rules.outcome import outcome
from inventory.models import Station
from inventory.queries.uses import in_parts
from inventory.rules.mistakes import Mistake, Refused


@dataclass(frozen=True)
class Pair:
    """One sample graded by two.

    Attributes:
        samples: numbers of the first one and of the one it came back under.
        graders: who picked the first, who the second.
        on: the day of the second grading.
        is_blind: the second did not know which it was.
        shares_pct: factor -> what the first found and what the second, not rounded [%].
        grades: as each reads, under the rule set of the first.
    """

    samples: tuple[str, str]
    graders: tuple[str, str]
    on: date
    is_blind: bool
    shares_pct: Mapping[str, tuple[Fraction, Fraction]]
    grades: tuple[str, str]


def pairs_of(station: Station, *, blind_only: bool = False) -> list[Pair]:
    """List re-grades of file samples by another grader than the first one's, the oldest first (3 queries and more).

    The newest portion of each sample is taken, both under the rule set of the first; what cannot be read under it is
    left out. A blind re-grade that waits for its grader is no pair yet.
    """
    again = standing_samples(station).filter(file_sample_of__isnull=False, **({"is_blind": True} if blind_only else {}))
    seconds = list(again)
    wanted = [each.pk for each in seconds] + [each.file_sample_of_id for each in seconds if each.file_sample_of_id]
    newest = _newest(station, wanted)
    found = [pair for each in seconds if (pair := _pair(station, each, newest))]
    return sorted(found, key=lambda pair: (pair.on, pair.samples))


def _newest(station: Station, samples: list[int]) -> dict[int, Portion]:
    rows: dict[int, Portion] = {}
    for some in in_parts(sorted(set(samples))):
        for row in standing_portions(station).filter(sample__in=some).order_by("operation__at", "operation__seq"):
            rows[row.sample_id] = row
    return rows


def _pair(station: Station, again: Sample, newest: Mapping[int, Portion]) -> Pair | None:
    first, second = newest.get(again.file_sample_of_id or 0), newest.get(again.pk)
    if first is None or second is None or first.grader.casefold() == second.grader.casefold():
        return None
    rule_set = edition_of(first.rule_set, first.edition, editions_behind(station, [first]))
    if rule_set is None:
        return None
    try:
        one, other = outcome(rule_set, read_row(first)), outcome(rule_set, read_row(second))
    except (Mistake, Refused):
        return None
    return Pair(
        (first.sample.number, again.number), (first.grader, second.grader), day_of(second.operation, station),
        again.is_blind,
        {
            name: (one.shares[name] * 100, other.shares[name] * 100)
            for name in one.shares
            if name in other.shares and (one.shares[name] or other.shares[name])
        },
        (one.grade, other.grade),
    )  # fmt: skip
