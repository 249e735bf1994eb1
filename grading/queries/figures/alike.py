"""Is a lot alike from container to container."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.rules.tolerances import short
from grading.stats.heterogeneity import FORMULAS, KINDS, OTHER_SEEDS, PURITY, Heterogeneity
from grading.stats.heterogeneity import heterogeneity as between_containers
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake

MOST_CONTAINERS, MOST_COUNT = 1000, 1_000_000
DISAGREE = "The formula is printed in two ways: W0 fits the critical values, as printed takes its factor twice."


class DecimalsInCount(Mistake):
    """A count of seeds with decimals."""

    code = "not_whole"


@dataclass(frozen=True, kw_only=True)
class ContainersAsked:
    """The result of each container, sampled and tested by itself."""

    results: Sequence[Any]
    kind: str = PURITY
    chaffy: bool = False
    formula: str = "W0"


def heterogeneity(asked: ContainersAsked, _station: Station | None = None) -> Answer:
    """Answer whether containers differ by more than chance.

    Raises:
        Refused: fewer than 5 containers, a result that cannot be, a mean at which the test is not made.
    """
    words = Gathering()
    kind = words.word(asked.kind, "kind", KINDS, PURITY)
    formula = words.word(asked.formula, "formula", list(FORMULAS), "W0")
    most = MOST_COUNT if kind == OTHER_SEEDS else 100
    results = words.numbers(asked.results[:MOST_CONTAINERS], "results", least=0, most=most)
    if kind == OTHER_SEEDS and any(result != int(result) for result in results):
        words.add(DecimalsInCount("Results of other seeds are counts. Give whole numbers.", field="results"))
    found = None
    if not words.mistakes:
        exact = [Fraction(result) for result in results]
        found = words.attempt(lambda: between_containers(exact, kind, chaffy=asked.chaffy, formula=formula))
    words.finish()
    return _answer(given(found))


def _answer(found: Heterogeneity) -> Answer:
    values: dict[str, Any] = {
        "estimate": found.estimate, "formula": found.formula, "critical": found.critical,
        "heterogeneous": found.heterogeneous, "h_by_formula": dict(found.by_formula), "n": found.n,
        "method": found.method, "level": 0.99, "interval": None,
    }  # fmt: skip
    says = [_verdict(found)]
    if found.range is not None:
        spread = found.range
        values |= {"range": short(spread.found), "allowed_range": spread.allowed, "range_too_wide": spread.too_wide}
        over = "over" if spread.too_wide else "within"
        says.append(
            f"R is {short(spread.found)}, {over} the {spread.allowed:g} that chance may make (recomputed rule)."
        )
    return Answer(values, tuple(says), found.working, (DISAGREE,))


def _verdict(found: Heterogeneity) -> str:
    value = f"H is {found.estimate:.2f} by the formula {found.formula}"
    if found.critical is None:
        return f"{value}, for which no critical value is printed: no verdict."
    if found.heterogeneous:
        return f"{value}, over the critical {found.critical:.2f}: the containers differ by more than chance (1 %)."
    return f"{value}, not over the critical {found.critical:.2f}: nothing shows that the containers differ (1 %)."


FIGURES = (
    Figure(
        "heterogeneity", "Whether the containers of a lot differ by more than chance: H and R.", ContainersAsked,
        heterogeneity, {"results": "99.4,99.5,98.7,99.5,99.6,98.9", "kind": "purity"},
    ),
)  # fmt: skip
