"""A whole label against what was found, line by line."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.queries.figures.purity import IN_HOUSE, MOST_SEEDS, values_of, variety_notes
from grading.rules.mistakes import OutOfRange
from grading.rules.purity import INERT, OTHER_CROP, WEED
from grading.rules.tolerances import EDITIONS
from grading.rules.within import (
    GERMINATION,
    KINDS,
    OTHER_SEEDS,
    PART,
    PURE_SEED,
    VARIETY,
    Claim,
    within_tolerance,
)
from inventory.models import Station
from inventory.rules.gathering import Gathering

LINES = {**{kind: kind for kind in KINDS if kind != PART}, **dict.fromkeys((OTHER_CROP, WEED, INERT), PART)}


@dataclass(frozen=True, kw_only=True)
class LabelHeld:
    """The lines of a label by kind (germination, pure_seed, other_crop, weed, inert, other_seeds, variety)."""

    labelled: Mapping[str, Any]
    found: Mapping[str, Any]
    seeds_tested: Any = "400"
    variety_number: Any = ""
    chaffy: bool = False
    hybrid: bool = False
    edition: str = EDITIONS[0]


def label_held(asked: LabelHeld, _station: Station | None = None) -> Answer:
    """Answer for each line of a label whether what was found is within its tolerance.

    Raises:
        Refused: a line that only one side has, a kind we do not know, a number that cannot be.
    """
    words = Gathering()
    claims = {name: claim for name in _lines(words, asked) if (claim := _claim(words, asked, name))}
    held = {name: words.attempt(partial(within_tolerance, claim)) for name, claim in claims.items()}
    words.finish()
    answers = {name: given(each) for name, each in held.items()}
    values = {
        "all_within": all(each.within for each in answers.values()),
        "lines": {name: values_of(each) for name, each in answers.items()},
    }
    says = tuple(f"{field.replace('_', ' ').capitalize()}: {each.says}" for field, each in answers.items())
    working = tuple(step for each in answers.values() for step in each.working)
    notes = variety_notes(claims["variety"], hybrid=asked.hybrid) if "variety" in claims else ()
    return Answer(values, says, working, (*notes, IN_HOUSE))


def _lines(words: Gathering, asked: LabelHeld) -> list[str]:
    """Name the lines that both sides have; others are gathered."""
    named = [*asked.labelled, *(name for name in asked.found if name not in asked.labelled)]
    if not named:
        words.add(
            OutOfRange("No line of a label was given. Give for example labelled.germination=90.", field="labelled")
        )
    for name in named:
        if name not in LINES:
            words.word(name, f"labelled.{name}", list(LINES))
        elif name not in asked.labelled or name not in asked.found:
            side = "found" if name in asked.labelled else "labelled"
            says = f"{name.replace('_', ' ').capitalize()} is given on one side only. Give {side}.{name} too."
            words.add(OutOfRange(says, field=f"{side}.{name}"))
    return [name for name in named if name in LINES and name in asked.labelled and name in asked.found]


def _claim(words: Gathering, asked: LabelHeld, name: str) -> Claim | None:
    kind = LINES[name]
    read = words.whole if kind == OTHER_SEEDS else words.number
    most = MOST_SEEDS if kind == OTHER_SEEDS else 100
    label, found = (
        read(side[name], f"{where}.{name}", least=0, most=most)
        for where, side in (("labelled", asked.labelled), ("found", asked.found))
    )
    number = _number(words, asked, kind)
    edition = words.word(asked.edition, "edition", EDITIONS, EDITIONS[0]) if kind == OTHER_SEEDS else EDITIONS[0]
    if label is None or found is None or number is None:
        return None
    return Claim(
        kind, Decimal(label), Decimal(found), number, asked.chaffy,
        _pure_seed(asked) if kind == VARIETY else None, edition,
    )  # fmt: skip


def _number(words: Gathering, asked: LabelHeld, kind: str) -> int | None:
    if kind == GERMINATION:
        return words.whole(asked.seeds_tested, "seeds_tested", least=1, most=MOST_SEEDS)
    if kind == VARIETY:
        return words.whole(asked.variety_number, "variety_number", most=MOST_SEEDS, example="200")
    return 0


def _pure_seed(asked: LabelHeld) -> tuple[Decimal, Decimal] | None:
    if asked.hybrid or PURE_SEED not in asked.labelled or PURE_SEED not in asked.found:
        return None
    label, found = (
        Gathering().number(side[PURE_SEED], PURE_SEED, least=0, most=100) for side in (asked.labelled, asked.found)
    )
    return None if label is None or found is None else (label, found)


FIGURES = (
    Figure(
        "label tolerances", "For each line of a label, whether what was found is within its tolerance.", LabelHeld,
        label_held,
        {"labelled": {"germination": "90", "pure_seed": "99.00"}, "found": {"germination": "83", "pure_seed": "98.30"}},
    ),
)  # fmt: skip
