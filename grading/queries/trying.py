"""Try a rule set on the past: which samples would read as another grade under it, and why."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from grading.models import Portion
from grading.queries.behind import held_back
from grading.queries.editions import edition_of
from grading.queries.finding import day_of, standing_portions
from grading.queries.grades import editions_behind, read_row
from grading.rules.outcome import Outcome, outcome
from grading.rules.rule_set import RuleSet, folded_class
from inventory.models import Station
from inventory.rules.mistakes import Refused


@dataclass(frozen=True, slots=True)
class Change:
    """A sample that would read as another grade.

    Attributes:
        edition: the one it was graded under, and keeps.
        grade, would_be: its name now, and under what is tried.
        held, would_be_held: "total defects 1.80, limit 1.50" for each limit in the way of a better grade.
    """

    sample: str
    lot: str
    day: date
    class_name: str
    edition: str
    grade: str
    would_be: str
    held: tuple[str, ...]
    would_be_held: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Unread:
    """A sample that the rule set cannot grade, and why."""

    sample: str
    lot: str
    says: str


@dataclass(frozen=True, slots=True)
class Trial:
    """What a rule set would do to the samples in the books; nothing is stored.

    Attributes:
        samples: how many it was tried on.
        changed: those that would read as another grade, by day and number.
        unread: those that it cannot grade.
        grades, would_be: name -> how many samples, now and under what is tried.
    """

    rule_set: str
    edition: str
    samples: int
    changed: tuple[Change, ...]
    unread: tuple[Unread, ...]
    grades: Mapping[str, int]
    would_be: Mapping[str, int]


def try_rules(station: Station, tried: RuleSet) -> Trial:
    """Grade each sample's newest portion once more under a rule set (1 query, at most 2 more).

    Args:
        station: whose books.
        tried: an edition, a draft, or a rule set that is only in a file. It is held against the samples that were
            graded under its id; where none was, against all samples of the classes that it grades.
    """
    rows = _newest(station, tried)
    own = editions_behind(station, rows)
    changed: list[Change] = []
    unread: list[Unread] = []
    now: Counter[str] = Counter()
    then: Counter[str] = Counter()
    for row in rows:
        edition = edition_of(row.rule_set, row.edition, own)
        if edition is None:
            unread.append(_unread(row, f"It was graded under edition {row.edition}, which is no longer here."))
            continue
        portion = read_row(row)
        before = outcome(edition, portion)
        now[before.grade] += 1
        try:
            after = outcome(tried, portion)
        except Refused as refused:
            unread.append(_unread(row, str(refused)))
            continue
        then[after.grade] += 1
        if after.printed != before.printed:
            changed.append(_change(row, station, before, after))
    return Trial(tried.id, tried.edition, len(rows), tuple(changed), tuple(unread), dict(now), dict(then))


def _newest(station: Station, tried: RuleSet) -> list[Portion]:
    """Give each sample's newest portion, the oldest sample first."""
    of_id = standing_portions(station).filter(rule_set__iexact=tried.id)
    rows: Iterator[Portion] = of_id.order_by("operation__at", "operation__seq").iterator()
    newest = {row.sample_id: row for row in rows}
    if not newest:
        every = standing_portions(station).order_by("operation__at", "operation__seq").iterator()
        newest = {row.sample_id: row for row in every if folded_class(row.class_name) in tried.table_by_class}
    return sorted(newest.values(), key=lambda row: (row.sample.operation.at, row.sample.operation.seq))


def _change(row: Portion, station: Station, before: Outcome, after: Outcome) -> Change:
    return Change(
        sample=row.sample.number,
        lot=row.sample.lot.number,
        day=day_of(row.sample.operation, station),
        class_name=row.class_name,
        edition=row.edition,
        grade=before.printed,
        would_be=after.printed,
        held=held_back(before),
        would_be_held=held_back(after),
    )


def _unread(row: Portion, says: str) -> Unread:
    return Unread(row.sample.number, row.sample.lot.number, says)
