"""A sieving as it was typed: screens and what stayed on each, in grams or per cent, read into a stack that closes."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.rules.measurements import closing_mistakes
from grading.rules.screens import bare_notes, read_stack
from grading.rules.size_curve import SizeStack
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.rounding import half_up

ALLOWED_LOSS = Fraction(5, 1000)  # of what went onto the top screen; sieve standards allow 0.5 to 2 % (from memory)
LOSS_SOURCE = "sieving standards allow a loss of 0.5 to 2 % (from memory); 0.5 % here"
MOST_G = 100_000


class SievingLoses(Mistake):
    """What stayed on the screens is not what went onto them."""

    code = "sieving_loses"

    def __init__(self, total: Fraction, sieved: Decimal, off: Fraction) -> None:
        super().__init__(
            f"Screens and pan hold {half_up(total, 2)} g, but {sieved:f} g were sieved: {half_up(off * 100, 2)} % off, "
            "and 0.5 % is allowed. Weigh each screen again, or look for what stuck in the holes.",
            field="sieved_g",
        )


class NothingSieved(Mistake):
    """No seed on any screen."""

    code = "nothing_sieved"

    def __init__(self, field: str) -> None:
        super().__init__("All screens and the pan hold 0. Give what stayed on each.", field=field)


class AmountsDoNotFit(Mistake):
    """Not one amount for each screen, or amounts in two units."""

    code = "amounts_do_not_fit"


@dataclass(frozen=True, slots=True)
class Sieved:
    """A sieving that was read.

    Attributes:
        stack: screens and what stayed on each.
        unit: "g" or "%".
        grams: all that stayed on screens and pan [g]; None where only shares are known.
    """

    stack: SizeStack
    unit: str
    grams: Fraction | None


def read_sieving(
    words: Gathering, screens: Sequence[Any], grams: Sequence[Any], pct: Sequence[Any], *,
    sieved_g: Any = None, shape: Any = "", prefix: str = "",
) -> Sieved | None:  # fmt: skip
    """Read a sieving; everything that is wrong is gathered.

    Args:
        screens: the widest first, the pan last.
        grams, pct: what stayed on each, the one or the other [g] or [%].
        sieved_g: what went onto the top screen, where it was weighed [g].
        shape: round or slotted, for screens that do not say it.
        prefix: of the fields' names, where there are two sievings: "other_".
    """
    read, wrong = read_stack(screens, shape=shape)
    words.add(*wrong)
    words.notes.extend(bare_notes(read))
    unit, given = ("%", pct) if not grams and pct else ("g", grams)
    field = f"{prefix}{'grams' if unit == 'g' else 'pct'}"
    if grams and pct:
        words.add(AmountsDoNotFit("Both grams and pct are given. Give the one or the other.", field=f"{prefix}pct"))
    if len(given) != len(screens):
        says = f"There are {len(screens)} screens and {len(given)} amounts. Give one for each screen and the pan."
        words.add(AmountsDoNotFit(says, field=field))
    amounts = words.numbers(given, field, unit=unit, least=0, most=MOST_G if unit == "g" else 100, fewest=0)
    sieved = words.number(sieved_g, f"{prefix}sieved_g", unit="g", least="0.001", most=MOST_G, needed=False)
    if wrong or not len(amounts) == len(read) == len(given) == len(screens) or (grams and pct):
        return None
    return _closed(words, SizeStack(tuple(read), tuple(map(Fraction, amounts))), unit, sieved, field)


def _closed(
    words: Gathering, stack: SizeStack, unit: str, sieved: Decimal | None, field: str
) -> Sieved | None:  # fmt: skip
    """Check that what stayed makes up what was sieved, or a hundred."""
    if not stack.total:
        words.add(NothingSieved(field))
        return None
    if unit == "%":
        words.add(*closing_mistakes([_decimal(amount) for amount in stack.amounts]))
        return Sieved(stack, "%", None if sieved is None else Fraction(sieved))
    words.add(*loss_mistakes(stack.total, sieved))
    return Sieved(stack, "g", stack.total)


def _decimal(amount: Fraction) -> Decimal:
    return Decimal(amount.numerator) / Decimal(amount.denominator)


def loss_mistakes(total: Fraction, sieved: Decimal | None) -> list[Mistake]:
    """Compare what stayed with what was sieved, where that was weighed [g]."""
    if sieved is None:
        return []
    off = abs(total - Fraction(sieved)) / Fraction(sieved)
    return [SievingLoses(total, sieved, off)] if off > ALLOWED_LOSS else []
