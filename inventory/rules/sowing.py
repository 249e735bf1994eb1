"""Seed and the plots it is sown on: do they belong together, and how is it shared out."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Level, Mistake, Question
from inventory.rules.portions import split_mg


class OtherLineStands(Question):
    """The plot was laid out for another line."""

    code = "sown_line_differs"

    def __init__(self, lot: str, line: str, plot: str, planned: str) -> None:
        super().__init__(
            f"{lot} is {line}, but plot {plot} is for {planned}. Check the bag and the plot: is this right?",
            field="plot",
        )


class SownBefore(Question):
    """The plot was sown already."""

    code = "sown_before"
    level = Level.DUPLICATE

    def __init__(self, plot: str, lot: str) -> None:
        super().__init__(f"Plot {plot} was sown with {lot} already. Same sowing?", field="plot")


class SownWithItself(Mistake):
    """Seed would stand before its own plot."""

    code = "sown_with_itself"

    def __init__(self, lot: str, plot: str) -> None:
        super().__init__(
            f"{lot} was harvested from plot {plot}, or from what came of it, so that plot was not sown with it. "
            "Check the plot's season.",
            field="plot",
        )


class TooLittleToShare(Mistake):
    """Less than a milligram would fall on a plot."""

    code = "too_little_to_share"

    def __init__(self, mg: int, plots: int) -> None:
        super().__init__(f"{kg_words(mg)} kg cannot be shared over {plots} plots. Weigh what was sown.", field="mass")


class SplitDiffers(Mistake):
    """The plots' masses do not make up what was sown."""

    code = "split_differs"

    def __init__(self, parts_mg: int, mg: int) -> None:
        super().__init__(
            f"The plots add up to {kg_words(parts_mg)} kg, but {kg_words(mg)} kg were sown. Check both.", field="mass"
        )


def share_out(mg: int, areas: Sequence[Decimal | None]) -> tuple[list[int], bool]:
    """Share seed over plots: by their areas where all are known, else equally.

    Args:
        mg: what was sown [mg].
        areas: of the plots [m²], None where not known.

    Returns:
        What fell on each plot [mg], and whether equal parts were assumed.

    Raises:
        Mistake: a plot would get nothing.
    """
    known = [area for area in areas if area]
    is_assumed = len(known) < len(areas)
    parts = split_mg(mg, [1] * len(areas) if is_assumed else [Fraction(area) for area in known])
    if not all(parts):
        raise TooLittleToShare(mg, len(areas))
    return parts, is_assumed and len(areas) > 1
