"""Two size curves side by side: how far apart they lie, and whether chance alone does that."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.size_figures import shown, shown_mm
from grading.queries.figures.sizing import ON_EACH, SHARES
from grading.queries.sizes import newest_seed_weight, size_of
from grading.rules.screens import StackWrong
from grading.rules.sieving import Sieved, read_sieving
from grading.rules.size_curve import passing_at
from grading.stats.curve_distance import DRAWS, CurveDistance, curve_difference, curve_distance
from inventory.models import Station
from inventory.queries.finding import find_lot
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import typed_text
from inventory.rules.rounding import half_up
from inventory.rules.working import Step

MOST_SEEDS = 10_000_000
LIKELY = 0.05
DIFFERENCE = "largest difference of two cumulative curves: Smirnov (1948), Ann. Math. Stat. 19:279-281 (from memory)"
CHANCE = (
    "drawn from the pooled curve, the pair itself counted: Phipson and Smyth (2010), Stat. Appl. Genet. Mol. Biol. 9, "
    "article 39 (from memory)"
)


@dataclass(frozen=True, kw_only=True)
class ComparedAsked:
    """Two lots in the books, or two sievings on one stack; seed weights let chance be told."""

    lot: Any = None
    other_lot: Any = None
    screens: Sequence[Any] = field(default=(), metadata={"looks": "the screens of both, the pan last"})
    grams: Sequence[Any] = field(default=(), metadata=ON_EACH)
    other_grams: Sequence[Any] = field(default=(), metadata=ON_EACH)
    pct: Sequence[Any] = field(default=(), metadata=SHARES)
    other_pct: Sequence[Any] = field(default=(), metadata=SHARES)
    sieved_g: Any = field(default=None, metadata={"looks": "grams that were sieved, where shares are given"})
    other_sieved_g: Any = field(default=None, metadata={"looks": "grams that were sieved, where shares are given"})
    seed_weight_g_per_100: Any = field(default=None, metadata={"looks": "grams, such as 18.2; else the lot's own"})
    other_seed_weight_g_per_100: Any = field(default=None, metadata={"looks": "grams, such as 18.2"})
    shape: Any = field(default="", metadata={"looks": "round or slotted, of screens that do not say it"})


@dataclass(frozen=True)
class _Side:
    """One of the two: its name, its sieving, and how many seeds stand behind it."""

    name: str
    sieved: Sieved
    seeds: int | None
    step: Step | None


def compare_sizes(asked: ComparedAsked, station: Station | None) -> Answer:
    """Answer how far two size curves lie apart, and how often chance alone does that.

    Raises:
        Refused: a curve that cannot be worked with, holes of two shapes, or no screen that both stood on.
    """
    words = Gathering()
    sides = [_side(words, asked, prefix, station) for prefix in ("", "other_")]
    shared = _shared(words, sides)
    words.finish()
    first, second = (side for side in sides if side is not None)
    classes = [_classes(side.sieved, shared) for side in (first, second)]
    gap, at = curve_difference(*classes)
    tested = _tested(classes, first, second)
    values = {
        "distance_pct": round(100 * gap, 4), "at_mm": shown_mm(shared[at]), "chance": tested and tested.chance,
        "seeds": [first.seeds, second.seeds], "method": tested.method if tested else None,
        "screens_mm": [shown_mm(mm) for mm in shared],
    }  # fmt: skip
    steps = [_gap_step(first, second, shared[at], gap), *(side.step for side in (first, second) if side.step)]
    steps += [_chance_step(tested)] if tested else []
    return Answer(values, _says(first, second, gap, shared[at], tested), tuple(steps), _notes(words, tested))


def _side(words: Gathering, asked: ComparedAsked, prefix: str, station: Station | None) -> _Side | None:
    """Read one of the two, from the books or as typed."""
    typed_lot = getattr(asked, f"{prefix}lot")
    weight = words.number(
        getattr(asked, f"{prefix}seed_weight_g_per_100"), f"{prefix}seed_weight_g_per_100", unit="g", least="0.01",
        most=1000, needed=False,
    )  # fmt: skip
    if typed_text(typed_lot).strip():
        return _lot_side(words, typed_lot, f"{prefix}lot", weight, station)
    grams, pct = getattr(asked, f"{prefix}grams"), getattr(asked, f"{prefix}pct")
    if not (grams or pct):
        says = f"Nothing is given to compare. Give {prefix}lot=…, or screens and {prefix}grams=…"
        words.add(StackWrong(says, field=f"{prefix}lot"))
        return None
    sieved = read_sieving(
        words, asked.screens, grams, pct, sieved_g=getattr(asked, f"{prefix}sieved_g"), shape=asked.shape,
        prefix=prefix,
    )  # fmt: skip
    return _counted("the other" if prefix else "the first", sieved, weight) if sieved else None


def _lot_side(words: Gathering, typed: Any, name: str, weight: Any, station: Station | None) -> _Side | None:
    if station is None:
        words.add(Mistake("A lot is looked up at a station. Name the station, or give screens and grams.", field=name))
        return None
    found = words.attempt(lambda: size_of(station, typed, field=name))
    if found is None:
        return None
    if weight is None:
        weighed = newest_seed_weight(find_lot(station, found.lot)[0].pk)
        weight = weighed.grams if weighed else None
    return _counted(found.lot, found.sieved, weight)


def _counted(name: str, sieved: Sieved, weight: Any) -> _Side:
    """Say how many seeds stand behind a curve, where its grams and its seed weight are known."""
    if sieved.grams is None or weight is None:
        return _Side(name, sieved, None, None)
    seeds = min(MOST_SEEDS, int(sieved.grams / (Fraction(weight) / 100)))
    formula = f"{shown(sieved.grams, 2)} g / ({shown(weight, 3)} g / 100) = {seeds}, rounded down"
    step = Step(f"seeds behind {name}", formula, source="ours, no source: seeds taken as alike in weight")
    return _Side(name, sieved, seeds or None, step)


def _shared(words: Gathering, sides: Sequence[_Side | None]) -> list[Fraction]:
    """Find the openings that both stood on, the widest first."""
    first, second = sides
    if first is None or second is None:
        return []
    shapes = {side.sieved.stack.shape for side in (first, second)} - {""}
    if len(shapes) > 1:
        says = "One lot was sieved on round screens, the other on slotted ones; these sort by different sizes."
        words.add(StackWrong(f"{says} Sieve both on one kind.", field="other_lot"))
    openings = [{mm for mm, _passed in side.sieved.stack.points} for side in (first, second)]
    shared = sorted(openings[0] & openings[1], reverse=True)
    if not shared:
        says = f"{first.name} and {second.name} were sieved on no screen that is the same."
        words.add(StackWrong(f"{says} Sieve both on one stack.", field="other_lot"))
    return shared


def _classes(sieved: Sieved, openings: Sequence[Fraction]) -> list[float]:
    """Give the shares between the shared openings, from what stayed above the widest to what passed the last [1]."""
    passing = [Fraction(100), *(passing_at(sieved.stack, mm) or Fraction(0) for mm in openings), Fraction(0)]
    return [float((above - below) / 100) for above, below in pairwise(passing)]


def _tested(classes: Sequence[Sequence[float]], first: _Side, second: _Side) -> CurveDistance | None:
    if first.seeds is None or second.seeds is None:
        return None
    return curve_distance(classes[0], classes[1], (first.seeds, second.seeds))


def _gap_step(first: _Side, second: _Side, mm: Fraction, gap: float) -> Step:
    one, two = (shown(passing_at(side.sieved.stack, mm) or Fraction(0), 2) for side in (first, second))
    formula = f"at {shown_mm(mm)} mm {one} % of {first.name} pass and {two} % of {second.name} = {100 * gap:.2f} points"
    return Step("distance", formula, source=DIFFERENCE)


def _chance_step(tested: CurveDistance) -> Step:
    further = round(tested.chance * (1 + tested.draws)) - 1
    formula = f"(1 + {further} as far or further) / (1 + {DRAWS} drawn) = {tested.chance:.4f}"
    return Step("chance", formula, f"portions of {tested.n[0]} and {tested.n[1]} seeds", source=CHANCE)


def _says(
    first: _Side, second: _Side, gap: float, mm: Fraction, tested: CurveDistance | None
) -> tuple[str, ...]:  # fmt: skip
    apart = f"{first.name} and {second.name} lie {100 * gap:.1f} points apart, most at {half_up(mm, 2)} mm."
    if tested is None:
        return (
            apart,
            "How often chance does that is not told: it takes the grams sieved and the seed weight.",
        )
    often = "less than once" if tested.chance < 0.001 else f"{1000 * tested.chance:.0f} times"
    verdict = "more than chance does" if tested.chance <= LIKELY else "no more than chance may do"
    return (apart, f"Two portions of one lot lie so far apart {often} in 1,000: {verdict}.")


def _notes(words: Gathering, tested: CurveDistance | None) -> tuple[str, ...]:
    said = tuple(note.says for note in words.notes)
    fair = "The chance speaks of picking alone: two fair samples of one lot may differ by somewhat more."
    return (*dict.fromkeys(said), fair) if tested else tuple(dict.fromkeys(said))


FIGURES = (
    Figure(
        "compare sizes", "How far two size curves lie apart, and how often chance alone does that.",
        ComparedAsked, compare_sizes,
        {"screens": "14/64 slot, 13/64, 12/64, 11/64, 10/64, pan", "grams": "2,25.5,193,211.5,59.5,8.5",
         "other_grams": "16,137,242.5,85,17,2.5", "seed_weight_g_per_100": "18.2",
         "other_seed_weight_g_per_100": "21.5"},
        reads_books=True, looks_up=("lot", "other_lot"),
    ),
)  # fmt: skip
