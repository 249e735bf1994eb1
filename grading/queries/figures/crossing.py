"""Backcross plans, what was really grown of them, and how closely lines are related."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.stats.beta import chance_text
from inventory.models import Line, Station
from inventory.queries.ancestry import Grown, grown_backcross, pedigrees_of
from inventory.queries.finding import find_line
from inventory.rules.backcross import RAREST
from inventory.rules.backcross_plan import (
    MOST_BACKCROSSES,
    MOST_GENES,
    MOST_WANTED,
    Asked,
    GrowStep,
    Plan,
    plan_backcross,
    plants_for,
)
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.parentage import PedigreeLoops, parentage_table
from inventory.rules.pedigree import Pedigree, contributions, render_pedigree
from inventory.rules.reading import plain, typed_text
from inventory.rules.rounding import half_up
from inventory.rules.shares import share_text
from inventory.rules.working import Step

ASSUMES = (
    "It assumes genes that are inherited independently, no markers and no selection but for these genes; a linked "
    "flaw of the donor stays longer than its expected segment says."
)
PARENTAGE = (
    "Malecot and Kempthorne; for crop lines St Martin, 1982, and Cox et al., 1985 (from memory): f(X, line from A/B) = "
    "f(X,A)/2 + f(X,B)/2"
)
STRAINS = (
    "It assumes founders that are not related, lines that are fixed, and no selection; strains may need another "
    "calculation (Hernandez-Suarez and Montesinos-Lopez, arXiv 2208.11233, 2022)."
)
KINDS = ("dominant", "recessive")
MOST_LINES = 20


class TooRare(Mistake):
    """What is looked for would be rarer than growing plants can find."""

    code = "too_rare"

    def __init__(self, genes: int, of_seed: Fraction) -> None:
        super().__init__(
            f"With {genes} genes and {half_up(of_seed * 100, 2)} % of the seed growing up, fewer than 1 in 10,000 "
            "seeds give the plant that is looked for. Bring in fewer genes at once, or check germination and survival.",
            field="genes",
        )


@dataclass(frozen=True, kw_only=True)
class BackcrossAsked:
    """How many genes go from a donor into a recurrent parent, and how sure one wants to be at each step."""

    genes: Any = "1"
    backcrosses: Any = "3"
    genes_are: str = field(default="dominant", metadata={"looks": "dominant or recessive"})
    chance_pct: Any = "95"
    wanted: Any = field(default="1", metadata={"looks": "plants with all genes wanted at each step, such as 3"})
    germination_pct: Any = "100"
    survival_pct: Any = "100"
    arm_cm: Any = field(default="50", metadata={"looks": "cM of chromosome on each side of a gene, such as 50"})
    donor: str = ""
    recurrent: str = ""


@dataclass(frozen=True, kw_only=True)
class GrownAsked(BackcrossAsked):
    """A backcross in the books, by its last cross or a line from it, held against the plan for it."""

    grown: str


@dataclass(frozen=True, kw_only=True)
class ParentageAsked:
    """Lines of the books, two or more."""

    lines: Sequence[Any]


def backcross_plan(asked: BackcrossAsked, _station: Station | None = None) -> Answer:
    """Answer what to grow at each step.

    Raises:
        Refused: a number that cannot be read or is outside its range.
    """
    words = Gathering()
    read = _read(words, asked)
    words.finish()
    read = given(read)
    plan = plan_backcross(read)
    last = plan.steps[-1]
    says = (
        f"{_goal(asked, read)}: {_each(plan.steps)}.",
        f"After {last.name} expect {half_up(last.recurrent * 100, 2)} % of the recurrent parent, and "
        f"{last.piece_cm:.0f} cM of the donor around each gene, on each chromosome.",
        f"Each step has its plants at least {half_up(read.chance * 100, 1)} times in 100, all of them "
        f"{100 * plan.all_steps:.1f} times.",
        _telling(read, plan),
    )
    return Answer(_plan_values(plan), says, plan.working, (ASSUMES,))


def backcross_grown(asked: GrownAsked, station: Station | None = None) -> Answer:
    """Answer whether the crossing log has the seed that the plan asks for.

    Raises:
        Refused: no such backcross, or a number outside its range.
    """
    words = Gathering()
    found = words.attempt(lambda: grown_backcross(given(station), plain(typed_text(asked.grown))))
    recurrent, grown = found or ("", [])
    read = _read(words, asked, backcrosses=max(1, len(grown) - 1))
    words.finish()
    read = given(read)
    plan = plan_backcross(read)
    held = [(step, each) for step, each in zip(plan.steps[:-1], grown[1:], strict=True)]
    says = [
        f"{grown[-1].cross} goes back to {recurrent} {len(held)} times.",
        *(_held_says(read, *pair) for pair in held),
    ]
    working = [_held_step(read, *pair) for pair in held]
    values = {
        **_plan_values(plan), "recurrent": recurrent,
        "grown": [
            {
                "step": each.step, "cross": each.cross, "pollinations": each.pollinations, "buds": each.buds,
                "pods": each.pods, "seeds": each.seeds,
            }
            for each in grown
        ],
    }  # fmt: skip
    return Answer(values, tuple(says), (*plan.working, *working), (ASSUMES,))


def parentage(asked: ParentageAsked, station: Station | None = None) -> Answer:
    """Answer how closely lines are related by descent.

    Raises:
        Refused: fewer than two lines, or one that is not in the books.
    """
    words = Gathering()
    lines = _lines(words, asked.lines, given(station))
    pedigrees = words.attempt(lambda: pedigrees_of(given(station), lines)) if not words.mistakes else {}
    words.finish()
    names = list(dict.fromkeys(line.name for line in lines))
    try:
        table = parentage_table(names, given(pedigrees))
    except PedigreeLoops as loop:
        words.add(Mistake(str(loop), field="lines"))
        words.finish()
    pairs = list(combinations(names, 2))
    values = {
        "pairs": [{"one": one, "other": other, "f": share_text(table[one, other])} for one, other in pairs],
        "pedigrees": {name: _written(name, pedigree) for name, pedigree in given(pedigrees).items()},
    }
    says = tuple(
        f"{one} and {other}: {half_up(table[one, other] * 100, 2)} in 100 of their genes are alike by descent "
        f"(coefficient of parentage {half_up(table[one, other], 4)})."
        for one, other in pairs
    )
    steps = tuple(_pair_step(one, other, given(pedigrees), table) for one, other in pairs)
    return Answer(values, says, steps, (STRAINS,))


def _read(words: Gathering, asked: BackcrossAsked, backcrosses: int | None = None) -> Asked | None:
    genes = words.whole(asked.genes, "genes", least=1, most=MOST_GENES, example="2")
    times = words.whole(
        asked.backcrosses if backcrosses is None else backcrosses, "backcrosses", least=1, most=MOST_BACKCROSSES,
        example="3",
    )  # fmt: skip
    chance = words.number(asked.chance_pct, "chance_pct", unit="%", least=50, most="99.99", example="95")
    wanted = words.whole(asked.wanted, "wanted", least=1, most=MOST_WANTED, example="3")
    grows = words.number(asked.germination_pct, "germination_pct", unit="%", least=5, most=100, example="90")
    lives = words.number(asked.survival_pct, "survival_pct", unit="%", least=5, most=100, example="80")
    arm = words.number(asked.arm_cm, "arm_cm", unit="cM", least=0, most=1000, example="50")
    kind = words.word(asked.genes_are, "genes_are", KINDS, default="dominant")
    if genes is None or times is None or wanted is None or chance is None or None in (grows, lives, arm):
        return None
    of_seed = Fraction(given(grows)) * Fraction(given(lives)) / 10_000
    if of_seed / 4**genes < RAREST:
        words.add(TooRare(genes, of_seed))
        return None
    return Asked(
        genes, times, Fraction(chance) / 100, wanted, Fraction(given(grows)) / 100, Fraction(given(lives)) / 100,
        Fraction(given(arm)), kind == "recessive",
    )  # fmt: skip


def _goal(asked: BackcrossAsked, read: Asked) -> str:
    of = f" of {asked.donor.strip()}" if asked.donor.strip() else ""
    into = f" into {asked.recurrent.strip()}" if asked.recurrent.strip() else ""
    genes = "one gene" if read.genes == 1 else f"{read.genes} genes"
    return f"To bring {genes}{of}{into}, sow"


def _each(steps: Sequence[GrowStep]) -> str:
    carries = ["carrying"] * (len(steps) - 1) + ["homozygous"]
    return ", ".join(
        f"{step.seeds} seeds of {step.name} ({step.plants} plants, {step.carries} of them {how})"
        for step, how in zip(steps, carries, strict=True)
    )


def _telling(read: Asked, plan: Plan) -> str:
    if read.is_recessive:
        return (
            f"The genes do not show in a backcross: self each plant that is kept and grow {plan.to_tell} of its "
            "seeds; where one shows, the plant carries (one gene; more genes take more seed)."
        )
    return (
        f"The selfing shows heterozygous plants, too: grow {plan.to_tell} selfed seeds of each, and where none is "
        "without the gene, the plant is homozygous."
    )


def _plan_values(plan: Plan) -> dict[str, Any]:
    return {
        "steps": [
            {
                "step": step.name, "carries": share_text(step.carries), "plants": step.plants,
                "seeds_to_sow": step.seeds, "recurrent_pct": f"{half_up(step.recurrent * 100, 5).normalize():f}",
                "donor_piece_cm": round(step.piece_cm, 3),
            }
            for step in plan.steps
        ],
        "seeds_to_tell_a_carrier": plan.to_tell, "all_steps_chance_pct": f"{100 * plan.all_steps:.2f}",
    }  # fmt: skip


def _reached(read: Asked, step: GrowStep, seeds: int) -> float:
    """The chance of at least one carrying plant from so many seeds [1]."""
    return float(1 - (1 - step.carries * read.germination * read.survival) ** min(seeds, 10_000))


def _held_says(read: Asked, step: GrowStep, grown: Grown) -> str:
    if not grown.pollinations:
        return f"{step.name} ({grown.cross}): no pollination is in the log; the plan asks for {step.seeds} seeds."
    enough = "enough" if grown.seeds >= step.seeds else f"{step.seeds - grown.seeds} short"
    chance = chance_text(_reached(read, step, grown.seeds))
    return (
        f"{step.name} ({grown.cross}): {grown.seeds} seeds taken, the plan asks for {step.seeds}: {enough}. "
        f"One plant or more with all genes had a chance of {chance}."
    )


def _held_step(read: Asked, step: GrowStep, grown: Grown) -> Step:
    part = half_up(step.carries * read.germination * read.survival, 6)
    return Step(
        f"{step.name} as grown",
        f"1 - (1 - {part})^{grown.seeds} = {_reached(read, step, grown.seeds):.4f}; planned "
        f"{plants_for(step.carries * read.germination * read.survival, read.chance, read.wanted)}",
        "seeds taken in the crossing log", source="binomial: the chance of at least one",
    )  # fmt: skip


def _lines(words: Gathering, typed: Sequence[Any], station: Station) -> list[Line]:
    if not 2 <= len(typed) <= MOST_LINES:
        words.add(Mistake(f"Lines: {len(typed)} are named. Give 2 to {MOST_LINES}.", field="lines"))
        return []
    found = [
        words.attempt(lambda one=one, place=place: find_line(station, typed_text(one), field=f"lines.{place}"))  # type: ignore[misc]
        for place, one in enumerate(typed, 1)
    ]
    lines = [each[0] for each in found if each]
    if len({line.pk for line in lines}) < 2 and not words.mistakes:
        words.add(Mistake("All these names are one line. Name another one beside it.", field="lines"))
    return lines


def _written(name: str, pedigree: Pedigree | None) -> str:
    return name if pedigree is None else render_pedigree(pedigree)


def _pair_step(
    one: str, other: str, pedigrees: dict[str, Pedigree | None], table: dict[tuple[str, str], Fraction]
) -> Step:  # fmt: skip
    """Show f of a pair through the parents of the younger one."""
    younger, older = (one, other) if _stands_on(one, other, pedigrees) else (other, one)
    pedigree = pedigrees.get(younger)
    if pedigree is None:
        return Step(f"f({one}, {other})", f"neither has a pedigree here: {table[one, other]}", source=PARENTAGE)
    parts = contributions(pedigree)
    terms = " + ".join(f"{part} × {table[parent, older]}" for parent, part in parts.items())
    parents = ", ".join(parts)
    return Step(
        f"f({one}, {other})", f"{terms} = {table[one, other]}", f"the parents of {younger}: {parents}", source=PARENTAGE
    )  # fmt: skip


def _stands_on(one: str, other: str, pedigrees: dict[str, Pedigree | None]) -> bool:
    """Say whether to go up from the first: the other must not descend from it."""
    waiting, seen = [other], set[str]()
    while waiting:
        name = waiting.pop()
        pedigree = pedigrees.get(name)
        if pedigree is None or name in seen:
            continue
        seen.add(name)
        parents = list(contributions(pedigree))
        if one in parents:
            return False
        waiting += parents
    return pedigrees.get(one) is not None


FIGURES = (
    Figure(
        "backcross plan", "What to grow at each backcross and at the selfing, and how much of each parent to expect.",
        BackcrossAsked, backcross_plan, {"genes": "2", "backcrosses": "3", "germination_pct": "90"},
    ),
    Figure(
        "backcross grown", "Whether the seed in the crossing log is as much as the plan for its backcross asks.",
        GrownAsked, backcross_grown, {"grown": "Q21-07", "genes": "1"}, reads_books=True,
    ),
    Figure(
        "parentage", "How closely lines are related by descent: coefficients of parentage from the books' pedigrees.",
        ParentageAsked, parentage, {"lines": "QN-2104, QN-2109"}, reads_books=True,
    ),
)  # fmt: skip
