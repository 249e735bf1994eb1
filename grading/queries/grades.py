"""How lots grade: each sample's newest portion under its own rule set, and what a lot's samples say together."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.contrib.auth.models import User

from grading.models import Portion, Sample
from grading.queries.answers import answer
from grading.queries.blind import HiddenUntilGraded, may_see
from grading.queries.editions import edition_of, is_shipped, own_editions, rules_of
from grading.queries.finding import day_of, find_sample, standing_portions
from grading.queries.in_force import rule_set_for
from grading.queries.sampled import sampling_notes, sampling_of
from grading.rules import portion as bench
from grading.rules.mistakes import OutOfRange
from grading.rules.outcome import Outcome, outcome
from grading.rules.portion import Overlap, pooled
from grading.rules.rule_set import RuleSet
from grading.rules.timeline import Key
from inventory.models import Station
from inventory.queries.uses import Keys, for_statements
from inventory.rules.mistakes import Mistake, Refused


@dataclass(frozen=True)
class Graded:
    """A portion with the outcome it reads as, which is worked out once it is asked for.

    Attributes:
        row: the portion in the books, with its sample and lot; the newest one where several were laid together.
        rule_set: the edition it was graded under, or the one that was asked for.
        portion: what was weighed.
        samples: numbers of the samples it was picked from.
    """

    row: Portion
    rule_set: RuleSet
    portion: bench.Portion
    samples: tuple[str, ...]

    @property
    def sample(self) -> Sample:
        """The newest sample it was picked from."""
        return self.row.sample

    @cached_property
    def outcome(self) -> Outcome:
        """How it reads."""
        return outcome(self.rule_set, self.portion)


def read_row(row: Portion) -> bench.Portion:
    """Read a portion back from the books.

    The sound weight is left out: it served to close the pan when the portion was entered, and a pan that was saved
    open with a reason is graded all the same.
    """
    return bench.Portion(
        class_name=row.class_name,
        portion_g=Decimal(row.portion_g),
        weights_g={dish: Decimal(grams) for dish, grams in row.weights_g.items()},
        counts=row.counts,
        overlaps=tuple(Overlap(tuple(each["factors"]), Decimal(each["g"])) for each in row.overlap_g),
        judged=row.appearance,
        stops=tuple(row.stops),
        gross_g=_decimal(row.gross_g),
        dockage_g=_decimal(row.dockage_g),
        moisture_pct=_decimal(row.moisture_pct),
        seed_weight_g_per_100=_decimal(row.seed_weight_g_per_100),
    )


def grades_of(station: Station, lot_ids: Keys) -> dict[int, list[Graded]]:
    """Give the newest portion of each sample of these lots, the newest sample first.

    It costs 1 query for 5,000 keys, or for a query of keys, and 1 more where the station has rules of its own.

    Blind re-grades are left out: they compare graders, and a lot keeps the grade that it has.
    """
    found: dict[int, dict[int, Portion]] = {}
    for some in for_statements(lot_ids):
        rows = standing_portions(station).filter(sample__lot__in=some, sample__is_blind=False)
        for row in sorted(rows, key=_when, reverse=True):
            found.setdefault(row.sample.lot_id, {}).setdefault(row.sample_id, row)
    own = editions_behind(station, (row for rows in found.values() for row in rows.values()))
    return {lot: [graded for row in rows.values() if (graded := graded_of(row, own))] for lot, rows in found.items()}


def drawn_apart(graded: Sequence[Graded]) -> list[Graded]:
    """Keep the portions that were drawn separately and can be laid together: of one class, rule set and seed weight."""
    drawn = [each for each in graded if each.sample.file_sample_of_id is None]
    return [each for each in drawn if _kind(each) == _kind(drawn[0])]


def pool(graded: Sequence[Graded]) -> Graded | None:
    """Lay together what was drawn separately from one lot; a file sample's re-grade is the same beans again.

    Portions of another class, rule set or 100-seed weight than the newest one are left out.

    Args:
        graded: portions of one lot, the newest first.

    Returns:
        The pooled portion under the newest one's rule set; None if nothing was drawn.
    """
    alike = drawn_apart(graded)
    if not alike:
        return None
    portion = pooled([each.portion for each in alike])
    return replace(alike[0], portion=portion, samples=tuple(each.sample.number for each in alike))


def sample_answer(station: Station, number: str, rule_set: str = "", *, person: User | None = None) -> dict[str, Any]:
    """Give a sample's outcome in the form of `answers.answer`, with its lot, day, grader and sampling beside it.

    Args:
        number: the sample, as typed.
        rule_set: another rule set than the one it was graded under, in force on its day.
        person: who asks; what a blind re-grade still waits for is hidden from whoever might pick it.

    Raises:
        Refused: there is no such sample, it is not graded or hidden, or the rule set does not fit.
    """
    try:
        sample, notes = find_sample(station, number)
    except Mistake as mistake:
        raise Refused([mistake]) from None
    if person and not may_see(sample, person):
        raise Refused([HiddenUntilGraded(sample.number)])
    row = standing_portions(station).filter(sample=sample).order_by("operation__at", "operation__seq").last()
    if row is None:
        raise Refused([OutOfRange(f"{sample.number} is not graded yet. Enter its portion first.", field="sample")])
    graded = _under(row, rule_set, station)
    drawn = sampling_of(sample, graded.portion.portion_g)
    result = answer(graded.outcome, graded.portion, sampling=drawn)
    result["notes"] += [*sampling_notes(sample, drawn), *(note.says for note in notes)]
    return {
        "sample": sample.number,
        "lot": sample.lot.number,
        "date": day_of(sample.operation, station).isoformat(),
        "grader": row.grader,
        "file_sample_of": sample.file_sample_of.number if sample.file_sample_of else None,
        **result,
    }


def first_grade(result: Outcome) -> str:
    """Name the best grade of an outcome's table."""
    rows = [grade.name for grade in result.table.grades]
    return next((name for name in result.rule_set.name_order or () if name in rows), rows[0])


def _under(row: Portion, wanted: str, station: Station) -> Graded:
    if wanted:
        on = day_of(row.sample.operation, station)
        return _with(row, rule_set_for(wanted, row.class_name, on, station.code, rules_of(station)))
    graded = graded_of(row, editions_behind(station, [row]))
    if graded is None:
        says = f"{row.sample.number} was graded under {row.rule_set}, edition {row.edition}, which is no longer here."
        raise Refused([OutOfRange(f"{says} Put that edition back, or name another rule set.", field="rule_set")])
    return graded


def editions_behind(station: Station, rows: Iterable[Portion]) -> dict[Key, RuleSet]:
    """Give the station's own editions, where any of these rows was graded under one (1 query, or none)."""
    has_own = any(not is_shipped(row.rule_set, row.edition) for row in rows)
    return own_editions(station) if has_own else {}


def graded_of(row: Portion, own: Mapping[Key, RuleSet]) -> Graded | None:
    """Give a portion with the edition it was graded under; None where that is gone."""
    rule_set = edition_of(row.rule_set, row.edition, own)
    return _with(row, rule_set) if rule_set else None


def _with(row: Portion, rule_set: RuleSet) -> Graded:
    return Graded(row, rule_set, read_row(row), (row.sample.number,))


def _kind(graded: Graded) -> tuple[str, str, Decimal | None]:
    return graded.row.class_name, graded.rule_set.id, graded.portion.seed_weight_g_per_100


def _when(row: Portion) -> tuple[Any, ...]:
    sample, own = row.sample.operation, row.operation
    return sample.at, sample.seq, own.at, own.seq


def _decimal(text: str) -> Decimal | None:
    return Decimal(text) if text else None
