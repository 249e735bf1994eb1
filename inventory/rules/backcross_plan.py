"""A backcross plan: what to grow at each step from the first backcross to the selfing that fixes the genes.

It assumes genes that are inherited independently of each other, no selection but for them, no markers, and that a
plant's carrying can be told: of a dominant gene by looking, of a recessive one by selfing the plant and looking at its
seed. A seed gives a carrying plant with the part that carries times what germinates times what survives.
"""

import math
from dataclasses import dataclass
from fractions import Fraction

from inventory.rules.backcross import donor_piece, plants_to_grow, recurrent_share
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

MOST_GENES, MOST_BACKCROSSES, MOST_WANTED = 5, 10, 50
ONE_OF_SELFED = Fraction(1, 4)  # of a carrier's selfed seed shows a recessive gene
BINOMIAL = (
    "binomial: the chance of at least so many among n; Sedcole, Crop Sci. 17, 1977, is the usual table (from memory)"
)
MENDEL = "Mendel's rules, genes inherited independently"
HALVES = "1 - (1/2)^(t+1): Allard, Principles of Plant Breeding, 1960 (from memory)"
PIECE = "Hanson, Genetics 44, 1959; Stam and Zeven, Euphytica 30, 1981 (from memory)"


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be reached.

    Attributes:
        genes: to be kept, 1 to 5.
        backcrosses: 1 to 10.
        chance: that each step has enough plants that carry all of them [1].
        wanted: how many such plants, 1 to 50.
        germination, survival: of seed, of seedlings, over 0 to 1 [1].
        arm_cm: length of the chromosome on each side of a gene [cM].
        is_recessive: the genes show only where a plant is homozygous for them.
    """

    genes: int
    backcrosses: int
    chance: Fraction
    wanted: int = 1
    germination: Fraction = Fraction(1)
    survival: Fraction = Fraction(1)
    arm_cm: Fraction = Fraction(50)
    is_recessive: bool = False


@dataclass(frozen=True, slots=True)
class GrowStep:
    """One step of the plan.

    Attributes:
        name: "BC2", or "BC2F2" for the selfing.
        carries: part of the plants that carries all genes; at the selfing, that is homozygous for them [1].
        plants: to look at, full-grown.
        seeds: to sow, germination and survival taken in.
        recurrent: expected part of the recurrent parent [1].
        piece_cm: expected length of the donor segment around each gene, both sides of it, on each chromosome that
            carries it [cM].
    """

    name: str
    carries: Fraction
    plants: int
    seeds: int
    recurrent: Fraction
    piece_cm: float


@dataclass(frozen=True, slots=True)
class Plan:
    """All steps, and what goes with them.

    Attributes:
        steps: the first backcross first, the selfing last.
        to_tell: selfed seeds of one plant that show, with the wanted chance, whether it carries one recessive gene.
        each_step: chance that a step has its plants, of the seeds that are sown for it; at least what was asked [1].
        all_steps: chance that every step has its plants [1].
    """

    steps: tuple[GrowStep, ...]
    to_tell: int
    each_step: tuple[float, ...]
    all_steps: float
    working: tuple[Step, ...]


def plan_backcross(asked: Asked) -> Plan:
    """Work out what to grow.

    Raises:
        ValueError: a number outside its range.
    """
    if not (1 <= asked.genes <= MOST_GENES and 1 <= asked.backcrosses <= MOST_BACKCROSSES):
        raise ValueError(f"{asked.genes} genes or {asked.backcrosses} backcrosses cannot be planned.")
    in_backcross, in_selfing = Fraction(1, 2**asked.genes), Fraction(1, 4**asked.genes)
    steps = [_step(asked, f"BC{t}", t, in_backcross) for t in range(1, asked.backcrosses + 1)]
    steps.append(_step(asked, f"BC{asked.backcrosses}F2", asked.backcrosses, in_selfing, meioses=asked.backcrosses + 1))
    to_tell = plants_to_grow(ONE_OF_SELFED, asked.chance)
    each = tuple(_reached(asked, step) for step in steps)
    working = (*_working(asked, steps), _all_steps(each), _telling(asked, to_tell))
    return Plan(tuple(steps), to_tell, each, math.prod(each), working)


def plants_for(frequency: Fraction, chance: Fraction, wanted: int) -> int:
    """Work out how many plants to grow so that at least `wanted` of them carry what is wanted, with the wanted chance.

    Args:
        frequency: part of the plants that carries it, 1/10,000 to 1 [1].
        chance: 0 to 0.999999 [1].
        wanted: 1 to 50.

    Returns:
        The smallest n; exact for one plant, by the binomial tail in floating point for more.

    Raises:
        ValueError: a number outside its range.
    """
    if not 1 <= wanted <= MOST_WANTED:
        raise ValueError(f"{wanted} plants cannot be planned with; 1 to {MOST_WANTED} can.")
    one = plants_to_grow(frequency, chance)
    if wanted == 1 or frequency == 1 or chance == 0:
        return one if wanted == 1 else (wanted if chance else 0)
    low, high = wanted - 1, max(one, wanted)
    while at_least(high, float(frequency), wanted) < chance:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if at_least(middle, float(frequency), wanted) >= chance else (middle, high)
    return high


def at_least(n: int, p: float, wanted: int) -> float:
    """Give the chance that at least `wanted` of n plants carry something that a part p carries, 0 < p < 1 [1]."""
    if n < wanted:
        return 0.0
    terms = (
        math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1) + k * math.log(p) + (n - k) * math.log1p(-p)
        for k in range(wanted)
    )
    return max(0.0, 1 - math.fsum(math.exp(term) for term in terms))


def _step(asked: Asked, name: str, t: int, carries: Fraction, meioses: int | None = None) -> GrowStep:
    """Plan one step; the selfing is one meiosis more, and brings nothing of the recurrent parent back."""
    grows = carries * asked.germination * asked.survival
    return GrowStep(
        name, carries, plants_for(carries, asked.chance, asked.wanted), plants_for(grows, asked.chance, asked.wanted),
        recurrent_share(t), 200 * donor_piece(meioses or t, float(asked.arm_cm) / 100),
    )  # fmt: skip


def _working(asked: Asked, steps: list[GrowStep]) -> list[Step]:
    first, last = steps[0], steps[-1]
    sure = f"{half_up(asked.chance * 100, 2)} %"
    of_seed = f"{half_up(asked.germination * 100, 1)} % × {half_up(asked.survival * 100, 1)} %"
    return [
        Step("carries all genes in a backcross", f"(1/2)^{asked.genes} = {first.carries}", source=MENDEL),
        Step("homozygous for all after selfing", f"(1/4)^{asked.genes} = {last.carries}", source=MENDEL),
        *(
            Step(
                step.name,
                f"smallest n with {asked.wanted} or more of n at {step.carries}, chance {sure}: {step.plants}; "
                f"of seed at {step.carries} × {of_seed}: {step.seeds}",
                source=BINOMIAL,
            )
            for step in steps
        ),
        *(
            Step(
                f"recurrent parent after {step.name}",
                f"1 - (1/2)^{t + 1} = {half_up(step.recurrent * 100, 3)} %",
                source=HALVES,
            )
            for t, step in enumerate(steps[:-1], 1)
        ),
        *(Step(
            f"donor segment after {step.name}",
            f"2 × 100 × (1 - e^(-{n} × {float(asked.arm_cm) / 100:g})) / {n} = {step.piece_cm:.1f} cM",
            f"each gene, both sides of it, on each chromosome that carries it, {n} meioses, no markers", source=PIECE,
        )
        for n, step in enumerate(steps[-2:], asked.backcrosses)),
    ]  # fmt: skip


def _reached(asked: Asked, step: GrowStep) -> float:
    """Give the chance that a step's seeds give its plants: whole seeds reach a little more than was asked."""
    grows = float(step.carries * asked.germination * asked.survival)
    return at_least(step.seeds, grows, asked.wanted) if grows < 1 else 1.0


def _all_steps(each: tuple[float, ...]) -> Step:
    terms = " × ".join(f"{chance:.4f}" for chance in each)
    return Step(
        "chance that every step has its plants", f"{terms} = {math.prod(each):.4f}",
        "of the seeds that are sown, whole numbers; steps independent", source=BINOMIAL,
    )  # fmt: skip


def _telling(asked: Asked, to_tell: int) -> Step:
    return Step(
        "seeds that tell a carrier", f"smallest n with 1 - (3/4)^n of {half_up(asked.chance * 100, 2)} % = {to_tell}",
        "selfed seed of one plant, one recessive gene", source=BINOMIAL,
    )  # fmt: skip
