"""What is judged on a lot's page, each number beside its limit, for the pictures that show nearness."""

from collections.abc import Mapping
from decimal import Decimal

from grading.queries.answers import asked_of, beans_of
from grading.queries.behind import in_100
from grading.queries.germination import Tested
from grading.queries.grades import Graded, first_grade
from grading.rules.outcome import Reading
from grading.rules.rule_set import NIL
from grading.stats.portion_chance import Likely, likely
from hilum.plugins import Judged, Replicates
from inventory.rules.rounding import half_up


def grade_posts(graded: Graded) -> tuple[Judged, ...]:
    """Hold every factor of a portion against the limit of the best grade of its table."""
    result = graded.outcome
    beans = beans_of(result, graded.portion)
    sure = {name: likely(*asked) for name, asked in asked_of(result, beans).items()}
    grade = first_grade(result)
    return tuple(_judged(reading, grade, sure) for reading in result.readings)


def _judged(reading: Reading, grade: str, sure: Mapping[str, Likely]) -> Judged:
    factor, limit, known = reading.factor, reading.limits.get(grade), sure.get(reading.factor.name)
    has_post = limit not in (None, NIL) and Decimal(str(limit)) > 0
    return Judged(
        name=factor.words,
        reading=reading.read_pct,
        limit=Decimal(str(limit)) if has_post else None,
        shown=f"{reading.read_pct} %",
        words=_words(reading, grade, limit, known),
        low=_percent(known.interval.low) if known else None,
        high=_percent(known.interval.high) if known else None,
    )


def _words(reading: Reading, grade: str, limit: str | None, known: Likely | None) -> str:
    if limit is None:
        return ""
    if limit == NIL:
        return f"✕ {grade} allows none" if reading.share else f"✓ none, as {grade} asks"
    chance = f", {in_100(known.within[grade])}" if known and grade in known.within else ""
    return distance_words(reading.read_pct, Decimal(limit), grade) + chance


def distance_words(reading: Decimal, limit: Decimal, whose: str) -> str:
    """Say how far a reading is from the most that is allowed: "0.16 below No. 1"."""
    if reading == limit:
        return f"at the limit of {whose}"
    return f"over {whose} by {reading - limit}" if reading > limit else f"{limit - reading} below {whose}"


def germination_post(test: Tested, threshold: int) -> Judged:
    """Hold a germination against the threshold below which a lot is not sown [%]."""
    mean, interval = test.result.mean_pct, test.interval
    apart = mean - threshold
    where = f"{apart} over" if apart > 0 else f"{-apart} below" if apart < 0 else "at"
    return Judged(
        "germination", mean, Decimal(threshold), f"{mean} %",
        f"{where} {threshold}, {in_100(test.chance_at_least(threshold))} that the lot is at least that",
        _percent(interval.low), _percent(interval.high), is_least=True,
    )  # fmt: skip


def germination_dots(test: Tested, threshold: int) -> Replicates:
    """Give a test's replicates, with the spread that its table allows them."""
    allowed = test.result.allowed
    return Replicates(
        "germination", tuple(Decimal(count) for count in test.result.normal), test.result.mean_pct, "%",
        None if allowed is None else Decimal(allowed), Decimal(threshold),
    )  # fmt: skip


def _percent(share: float) -> Decimal:
    return half_up(Decimal(str(share * 100)), 2)
