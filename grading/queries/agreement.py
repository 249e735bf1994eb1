"""Do the portions that were drawn separately from one lot agree?"""

from collections.abc import Sequence

from grading.queries.answers import beans_in
from grading.queries.grades import Graded, drawn_apart
from grading.stats.together import together
from inventory.rules.reading import listed


def agreement(graded: Sequence[Graded], words: str) -> str:
    """Say whether a lot's portions agree in one factor; "" where fewer than two can be held beside each other.

    Args:
        graded: portions of one lot, the newest first.
        words: the factor as people read it.
    """
    drawn = drawn_apart(graded)
    pieces = [found for each in drawn if (found := _pieces(each, words)) is not None]
    if len(pieces) < 2:
        return ""
    both = together(pieces)
    names = listed(sorted(each.sample.number for each in drawn), "and")
    odds = f"{words}: chi-square {both.chi_square:.2f} on {both.degrees} df, p {both.p:.2f}"
    if both.agree:
        return f"{names} agree ({odds})"
    low, high = (f"{end * 100:.1f}" for end in (both.interval.low, both.interval.high))
    return f"{names} differ by more than picking chance ({odds}): {low} to {high} % together; draw another sample"


def _pieces(graded: Graded, words: str) -> tuple[float, float] | None:
    for reading in graded.outcome.readings:
        if reading.factor.words == words:
            beans = beans_in(graded.outcome, graded.portion, reading.factor.name)
            return None if beans is None else (float(beans * reading.share), float(beans))
    return None
