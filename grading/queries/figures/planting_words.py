"""The typed words of a planting: plants, seed weight, losses and bags, each mistake a sentence at its field."""

import re
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.rules.seed_weight import G_PER_LB
from inventory.rules.gathering import Gathering, NumberMissing
from inventory.rules.mass import read_mass
from inventory.rules.mistakes import Mistake
from inventory.rules.planting import Losses
from inventory.rules.rates import Rate, is_rate, read_population
from inventory.rules.reading import plain, typed_text

_THOUSANDS = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+")


def read_losses(words: Gathering, germination: Any, emergence: Any, purity: Any, overage: Any) -> Losses | None:
    """Read what is lost between bag and stand; what is not given is taken whole."""
    left = [
        words.number(one, name, unit="%", least=1, most=100, needed=False)
        for one, name in ((germination, "germination_pct"), (emergence, "emergence_pct"), (purity, "purity_pct"))
    ]
    more = words.number(overage, "overage_pct", unit="%", least=0, most=100, needed=False)
    germinate, emerge, pure = (Fraction(1) if one is None else Fraction(one) / 100 for one in left)
    return Losses(germinate, emerge, pure, Fraction(more or 0) / 100)


def read_weight(words: Gathering, per_100: Any, per_lb: Any) -> Fraction | None:
    """Read the weight of 100 seeds [g], given as such or as seeds in a pound."""
    both = [typed_text(one).strip() for one in (per_100, per_lb)]
    if all(both):
        words.add(Mistake("A seed weight and seeds per pound are given. Give one of them.", field="seeds_per_lb"))
        return None
    if both[1]:
        seeds = words.number(
            per_lb if "," not in both[1] else both[1].replace(",", ""), "seeds_per_lb", least=50, most=100_000
        )
        return None if seeds is None else 100 * G_PER_LB / Fraction(seeds)
    if not both[0]:
        words.add(NumberMissing("seed_weight_g_per_100", "18.2"))
        return None
    weight = words.number(per_100, "seed_weight_g_per_100", unit="g", least="0.1", most=1000)
    return None if weight is None else Fraction(weight)


def bag_kg(words: Gathering, typed: Any) -> Fraction | None:
    """Read what a bag holds [kg]; None where none is given."""
    if not typed_text(typed).strip():
        return None
    read = words.attempt(lambda: read_mass(typed, unit="kg", field="bag"))
    if read is not None and read.mg == 0:
        words.add(Mistake("A bag holds 0 kg. Give what is in a full one, such as 25 kg.", field="bag"))
        return None
    return None if read is None else read.exact_mg / 1_000_000


def read_plants(words: Gathering, typed: Any, area: Decimal | None) -> tuple[Fraction | None, Rate | None]:
    """Read the plants of one plot, counted or as a stand on its area."""
    if not is_rate(typed):
        text = typed_text(typed)
        count = words.number(
            text.replace(",", "") if "," in text else typed, "plants", least=1, most=10**9, example="400"
        )
        return (None if count is None else Fraction(count)), None
    stand = words.attempt(lambda: read_population(typed))
    if area is None:
        words.add(NumberMissing("area", "4.5 m2"))
    return (None if stand is None or area is None else stand.per_m2 * Fraction(area)), stand


def counted(typed: Any) -> Any:
    """Read the comma of "2,500" as thousands: what is counted has no decimals."""
    text = plain(typed_text(typed))
    return text.replace(",", "") if _THOUSANDS.fullmatch(text) else typed
