"""What may leave, and for what."""

from collections.abc import Sequence
from datetime import date

from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Level, Mistake, Note, Question
from inventory.rules.reading import listed, quoted

PURPOSES = ("seed", "food", "feed", "canning", "trial")
OLD_TEST_MONTHS = 12  # a germination test that is older is called out; common practice, no source
EATEN = ("food", "feed", "canning")


class UnknownUse(Mistake):
    """A purpose that no shipment has."""

    code = "unknown_use"

    def __init__(self, purpose: str) -> None:
        super().__init__(
            f"{quoted(purpose)} is no purpose of a shipment. Use {listed(list(PURPOSES))}.", field="purpose"
        )


class UnknownShipment(Mistake):
    """No shipment of that code left."""

    code = "unknown_shipment"

    def __init__(self, code: str, *, instead: str) -> None:
        super().__init__(
            f"No shipment {quoted(code)} is in the books. Check its paper, or {instead}.", field="shipment"
        )  # fmt: skip


class CodeShipped(Question):
    """Something left under that code already."""

    code = "code_shipped"
    level = Level.DUPLICATE

    def __init__(self, code: str, recipient: str, day: date) -> None:
        super().__init__(
            f"{code} left already on {day.isoformat()}, to {recipient}. Is this seed part of the same shipment? "
            "Then say so.",
            field="shipment",
        )


class TreatedSeed(Mistake):
    """Treated seed for eating."""

    code = "treated_seed"

    def __init__(self, lot: str, purpose: str) -> None:
        super().__init__(
            f"{lot} is treated seed, or was made from it: it never leaves for {purpose}. "
            "Ship it as seed, or choose a lot that was not treated.",
            field="lot",
        )


class Promised(Note):
    """What is left does not cover what was promised to others."""

    code = "promised"

    def __init__(self, lot: str, promised_mg: int, to: Sequence[str], left_mg: int) -> None:
        super().__init__(
            f"{kg_words(promised_mg)} kg of {lot} are promised to {listed(list(to), 'and')}; "
            f"{kg_words(left_mg)} would be left.",
            field="mass",
        )


class BeyondStock(Note):
    """More is promised than there is."""

    code = "beyond_stock"

    def __init__(self, lot: str, missing_mg: int) -> None:
        super().__init__(f"{kg_words(missing_mg)} kg more of {lot} are promised than are in store.", field="mass")


class OldTest(Note):
    """A germination test that is over a year old."""

    code = "old_test"

    def __init__(self, day: date, months: int) -> None:
        super().__init__(
            f"Germination is from {day.isoformat()}, {months} months ago. You can still plan with it; the label will "
            "say the date.",
            field="lot",
        )


def old_tests(day: str, today: date) -> list[OldTest]:
    """Note a germination test that was counted over twelve months ago.

    Args:
        day: of the newest test, ISO 8601; "" where there is none.
    """
    if not day:
        return []
    tested = date.fromisoformat(day)
    months = (today.year - tested.year) * 12 + today.month - tested.month - (today.day < tested.day)
    is_over = months > OLD_TEST_MONTHS or (months == OLD_TEST_MONTHS and today.day != tested.day)
    return [OldTest(tested, months)] if is_over else []


def treated_mistakes(lots: Sequence[tuple[str, bool]], purpose: str) -> list[Mistake]:
    """Refuse treated lots for food, feed and canning, one way.

    Args:
        lots: number of each lot, and whether it is treated.
    """
    return [TreatedSeed(lot, purpose) for lot, treated in lots if treated and purpose in EATEN]


def promise_notes(lot: str, left_mg: int, promises: Sequence[tuple[str, int]]) -> list[Note]:
    """Warn where what is left does not cover what was promised; it never blocks.

    Args:
        left_mg: what is left of the lot afterwards [mg].
        promises: for whom and how much [mg], without those to whoever receives this seed.
    """
    promised = sum(mg for _to, mg in promises)
    if promised <= left_mg:
        return []
    if not promises:
        return [BeyondStock(lot, -left_mg)]
    return [Promised(lot, promised, list(dict.fromkeys(to for to, _mg in promises)), left_mg)]
