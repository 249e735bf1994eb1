"""Drying: water goes, dry matter stays; what a lot should weigh afterwards against what the scale says."""

from decimal import Decimal

from inventory.rules.mass import MG_PER_KG, kg_words
from inventory.rules.mistakes import Mistake, Note, Question
from inventory.rules.moisture import dried_mass
from inventory.rules.rounding import half_up

# How far the weighed mass may lie from the expected one, parts per million of the mass before: two readings of a meter
# that is good to 0.25 % each differ by about as much. Common practice of the plant, no published source.
FAR_PPM = 5_000


class MoistureBeforeMissing(Mistake):
    """Nothing says how wet the lot was."""

    code = "moisture_before_missing"

    def __init__(self, lot: str) -> None:
        super().__init__(
            f"No moisture of {lot} is in the books. Give what it read before drying, for example 17.4.", field="before"
        )


class NotDrier(Mistake):
    """The moisture afterwards is not below the one before."""

    code = "not_drier"

    def __init__(self, before: Decimal, after: Decimal) -> None:
        super().__init__(
            f"It read {before} % before and {after} % after: that is not drier. Read the meter again, "
            "or enter it as a moisture.",
            field="after",
        )


class GainedByDrying(Mistake):
    """The lot weighs more than before."""

    code = "gained_by_drying"

    def __init__(self, weighed_mg: int, there_mg: int) -> None:
        super().__init__(
            f"{kg_words(weighed_mg)} kg were weighed after drying, but only {kg_words(there_mg)} kg were there before. "
            "Was the tare taken off?",
            field="weighed",
        )


class DryingDiffers(Question):
    """The weighed mass is far from what the dry matter says."""

    code = "drying_differs"

    def __init__(self, weighed_mg: int, there_mg: int, expected_mg: int, before: Decimal, after: Decimal) -> None:
        super().__init__(
            f"{kg_words(there_mg)} kg dried from {before} to {after} % should weigh {two_decimals(expected_mg)} kg; "
            f"{kg_words(weighed_mg)} were weighed. Check weight and both readings, or say why and go on.",
            field="weighed",
        )


class DriedAsExpected(Note):
    """What the dry matter says beside what was weighed."""

    code = "dried_as_expected"

    def __init__(self, weighed_mg: int, expected_mg: int) -> None:
        super().__init__(
            f"By its dry matter it should weigh {two_decimals(expected_mg)} kg; {kg_words(weighed_mg)} were weighed.",
            field="weighed",
        )


def two_decimals(mg: int) -> str:
    """Write a computed mass as people read it, half up to 0.01 kg: "876.65"."""
    return f"{half_up(Decimal(mg) / MG_PER_KG, 2):,}"


def drying_mistakes(there_mg: int, weighed_mg: int, before: Decimal, after: Decimal) -> list[Mistake]:
    """Hold the weighed mass against the dry matter.

    Args:
        there_mg: mass before [mg].
        weighed_mg: mass afterwards, as weighed [mg].
        before, after: moisture [% wet basis].
    """
    if after >= before:
        return [NotDrier(before, after)]
    if weighed_mg > there_mg:
        return [GainedByDrying(weighed_mg, there_mg)]
    expected = dried_mass(there_mg, before, after)
    if abs(weighed_mg - expected) * 1_000_000 > FAR_PPM * there_mg:
        return [DryingDiffers(weighed_mg, there_mg, expected, before, after)]
    return []
