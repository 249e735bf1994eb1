"""What the pieces of a dish that was both counted and weighed say: their own range by weight, or a limit by count."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from grading.rules.fit import basis_g
from grading.rules.outcome import Outcome
from grading.rules.portion import Portion
from grading.rules.readings import Reading
from grading.rules.rule_set import WEIGHT
from grading.stats.by_weight import ByWeight, CountLimit, Pieces, by_weight, count_limit

BY_WEIGHT = (
    "Ranges by weight stand on the pieces' own mean weight, as counted; how pieces differ among themselves was not "
    "given, and would widen them a little."
)


def count_limits(result: Outcome, portion: Portion) -> dict[str, CountLimit]:
    """Limit by its count what has no chance: what was counted, and what was looked for and not found."""
    limits = {}
    for reading in result.readings:
        pieces = 0 if reading.share == 0 else reading.pieces
        if reading.factor.has_chance or pieces is None or reading.factor.is_read_off:
            continue
        basis = float(basis_g(result.rule_set, portion, reading.factor.name))
        limits[reading.factor.name] = count_limit(pieces, basis, _piece_g(reading, basis))
    return limits


def ranges_by_weight(result: Outcome, portion: Portion) -> dict[str, ByWeight]:
    """Give the likely range by weight of each dish that was weighed and counted, where 100 seeds were weighed too."""
    if portion.seed_weight_g_per_100 is None:
        return {}
    seed_g, ranges = float(portion.seed_weight_g_per_100 / 100), {}
    weighed = {result.rule_set.factor_by_any_name[name].name for name, grams in portion.weights_g.items() if grams}
    for reading in result.readings:
        basis = float(basis_g(result.rule_set, portion, reading.factor.name))
        piece_g = _piece_g(reading, basis)
        if reading.factor.has_chance and reading.factor.name in weighed and piece_g is not None:
            ranges[reading.factor.name] = by_weight(float(reading.share), basis, Pieces(piece_g, seed_g))
    return ranges


def limit_says(limit: CountLimit | None) -> str:
    """Say a limit by count, after what it is of."""
    if limit is None:
        return " Count them, and an upper limit can be said."
    share = "" if limit.upper_share is None else f", {limit.upper_share * 100:.2f} % at their mean weight"
    most = f"so much seed holds up to {limit.upper_pieces:.1f} pieces on average{share}"
    return (
        f" {limit.pieces or 'None'} found: {most}; a second portion of this weight may show up to {limit.next_pieces} "
        "(each 95 in 100, by count)."
    )


def as_named(ranges: Mapping[str, ByWeight], factor: str) -> dict[str, Any] | None:
    """Write a range by weight as named values; None where there is none."""
    one = ranges.get(factor)
    if one is None or one.sd is None:
        return None
    low, high = (f"{end * 100:.4f}" for end in (one.interval.low, one.interval.high))
    pieces = str(round(Decimal(one.interval.n), 1))
    return {"interval": [low, high], "sd_points": f"{one.sd * 100:.5f}", "equal_pieces": pieces}


def _piece_g(reading: Reading, basis_g: float) -> float | None:
    """Mean weight of a piece [g]; None where it was not weighed, or not counted."""
    if not reading.pieces or not reading.share or reading.factor.taken_by != WEIGHT:
        return None
    return float(reading.share) * basis_g / reading.pieces
