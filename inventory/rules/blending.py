"""Blending and splitting: lots meet or part only on purpose, and the masses add up."""

from collections.abc import Sequence

from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake, Question
from inventory.rules.reading import listed
from inventory.rules.runs import percent_of

MISSING_ALLOWED_PPM = 2_000  # as at bagging: common practice of the plant, no published source


class BlendOfOne(Mistake):
    """A blend of one lot."""

    code = "blend_of_one"

    def __init__(self, lots: Sequence[str]) -> None:
        named = f"only {lots[0]} is named" if lots else "none is named"
        super().__init__(f"A blend needs at least two lots; {named}. Add the other lot, or move the seed.", field="lot")


class BlendedWithItself(Mistake):
    """A lot is named twice."""

    code = "blended_with_itself"

    def __init__(self, lot: str) -> None:
        super().__init__(
            f"{lot} is named twice: a lot is not blended with itself. Name it once, with all of it that goes in.",
            field="lot",
        )


class TwoLines(Question):
    """Lots of different lines are to meet."""

    code = "two_lines"

    def __init__(self, lines: Sequence[str], *, loses_class: bool) -> None:
        count = {2: "two", 3: "three"}.get(len(lines), str(len(lines)))
        lost = "the line name and the class" if loses_class else "the line name"
        super().__init__(
            f"These are {count} lines ({', '.join(lines)}). A blend loses {lost}. Write why, or stop.", field="lot"
        )


class TreatedIn(Question):
    """Treated seed would make the untreated treated too."""

    code = "treated_in"

    def __init__(self, treated: Sequence[str], total_mg: int) -> None:
        verb = "is" if len(treated) == 1 else "are"
        super().__init__(
            f"{listed(list(treated), 'and')} {verb} treated: all {kg_words(total_mg)} kg would be treated, not for "
            "food or feed, for good. Say why, or leave it out.",
            field="lot",
        )


class MoreThanWentIn(Mistake):
    """More came out than went in."""

    code = "more_than_went_in"

    def __init__(self, went_in_mg: int, out_mg: int, spilled_mg: int) -> None:
        spilled = f" and {kg_words(spilled_mg)} spilled" if spilled_mg else ""
        super().__init__(
            f"{kg_words(out_mg)} kg came out{spilled}, but only {kg_words(went_in_mg)} kg went in. "
            "Was a tare not taken off?",
            field="out",
        )


class NothingCameOut(Mistake):
    """All of it was spilled."""

    code = "nothing_came_out"

    def __init__(self, spilled_mg: int) -> None:
        super().__init__(
            f"{kg_words(spilled_mg)} kg spilled leaves nothing for the new lot. Weigh what came out.", field="spilled"
        )


class MissingFromBlend(Question):
    """More is missing than a blend may lose."""

    code = "missing_from_blend"

    def __init__(self, missing_mg: int, went_in_mg: int) -> None:
        super().__init__(
            f"{kg_words(missing_mg)} kg of {kg_words(went_in_mg)} are missing "
            f"({percent_of(missing_mg, went_in_mg)} %, allowed 0.2). Was all of it weighed?",
            field="out",
        )


class PiecesDoNotAddUp(Mistake):
    """The pieces of a split are not what was taken for them."""

    code = "pieces_do_not_add_up"

    def __init__(self, pieces_mg: int, taken_mg: int) -> None:
        super().__init__(
            f"The pieces add up to {kg_words(pieces_mg)} kg, but {kg_words(taken_mg)} kg were taken for them. "
            "Weigh again; what is not split may stay in the lot.",
            field="mass",
        )


def lots_mistakes(lots: Sequence[str]) -> list[Mistake]:
    """Want at least two lots, each named once.

    Args:
        lots: their numbers, in the order named.
    """
    twice = sorted({lot for lot in lots if lots.count(lot) > 1})
    if twice:
        return [BlendedWithItself(lot) for lot in twice]
    return [BlendOfOne(lots)] if len(lots) < 2 else []


def balance_of_blend(went_in_mg: int, out_mg: int, spilled_mg: int) -> list[Mistake]:
    """Hold what came out against what went in [mg]."""
    if out_mg <= 0 and spilled_mg >= went_in_mg:
        return [NothingCameOut(spilled_mg)]
    missing = went_in_mg - out_mg - spilled_mg
    if missing < 0:
        return [MoreThanWentIn(went_in_mg, out_mg, spilled_mg)]
    return [MissingFromBlend(missing, went_in_mg)] if missing * 1_000_000 > MISSING_ALLOWED_PPM * went_in_mg else []


def pieces_mistakes(pieces_mg: int, taken_mg: int) -> list[Mistake]:
    """Want the pieces of a split to add up to what was taken [mg]."""
    return [] if pieces_mg == taken_mg else [PiecesDoNotAddUp(pieces_mg, taken_mg)]
