"""Purity analysis: what was weighed apart into pure seed, other crop, weed and inert matter becomes percentages."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from grading.rules.mistakes import HeavierThanPortion, Missing, OutOfRange
from grading.rules.tolerances import short
from inventory.rules.mistakes import Mistake, Question, Refused
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

PURE, OTHER_CROP, WEED, INERT = PARTS = ("pure_seed", "other_crop", "weed", "inert")
WORDS = {PURE: "pure seed", OTHER_CROP: "other crop seed", WEED: "weed seed", INERT: "inert matter"}
SMALL_G = 25  # below it all four parts are weighed and their sum is the basis, 7 CFR 201.47 (c)(1)
MOST_LOSS_PCT = Decimal("0.5")  # of the working sample; ours, no source
LAW = "7 CFR 201.47 (c) (59 FR 64497, 1994; 65 FR 1707, 2000)"
MEMORY = "ISTA Rules, chapter 3: unverified, from memory"
TRACE = "TR"


class DoesNotMakeTheSample(Question):
    """The parts together miss the working sample."""

    code = "does_not_make_the_sample"

    def __init__(self, total: Decimal, working_g: Decimal, missed_pct: Decimal, most_pct: Decimal) -> None:
        super().__init__(
            f"The parts make {total} g, the working sample was {working_g} g: {missed_pct} % apart, "
            f"{most_pct} is allowed. Weigh again, or say where the rest is.",
            field="working_g",
        )


@dataclass(frozen=True, slots=True)
class Weighed:
    """A working sample and its parts as they were weighed [g]; what was not found weighs 0.

    Attributes:
        working: the whole before it was separated.
        parts: part -> weight; pure seed may be left out from 25 g.
    """

    working: Decimal
    parts: Mapping[str, Decimal]

    @property
    def total(self) -> Decimal:
        """All parts together [g]."""
        return sum(self.parts.values(), Decimal(0))


@dataclass(frozen=True, slots=True)
class Purity:
    """A purity analysis.

    Attributes:
        percent: part -> as reported: "99.46", or "TR" for a trace.
        exact: part -> not rounded [%].
        lost_pct: part of the working sample that is missing, negative where there is more; None if pure seed was not
            weighed [%].
    """

    percent: Mapping[str, str]
    exact: Mapping[str, Fraction]
    lost_pct: Fraction | None
    manner: str
    working: tuple[Step, ...]


def purity(weighed: Weighed, manner: str = "two decimals") -> Purity:
    """Work out the percentages of a purity analysis.

    Args:
        weighed: the working sample and its parts.
        manner: "two decimals" by federal law, or "one decimal", which is from memory and unverified.

    Raises:
        Refused: what `weight_mistakes` finds.

    Source: 7 CFR 201.47 (c): below 25 g on the sum of the parts; from 25 g on the original weight, pure seed by
        subtraction; half up to 0.01, under 0.015 reads 0.01; a total of 99.99 or 100.01 is put right on the largest.
    """
    if mistakes := weight_mistakes(weighed):
        raise Refused(mistakes)
    return MANNERS[manner](weighed)


def weight_mistakes(weighed: Weighed) -> list[Mistake]:
    """Check that weights can be the parts of a sample."""
    if weighed.working <= 0:
        says = "The working sample weighs 0 g. Give its weight before it was separated."
        return [OutOfRange(says, field="working_g")]
    mistakes: list[Mistake] = [
        HeavierThanPortion(WORDS[part].capitalize(), grams, weighed.working, f"{part}_g")
        for part, grams in weighed.parts.items()
        if grams > weighed.working
    ]
    if PURE not in weighed.parts and weighed.working < SMALL_G:
        mistakes.append(Missing(f"{PURE}_g", f"Below {SMALL_G} g all four parts are weighed (7 CFR 201.47)."))
    if not mistakes and PURE not in weighed.parts and weighed.total > weighed.working:
        mistakes.append(HeavierThanPortion("All parts together", weighed.total, weighed.working, "working_g"))
    return mistakes


def loss_mistakes(weighed: Weighed, most_pct: Decimal = MOST_LOSS_PCT) -> list[Mistake]:
    """Ask about parts that together miss the working sample.

    Args:
        most_pct: what may be lost or gained [% of the working sample]; the first value is ours, no source.
    """
    lost = _lost(weighed)
    if lost is None or abs(lost) <= most_pct:
        return []
    return [DoesNotMakeTheSample(weighed.total, weighed.working, half_up(abs(lost), 2), most_pct)]


def weighing_notes(weighed: Weighed) -> tuple[str, ...]:
    """Say where the weighing itself falls short of the rule: four figures, and as many decimals in every part."""
    notes = []
    if len(weighed.working.as_tuple().digits) < 4:
        notes.append(f"The working sample was weighed to {weighed.working} g; 7 CFR 201.47 (a) asks four figures.")
    finer = _decimals(weighed.working)
    if any(grams and _decimals(grams) < finer for grams in weighed.parts.values()):
        notes.append(f"7 CFR 201.47 (a) asks as many decimals of every part as of the sample: {finer}.")
    return tuple(notes)


def _by_law(weighed: Weighed) -> Purity:
    small = weighed.working < SMALL_G
    basis = weighed.total if small else weighed.working
    parts = [part for part in PARTS if part in weighed.parts and (small or part != PURE)]
    exact = {part: _share(weighed, part, basis) for part in parts}
    read = {part: _two_decimals(share) for part, share in exact.items()}
    words = "sum of the parts" if small else "original weight"
    steps = [_step(weighed, part, basis, words=words, read=f"{read[part]} %", source=LAW) for part in parts]
    if not small:
        exact = {PURE: 100 - sum(exact.values(), Fraction(0)), **exact}
        rest = " - ".join(str(read[part]) for part in parts)
        read = {PURE: max(Decimal(0), 100 - sum(read.values(), Decimal(0))), **read}
        steps.append(Step(WORDS[PURE], f"100 - {rest or 0} = {read[PURE]} %", source=LAW))
    read, more = _made_hundred(read, Decimal("0.01"), LAW)
    percent = {part: f"{value:.2f}" for part, value in read.items()}
    return Purity(percent, exact, _lost(weighed), "two decimals", (*_loss_steps(weighed), *steps, *more))


def _with_traces(weighed: Weighed) -> Purity:
    basis = weighed.total if PURE in weighed.parts else weighed.working
    weights = {PURE: weighed.working - weighed.total, **weighed.parts}
    whole = Weighed(weighed.working, {part: weights.get(part, Decimal(0)) for part in PARTS})
    exact = {part: _share(whole, part, basis) for part in PARTS}
    traces = {part for part, share in exact.items() if 0 < share < Fraction(1, 20)}
    read = {part: half_up(share, 1) for part, share in exact.items() if part not in traces}
    said = {part: "a trace" if part in traces else f"{read[part]} %" for part in PARTS}
    steps = [_step(whole, part, basis, words="sum of the parts", read=said[part], source=MEMORY) for part in PARTS]
    read, more = _made_hundred(read, Decimal("0.1"), MEMORY)
    percent = {part: TRACE if part in traces else f"{read[part]:.1f}" for part in PARTS}
    return Purity(percent, exact, _lost(weighed), "one decimal", (*_loss_steps(weighed), *steps, *more))


MANNERS: Mapping[str, Callable[[Weighed], Purity]] = {"two decimals": _by_law, "one decimal": _with_traces}


def _share(weighed: Weighed, part: str, basis: Decimal) -> Fraction:
    return Fraction(weighed.parts[part]) * 100 / Fraction(basis) if basis else Fraction(0)


def _two_decimals(share: Fraction) -> Decimal:
    """Round half up; what was found but is under 0.015 reads 0.01."""
    return Decimal("0.01") if 0 < share < Fraction("0.015") else half_up(share, 2)


def _made_hundred(
    read: Mapping[str, Decimal], unit: Decimal, source: str
) -> tuple[dict[str, Decimal], tuple[Step, ...]]:  # fmt: skip
    """Put the difference to 100 on the largest part."""
    total = sum(read.values(), Decimal(0))
    if total == 100:
        return dict(read), ()
    largest = max(read, key=lambda part: read[part])
    mended = {**read, largest: read[largest] + 100 - total}
    formula = f"total {total}: {read[largest]} + {100 - total} = {mended[largest]} %"
    return mended, (Step(WORDS[largest], formula, basis="the largest part", rounding=f"{unit}", source=source),)


def _step(weighed: Weighed, part: str, basis: Decimal, *, words: str, read: str, source: str) -> Step:
    share = _share(weighed, part, basis)
    formula = f"{weighed.parts[part]} g / {basis} g × 100 = {short(share)} %"
    return Step(WORDS[part], formula, basis=words, rounding=read, source=source)


def _lost(weighed: Weighed) -> Fraction | None:
    if PURE not in weighed.parts:
        return None
    return (1 - Fraction(weighed.total) / Fraction(weighed.working)) * 100


def _loss_steps(weighed: Weighed) -> tuple[Step, ...]:
    lost = _lost(weighed)
    if lost is None:
        return ()
    formula = f"({weighed.working} - {weighed.total}) / {weighed.working} × 100 = {short(lost)} %"
    return (Step("lost in separating", formula, basis="original weight", source=LAW),)


def _decimals(number: Decimal) -> int:
    return max(0, -int(number.as_tuple().exponent))
