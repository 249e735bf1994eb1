"""What growers, packers and cooks said of seed that left: does it name something, and the right seed?"""

from datetime import date

from inventory.rules.mistakes import Mistake, Question


class AboutNothing(Mistake):
    """What was said hangs on nothing."""

    code = "about_nothing"

    def __init__(self) -> None:
        super().__init__("Name what this was said about: a shipment, a lot or a line.", field="shipment")


class OtherSeed(Question):
    """The lot was not in the shipment."""

    code = "other_seed"

    def __init__(self, lot: str, shipment: str) -> None:
        super().__init__(
            f"Nothing of {lot} left with {shipment}. Leave one of the two out, or say why both are meant.", field="lot"
        )


class SaidBeforeItLeft(Question):
    """The word is older than the shipment."""

    code = "said_before_it_left"

    def __init__(self, shipment: str, left_on: date, said_on: date) -> None:
        super().__init__(
            f"{shipment} left on {left_on.isoformat()}, but this was said on {said_on.isoformat()}. "
            "Check the day, or say why it is right.",
            field="at",
        )


def about_mistakes(*named: str) -> list[Mistake]:
    """Refuse what names neither shipment, lot nor line."""
    return [] if any(named) else [AboutNothing()]


def shipment_mistakes(shipment: str, *, left_on: date, said_on: date, other_lot: str = "") -> list[Mistake]:
    """Ask where what was said of a shipment does not fit it.

    Args:
        shipment: its code.
        left_on: the local day on which its first seed left.
        said_on: the local day of the word.
        other_lot: number of the lot that was named beside it and was not in it; "" where there is none.
    """
    questions: list[Mistake] = [OtherSeed(other_lot, shipment)] if other_lot else []
    return [*questions, *([SaidBeforeItLeft(shipment, left_on, said_on)] if said_on < left_on else [])]
