"""Bagging off: count times nominal weight, the part bag and what was spilled against what was there."""

from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake, Question

MOST_BAGS = 9_999  # one act lists each of its bags
SPILL_ALLOWED_PPM = 2_000  # common practice of the plant, no published source


class BagsDoNotFit(Mistake):
    """The bags hold more than there was."""

    code = "bags_do_not_fit"

    def __init__(self, count: int, nominal_mg: int, part_mg: int, spilled_mg: int, there_mg: int) -> None:
        parts = [f"{count} × {kg_words(nominal_mg)} = {kg_words(count * nominal_mg)} kg"]
        parts += [f"a part bag of {kg_words(part_mg)}"] if part_mg else []
        parts += [f"{kg_words(spilled_mg)} spilled"] if spilled_mg else []
        super().__init__(
            f"{' and '.join(parts)}, but only {kg_words(there_mg)} kg were there. Is one a part bag?", field="bags"
        )


class NoBags(Mistake):
    """No bag was filled."""

    code = "no_bags"

    def __init__(self) -> None:
        super().__init__("No bag was filled. Give the number of bags, or the mass of a part bag.", field="count")


class TooManyBags(Mistake):
    """More bags than one act can number."""

    code = "too_many_bags"

    def __init__(self, count: int) -> None:
        super().__init__(
            f"{count} bags are more than one bagging holds. Book at most {MOST_BAGS} at once.", field="count"
        )


class MuchSpilled(Question):
    """More was spilled than bagging usually spills."""

    code = "much_spilled"

    def __init__(self, spilled_mg: int, there_mg: int) -> None:
        super().__init__(
            f"{kg_words(spilled_mg)} kg of {kg_words(there_mg)} were spilled, more than 0.2 %. Was it weighed?",
            field="spilled",
        )


def bagging_mistakes(*, there_mg: int, count: int, nominal_mg: int, part_mg: int, spilled_mg: int) -> list[Mistake]:
    """Hold the bags against what was there; seed that is left over stays loose.

    Args:
        there_mg: loose seed before [mg].
        count: whole bags filled.
        nominal_mg: what each holds [mg].
        part_mg: what the part bag holds [mg], 0 for none.
        spilled_mg: swept up and lost [mg].
    """
    if count < 0 or not (count or part_mg):
        return [NoBags()]
    if count > MOST_BAGS:
        return [TooManyBags(count)]
    if count * nominal_mg + part_mg + spilled_mg > there_mg:
        return [BagsDoNotFit(count, nominal_mg, part_mg, spilled_mg, there_mg)]
    if spilled_mg * 1_000_000 > SPILL_ALLOWED_PPM * there_mg:
        return [MuchSpilled(spilled_mg, there_mg)]
    return []


def is_a_rest(left_mg: int, there_mg: int) -> bool:
    """Say whether what is left after bagging is no more than bagging usually spills [mg]."""
    return left_mg > 0 and left_mg * 1_000_000 <= SPILL_ALLOWED_PPM * there_mg
