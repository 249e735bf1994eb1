"""Purity: an analysis in per cent, and what may lie between a label and a test of each kind."""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.rules.purity import (
    MANNERS,
    MOST_LOSS_PCT,
    PARTS,
    PURE,
    TRACE,
    WORDS,
    Weighed,
    loss_mistakes,
    weighing_notes,
    weight_mistakes,
)
from grading.rules.purity import purity as work_out
from grading.rules.tolerances import EDITIONS, short
from grading.rules.within import OTHER_SEEDS, PART, PURE_SEED, VARIETY, Claim, Within
from grading.rules.within import within_tolerance as hold_against
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.reading import listed, typed_text

MOST_G, MOST_SEEDS = 10_000, 1_000_000
IN_HOUSE = "Worked out in-house: not an official certificate."


@dataclass(frozen=True, kw_only=True)
class PurityAsked:
    """A working sample and its parts in grams; what was not found is 0 or left out."""

    working_g: Any
    pure_seed_g: Any = ""
    other_crop_g: Any = ""
    weed_g: Any = ""
    inert_g: Any = ""
    manner: str = field(default="two decimals", metadata={"looks": listed(list(MANNERS))})
    most_loss_pct: Any = str(MOST_LOSS_PCT)


@dataclass(frozen=True, kw_only=True)
class PurityClaimed:
    """A component's per cent on a label and as found."""

    label_pct: Any
    found_pct: Any
    component: str = PURE
    chaffy: bool = False


@dataclass(frozen=True, kw_only=True)
class SeedsClaimed:
    """Other or noxious seeds on a label and as found, in the quantity examined."""

    labelled: Any
    found: Any
    edition: str = EDITIONS[0]


@dataclass(frozen=True, kw_only=True)
class VarietyClaimed:
    """The per cent of a variety on a label and as found on so many seeds or plants."""

    label_pct: Any
    found_pct: Any
    number: Any
    hybrid: bool = False
    pure_seed_label_pct: Any = ""
    pure_seed_found_pct: Any = ""


def purity(asked: PurityAsked, _station: Station | None = None) -> Answer:
    """Answer the percentages of a purity analysis.

    Raises:
        Refused: weights that cannot be the parts of a sample, or that miss it by more than is allowed.
    """
    words = Gathering()
    weighed = read_weights(words, asked)
    manner = words.word(asked.manner, "manner", list(MANNERS), "two decimals")
    most = words.number(asked.most_loss_pct, "most_loss_pct", unit="%", least=0, most=100, example="0.5")
    if weighed is not None and most is not None:
        words.add(*(weight_mistakes(weighed) or loss_mistakes(weighed, most)))
    words.finish()
    sample = given(weighed)
    found = work_out(sample, manner)
    values: dict[str, Any] = {f"{part}_pct": percent for part, percent in found.percent.items()}
    values["lost_pct"] = None if found.lost_pct is None else short(found.lost_pct)
    says = ", ".join(f"{WORDS[part]} {_with_sign(percent)}" for part, percent in found.percent.items())
    memory = ("The one-decimal manner with traces is from memory and unverified: off unless asked for.",)
    notes = (*weighing_notes(sample), *(memory if manner == "one decimal" else ()), IN_HOUSE)
    return Answer(values, (f"{says[:1].upper()}{says[1:]}.",), found.working, notes)


def read_weights(words: Gathering, asked: PurityAsked) -> Weighed | None:
    """Read a working sample and its parts; None where a number could not be read."""
    working = words.number(asked.working_g, "working_g", unit="g", least=0, most=MOST_G, example="500.0")
    read: dict[str, Decimal] = {}
    for part in PARTS:
        typed = getattr(asked, f"{part}_g")
        if part == PURE and typed_text(typed).strip() == "":
            continue
        grams = words.number(typed or "0", f"{part}_g", unit="g", least=0, most=MOST_G, example="1.62")
        if grams is None:
            return None
        read[part] = grams
    return None if working is None else Weighed(working, read)


def purity_tolerance(asked: PurityClaimed, _station: Station | None = None) -> Answer:
    """Answer whether a component lies within the tolerance of its claim."""
    words = Gathering()
    component = words.word(asked.component, "component", PARTS, PURE)
    label, found = _percents(words, asked.label_pct, asked.found_pct)
    words.finish()
    kind = PURE_SEED if component == PURE else PART
    return answer_of(hold_against(Claim(kind, given(label), given(found), chaffy=asked.chaffy)))


def other_seeds_tolerance(asked: SeedsClaimed, _station: Station | None = None) -> Answer:
    """Answer whether a count of other seeds lies within the tolerance of the label."""
    words = Gathering()
    label, found = (
        words.whole(getattr(asked, name), name, unit="seeds", most=MOST_SEEDS, example="2")
        for name in ("labelled", "found")
    )
    edition = words.word(asked.edition, "edition", EDITIONS, EDITIONS[0])
    words.finish()
    claim = Claim(OTHER_SEEDS, Decimal(given(label)), Decimal(given(found)), edition=edition)
    return answer_of(hold_against(claim))


def variety_tolerance(asked: VarietyClaimed, _station: Station | None = None) -> Answer:
    """Answer whether a purity of variety lies within the tolerance of its label."""
    words = Gathering()
    label, found = _percents(words, asked.label_pct, asked.found_pct)
    number = words.whole(asked.number, "number", most=MOST_SEEDS, example="200")
    needs = bool(typed_text(asked.pure_seed_label_pct).strip() or typed_text(asked.pure_seed_found_pct).strip())
    pure = [
        words.number(getattr(asked, name), name, unit="%", least=0, most=100, example="99.00", needed=needs)
        for name in ("pure_seed_label_pct", "pure_seed_found_pct")
    ]
    claim = Claim(
        VARIETY, label or Decimal(0), found or Decimal(0), number=number or 0,
        pure_seed=None if asked.hybrid or pure[0] is None or pure[1] is None else (pure[0], pure[1]),
    )  # fmt: skip
    held = None if words.mistakes else words.attempt(lambda: hold_against(claim))
    words.finish()
    return answer_of(given(held), variety_notes(claim, hybrid=asked.hybrid))


def _percents(words: Gathering, label: Any, found: Any) -> tuple[Decimal | None, Decimal | None]:
    return (
        words.number(label, "label_pct", unit="%", least=0, most=100, example="99.00"),
        words.number(found, "found_pct", unit="%", least=0, most=100, example="98.30"),
    )


def answer_of(held: Within, notes: tuple[str, ...] = ()) -> Answer:
    """Make the answer of one line of a label."""
    return Answer(values_of(held), (held.says,), held.working, (*notes, IN_HOUSE))


def values_of(held: Within) -> dict[str, Any]:
    """Name what was found of one line of a label."""
    name = "most_within_tolerance" if held.claim.kind == OTHER_SEEDS else "tolerance_points"
    return {name: short(held.tolerance), "difference": f"{held.difference:f}", "within": held.within}


def variety_notes(claim: Claim, *, hybrid: bool) -> tuple[str, ...]:
    """Say why half the pure-seed tolerance was left out, where it was."""
    if claim.pure_seed is not None:
        return ()
    why = "the label is of hybrids" if hybrid else "no pure seed was given"
    return (f"Half the pure-seed tolerance was not added, since {why}.",)


def _with_sign(percent: str) -> str:
    return "a trace" if percent == TRACE else f"{percent} %"


FIGURES = (
    Figure(
        "purity", "The percentages of a purity analysis from its weights.", PurityAsked, purity,
        {"working_g": "500.00", "pure_seed_g": "497.31", "other_crop_g": "0.86", "weed_g": "0.21", "inert_g": "1.62"},
    ),
    Figure(
        "purity tolerance", "Whether a purity found is within the tolerance of its claim.", PurityClaimed,
        purity_tolerance, {"label_pct": "99.00", "found_pct": "98.30"},
    ),
    Figure(
        "other seeds tolerance", "Whether so many noxious or other seeds are within the tolerance of the label.",
        SeedsClaimed, other_seeds_tolerance, {"labelled": "2", "found": "5"},
    ),
    Figure(
        "variety purity tolerance", "Whether a purity of variety on 10 to 1,000 seeds or plants is within tolerance.",
        VarietyClaimed, variety_tolerance, {"label_pct": "99", "found_pct": "98", "number": "200"},
    ),
)  # fmt: skip
