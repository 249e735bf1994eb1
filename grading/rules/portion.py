"""A portion as it lies on the bench."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from grading.rules.rule_set import MOISTURE


@dataclass(frozen=True, slots=True)
class Overlap:
    """Pieces that lie in one dish but count under several factors, such as a damaged bean of another class.

    Each factor carries their whole weight; a total that sums several of the factors counts them once.
    """

    factors: tuple[str, ...]
    grams: Decimal


@dataclass(frozen=True, slots=True)
class Portion:
    """What was picked through, and what was found in it.

    Attributes:
        class_name: market class as typed.
        portion_g: weight of the portion [g].
        weights_g: dish -> weight; a dish that is not named held nothing [g].
        counts: dish -> pieces; "portion" counts all beans of the portion.
        overlaps: weight counted under several factors.
        judged: judged thing -> word.
        stops: findings that end grading.
        gross_g, dockage_g: the uncleaned sample and what came off it [g].
        sound_g: what was left sound, to close the pan [g].
        moisture_pct: % wet basis.
        seed_weight_g_per_100: weight of 100 seeds [g].
        readings: what other tests say, by its name, such as "germination_pct" [%].
    """

    class_name: str
    portion_g: Decimal
    weights_g: Mapping[str, Decimal]
    counts: Mapping[str, int] = field(default_factory=dict)
    overlaps: tuple[Overlap, ...] = ()
    judged: Mapping[str, str] = field(default_factory=dict)
    stops: tuple[str, ...] = ()
    gross_g: Decimal | None = None
    dockage_g: Decimal | None = None
    sound_g: Decimal | None = None
    moisture_pct: Decimal | None = None
    seed_weight_g_per_100: Decimal | None = None
    readings: Mapping[str, Decimal] = field(default_factory=dict)

    def reading(self, name: str) -> Decimal | None:
        """Give what an instrument or a test says; None where it was not given [%]."""
        return self.moisture_pct if name == MOISTURE else self.readings.get(name)


def pooled(portions: Sequence[Portion]) -> Portion:
    """Lay portions of one lot together, as if they had been picked as one.

    Args:
        portions: at least one, drawn separately from one lot, of one class and 100-seed weight.

    Returns:
        Their sums. Words and moisture are kept only where all agree, dockage and counts only where all have them.

    Raises:
        ValueError: none is given, or class or 100-seed weight differ.
    """
    if not portions or len({(portion.class_name, portion.seed_weight_g_per_100) for portion in portions}) > 1:
        raise ValueError("Pool at least one portion, all of one class and one 100-seed weight.")
    first = portions[0]
    dishes = dict.fromkeys(dish for portion in portions for dish in portion.weights_g)
    counted = [dish for dish in first.counts if all(dish in portion.counts for portion in portions)]
    return Portion(
        class_name=first.class_name,
        portion_g=sum((portion.portion_g for portion in portions), Decimal(0)),
        weights_g={dish: _sum([portion.weights_g.get(dish, Decimal(0)) for portion in portions]) for dish in dishes},
        counts={dish: sum(portion.counts[dish] for portion in portions) for dish in counted},
        overlaps=tuple(overlap for portion in portions for overlap in portion.overlaps),
        judged=first.judged if all(portion.judged == first.judged for portion in portions) else {},
        stops=tuple(dict.fromkeys(stop for portion in portions for stop in portion.stops)),
        gross_g=_sum_of_all([portion.gross_g for portion in portions]),
        dockage_g=_sum_of_all([portion.dockage_g for portion in portions]),
        sound_g=_sum_of_all([portion.sound_g for portion in portions]),
        moisture_pct=first.moisture_pct if len({portion.moisture_pct for portion in portions}) == 1 else None,
        seed_weight_g_per_100=first.seed_weight_g_per_100,
        readings=first.readings if all(portion.readings == first.readings for portion in portions) else {},
    )


def _sum(weights: Sequence[Decimal]) -> Decimal:
    return sum(weights, Decimal(0))


def _sum_of_all(weights: Sequence[Decimal | None]) -> Decimal | None:
    known = [weight for weight in weights if weight is not None]
    return _sum(known) if len(known) == len(weights) else None
