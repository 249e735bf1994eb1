"""Seed health and purity of variety: how many there may be, against the most that is allowed."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.rules.counts import found_mistakes
from grading.stats.against_limit import Judged, Judgement, judge
from grading.stats.upper_limit import to_show
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.reading import typed_text

MOST_TESTED = 1_000_000


@dataclass(frozen=True, kw_only=True)
class HealthAsked:
    """A count of infected seeds or off-types, and the most that is allowed."""

    tested: Any
    found: Any
    most_pct: Any = ""
    sure_pct: Any = "95"
    what: str = "infected"


def seed_health(asked: HealthAsked, _station: Station | None = None) -> Answer:
    """Answer how many infected seeds or off-types there may be.

    Raises:
        Refused: more found than tested, a count with decimals, a limit outside 0 to 100.
    """
    words = Gathering()
    tested = words.whole(asked.tested, "tested", least=1, most=MOST_TESTED)
    found = words.whole(asked.found, "found", most=MOST_TESTED, example="0")
    most = words.number(asked.most_pct, "most_pct", unit="%", least=0, most=100, needed=False)
    sure = words.number(asked.sure_pct, "sure_pct", unit="%", least=50, most=Decimal("99.9"), example="95")
    words.add(*found_mistakes(found, tested, "found"))
    words.finish()
    level = float(given(sure)) / 100
    judged = judge(given(found), given(tested), None if most is None else Fraction(most), level)
    values = {
        "estimate": judged.upper.estimate, "interval": [0.0, judged.upper.high], "n": judged.upper.n, "level": level,
        "method": judged.upper.method, "judgement": str(judged.judgement),
        "needed_with_none_found": _needed(most, level),
    }  # fmt: skip
    return Answer(
        values, _says(judged, typed_text(asked.what).strip() or "infected", given(sure)), judged.working, NOTES
    )


NOTES = ("Of seeds fairly drawn and a method that misses none: one that misses some leaves more possible.",)


def _needed(most: Decimal | None, level: float) -> int | None:
    return to_show(float(most) / 100, level) if most is not None and 0 < most < 100 else None


def _says(judged: Judged, what: str, sure: Decimal) -> tuple[str, ...]:
    upper = f"{judged.found} {what} of {judged.upper.n}: at most {judged.upper_pct} % in the lot ({sure} in 100)."
    most = judged.most_pct
    verdicts = {
        Judgement.NO_LIMIT: "No limit is set, so nothing is judged.",
        Judgement.OVER: f"Over the limit of {_pct(most)} %.",
        Judgement.NONE_FOUND: "None is allowed and none was found; some may still be there.",
        Judgement.WITHIN: f"Within the limit of {_pct(most)} %.",
        Judgement.TOO_NEAR: f"Too near to call at the limit of {_pct(most)} %: test more seeds.",
    }
    return upper, verdicts[judged.judgement]


def _pct(most: Fraction | None) -> str:
    return "" if most is None else f"{float(most):g}"


FIGURES = (
    Figure(
        "seed health", "How many infected seeds or off-types there may be, by a count, against a limit.", HealthAsked,
        seed_health, {"tested": "400", "found": "0", "most_pct": "1"},
    ),
)  # fmt: skip
