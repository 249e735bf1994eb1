"""What a sampling scheme asks of a lot, against what was probed."""

from dataclasses import dataclass, field
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.rules.sampling import SCHEMES
from grading.rules.sampling import sampling as hold_against
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.working import Step

MOST_SIZE, MOST_PROBED = 100_000_000, 1_000_000


@dataclass(frozen=True, kw_only=True)
class SamplingAsked:
    """A scheme, the bags, containers or kg of the lot, and what was probed, drawn and worked."""

    scheme: str = field(metadata={"looks": ", ".join(SCHEMES)})
    size: Any
    probed: Any = ""
    lot_kg: Any = ""
    drawn_g: Any = ""
    worked_g: Any = ""


def sampling(asked: SamplingAsked, _station: Station | None = None) -> Answer:
    """Answer what a scheme asks.

    Raises:
        Refused: an unknown scheme, a lot of no parts, counts with decimals.
    """
    words = Gathering()
    scheme = words.word(asked.scheme, "scheme", tuple(SCHEMES))
    size = words.whole(asked.size, "size", least=1, most=MOST_SIZE, example="23")
    probed = words.whole(asked.probed, "probed", most=MOST_PROBED, needed=False)
    lot_kg, drawn_g, worked_g = (
        words.number(getattr(asked, name), name, unit=name.rpartition("_")[2], least=0, most=MOST_SIZE, needed=False)
        for name in ("lot_kg", "drawn_g", "worked_g")
    )
    words.finish()
    found = hold_against(
        scheme, given(size), 0 if probed is None else probed, lot_kg=lot_kg, drawn_g=drawn_g, worked_g=worked_g
    )  # fmt: skip
    rule, values = found.scheme, found.as_json
    cautions = found.cautions if probed is not None else tuple(one for one in found.cautions if "short" not in one)
    if probed is None:
        values |= {"probed": None, "enough": None, "says": f"The rule asks {found.asked} {rule.what}."}
    values["cautions"] = list(cautions)
    step = Step(f"{rule.what} asked", f"{size} {rule.counts} -> {found.asked}", source=rule.source)
    says = (str(values.pop("says")), *cautions)
    return Answer(values, says, (step, *_demand_steps(found.scheme.demands)))


def _demand_steps(asks: Any) -> tuple[Step, ...]:
    texts = (
        ("largest lot", asks.most_kg and f"{asks.largest_lot_kg} kg and {asks.excess_pct} % = {asks.most_kg} kg"),
        ("least sample", asks.least_drawn_g and f"{asks.least_drawn_g} g"),
        ("least working portion", asks.least_worked_g and f"{asks.least_worked_g} g"),
    )
    return tuple(Step(gives, text, source=asks.source) for gives, text in texts if text)


FIGURES = (
    Figure(
        "sampling", "What a sampling scheme asks of a lot, against what was probed, drawn and worked.",
        SamplingAsked, sampling, {"scheme": "bags", "size": "23", "probed": "7", "worked_g": "500"},
    ),
)  # fmt: skip
