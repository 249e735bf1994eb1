"""What a closed sample says: the grade in a sentence, each factor on its post, and all samples of the lot together."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User

from grading.models import Sample
from grading.queries.answers_in_words import BASIS
from grading.queries.behind import Sureness, how_sure, in_100
from grading.queries.grades import first_grade, grades_of, pool, sample_answer
from grading.queries.sampled import sampling_line
from grading.rules.rule_set import NIL
from inventory.drawing.post import Judged, posts
from inventory.models import Station
from inventory.rules.reading import listed

SURE, LIKELY, EVEN = 0.99, 0.75, 0.25  # from which chance on a sentence says so; ours, no source


@dataclass(frozen=True)
class Verdict:
    """A graded sample in words and numbers.

    Attributes:
        answer: as `sample_answer` gives it.
        says: grade, the factor nearest to its limit or over it, how sure that is, how it was sampled.
        judged: each factor that is limited, against the best grade.
        together: over all samples drawn from the lot, where there are several.
    """

    answer: Mapping[str, Any]
    says: str
    judged: tuple[Judged, ...]
    together: Sureness | None


def verdict_of(station: Station, sample: Sample, person: User) -> Verdict:
    """Say how a sample reads (up to 12 queries).

    Raises:
        Refused: it is not graded, or hidden from this person.
    """
    answer = sample_answer(station, sample.number, person=person)
    grades = grades_of(station, [sample.lot_id]).get(sample.lot_id, [])
    together = pool(grades)
    best = first_grade(grades[0].outcome) if grades else next(iter(answer["qualifies_for"]), "")
    judged = tuple(_judged(factor, best) for factor in answer["factors"] if factor["limits"])
    several = together is not None and len(together.samples) > 1
    return Verdict(
        answer, _sentence(answer, judged, best, sample), judged, how_sure(together) if together and several else None
    )


def base_words(basis: str) -> str:
    """Say what a per cent stands on: "% of the cleaned weight"."""
    return f"% {BASIS[basis]}"


def _judged(factor: Mapping[str, Any], best: str) -> Judged:
    limit, read = factor["limits"].get(best), Decimal(factor["read_pct"])
    low, high = (Decimal(end) for end in factor["interval"]) if factor["interval"] else (None, None)
    figure = None if limit in (None, NIL) else Decimal(limit)
    return Judged(
        name=factor["words"], reading=read, limit=figure, shown=f"{read} %", words=_against(factor, best, limit, read),
        low=low, high=high,
    )  # fmt: skip


def _against(factor: Mapping[str, Any], best: str, limit: str | None, read: Decimal) -> str:
    if limit is None:
        return f"not limited for {best}"
    if limit == NIL:
        return f"none is allowed for {best}" if read else f"none, as {best} asks"
    gap = read - Decimal(limit)
    near = f"over {best} by {gap}" if gap > 0 else f"{-gap} below {best}" if gap else f"at the limit of {best}"
    chance = (factor["within"] or {}).get(best)
    return near if chance is None else f"{near}, {in_100(chance)}"


def _sentence(answer: Mapping[str, Any], judged: tuple[Judged, ...], best: str, sample: Sample) -> str:
    if answer["limiting"]:
        held = listed([_held(entry) for entry in answer["limiting"]], "and")
        return f"{answer['printed']}: {held}. {sampling_line(sample).capitalize()}."
    nearest = next((post.judged for post in posts(judged) if post.judged.limit is not None), None)
    if nearest is None:
        return f"{answer['printed']}. {sampling_line(sample).capitalize()}."
    name = nearest.name[:1].upper() + nearest.name[1:]
    said = f"{answer['printed']}. {name} {nearest.reading} %, limit {nearest.limit}."
    chance = next(
        ((factor["within"] or {}).get(best) for factor in answer["factors"] if factor["words"] == nearest.name), None
    )
    return f"{said} {_likely(chance)}{sampling_line(sample)}."


def _held(entry: Mapping[str, Any]) -> str:
    return (
        str(entry["words"])
        if entry["read_pct"] is None
        else f"{entry['words']} {entry['read_pct']}, limit {entry['limit']}"
    )


def _likely(chance: float | None) -> str:
    """Begin the sentence that ends with how the sample was drawn."""
    if chance is None:
        return "Nothing says how likely the whole lot is within it. Sampling: "
    words = (
        "Very likely" if chance >= SURE else "Likely" if chance >= LIKELY else "Perhaps" if chance >= EVEN else "Hardly"
    )
    return f"{words} the whole lot is within it ({in_100(chance)}), if the sample was fairly drawn: "
