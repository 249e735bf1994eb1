"""What can be wrong with a bench sheet, a seed test or a rule set, each worded in the grader's own numbers."""

from collections.abc import Iterable
from decimal import Decimal
from difflib import get_close_matches

from inventory.rules.mistakes import Mistake, Question
from inventory.rules.reading import listed
from inventory.rules.rounding import half_up


def shown(value: object) -> str:
    """Show what was given, shortened so that a sentence stays readable."""
    text = str(value) if isinstance(value, Decimal | int) and not isinstance(value, bool) else repr(value)
    return text if len(text) <= 60 else f"{text[:57]}…"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Find the known word that was most likely meant, if one is near."""
    by_fold = {name.casefold(): name for name in known}
    near = get_close_matches(word.casefold(), by_fold, n=1, cutoff=0.6)
    return by_fold[near[0]] if near else None


class NotAnObject(Mistake):
    """Something that should hold named values is something else."""

    code = "not_an_object"

    def __init__(self, what: str, value: object, field: str = "") -> None:
        super().__init__(f"{what} is {shown(value)}. Give an object with named values, in braces.", field=field)


class Missing(Mistake):
    """A value that nothing can be computed without."""

    code = "missing"

    def __init__(self, field: str, hint: str) -> None:
        super().__init__(f"{field} is missing. {hint}", field=field)


class NotANumber(Mistake):
    """A weight or percentage that can't be read as an exact number."""

    code = "not_a_number"

    def __init__(self, field: str, value: object, unit: str) -> None:
        says = f'{field} is {shown(value)}. Give the {unit} as a plain number such as 14.8 or "14.8", with a point.'
        super().__init__(says, field=field)


class Negative(Mistake):
    """A weight or percentage below nought."""

    code = "negative"

    def __init__(self, field: str, value: Decimal, unit: str) -> None:
        again = "Count" if unit == "pieces" else "Weigh"
        super().__init__(f"{field} is {value} {unit}. {again} again: it can't be less than 0.", field=field)


class TooMuch(Mistake):
    """A number beyond what a bench can hold."""

    code = "too_much"

    def __init__(self, field: str, value: Decimal, most: str, unit: str) -> None:
        says = f"{field} is {shown(value)}, more than the {most} {unit} we take. Check the unit and the decimal point."
        super().__init__(says, field=field)


class NoPortion(Mistake):
    """A portion of nothing."""

    code = "no_portion"

    def __init__(self) -> None:
        super().__init__("The portion weighs 0 g. Give the weight of what was picked through.", field="portion_g")


class HeavierThanPortion(Mistake):
    """One dish, or all of them, outweigh the portion they were picked from."""

    code = "heavier_than_portion"

    def __init__(self, what: str, dish: Decimal, portion: Decimal, field: str) -> None:
        says = f"{what} {'weigh' if field == 'weights_g' else 'weighs'} {dish} g, more than the portion of {portion} g."
        super().__init__(f"{says} Check both weights.", field=field)


class UnknownWord(Mistake):
    """A word that the rule set does not have; the nearest one is proposed."""

    code = "unknown_word"

    def __init__(self, what: str, word: object, known: Iterable[str], field: str) -> None:
        known = tuple(known)
        near = nearest(word, known) if isinstance(word, str) else None
        hint = f"Did you mean {near}? " if near else ""
        choice = listed(list(known), "and") if known else "none"
        says = f"We know no {what} {shown(word)}. {hint}Known: {choice}."
        super().__init__(says, field=field, proposal=near)


class DockageHeavierThanGross(Mistake):
    """More dockage than there was sample."""

    code = "dockage_heavier_than_gross"

    def __init__(self, gross: Decimal, dockage: Decimal) -> None:
        says = f"Dockage of {dockage} g was taken off {gross} g gross, which leaves no beans. Check both weights."
        super().__init__(says, field="dockage_g")


class PortionHeavierThanCleaned(Mistake):
    """The portion is more than what was left after dockage."""

    code = "portion_heavier_than_cleaned"

    def __init__(self, portion: Decimal, gross: Decimal, dockage: Decimal) -> None:
        says = (
            f"The portion of {portion} g is more than the cleaned {gross - dockage} g ({gross} gross less {dockage})."
        )
        super().__init__(f"{says} Check which weight is off.", field="portion_g")


class DockageHalfGiven(Mistake):
    """Gross without dockage, or dockage without gross."""

    code = "dockage_half_given"

    def __init__(self, given: str, wanted: str) -> None:
        says = f"{given} is given without {wanted}. Dockage needs both: what went onto the sieve and what came off."
        super().__init__(says, field=wanted)


class PanDoesNotClose(Question):
    """Dishes and sound together miss the portion by more than the allowance."""

    code = "pan_does_not_close"

    def __init__(self, total: Decimal, portion: Decimal, slip: tuple[str, Decimal, Decimal] | None) -> None:
        decimals = max(1, -int(portion.as_tuple().exponent))
        says = f"Dishes and sound make {half_up(total, decimals)} g, portion was {portion}."
        if slip is None:
            over = total - portion
            if over > 0:
                says = f"{says[:-1]}: {half_up(over, decimals)} g too much"
            rest = "whether one was weighed twice or with its dish" if over > 0 else "where the rest went"
            super().__init__(f"{says.rstrip('.')}. Weigh again, or say {rest}.", field="sound_g")
            return
        dish, typed, meant = slip
        name = dish.replace("_", " ").capitalize()
        super().__init__(f"{says} {name} {typed}: did you mean {meant}?", field=dish, proposal=str(meant))


class ReplicatesWrong(Mistake):
    """A germination test that has neither two nor four replicates, or counts outside 0 to 100."""

    code = "replicates_wrong"

    def __init__(self, says: str, *, field: str = "replicates") -> None:
        super().__init__(says, field=field)


class OutOfRange(Mistake):
    """A number outside what the question allows."""

    code = "out_of_range"


class RuleSetFault(Mistake):
    """A rule set that can't be used as it is written."""

    code = "rule_set_fault"
