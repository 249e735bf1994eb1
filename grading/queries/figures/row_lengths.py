"""What length of a row stands for a part of an acre, and what plants counted in it say of the stand."""

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.size_figures import shown, shown_plain
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.planting import feet_and_inches, in_row_m, row_length_m
from inventory.rules.rates import M2_PER_ACRE, M_PER_INCH, Rate, read_length, read_population
from inventory.rules.reading import typed_text
from inventory.rules.working import Step

NO_SOURCE = "common practice, no source"
ACRE = "International Yard and Pound Agreement (1959): 1 acre = 4,046.8564224 m² exactly"
Told = tuple[dict[str, Any], list[str], list[Step]]


@dataclass(frozen=True, kw_only=True)
class RowAsked:
    """A row width, and the part of an acre that a row stands for."""

    row_width: Any = field(metadata={"looks": "between rows: 30 in, 75 cm"})
    acre_part: Any = field(default="1000", metadata={"looks": "how many of it make an acre: 1000"})
    counted: Any = field(default=None, metadata={"looks": "plants counted in that length"})
    plants: Any = field(default=None, metadata={"looks": "a stand: 25/m2, 62,500/acre"})


def row_length(asked: RowAsked, _station: Station | None = None) -> Answer:
    """Answer how long a row stands for a part of an acre, and what plants counted in it say.

    Raises:
        Refused: a number that cannot be read or is outside its range.
    """
    words = Gathering()
    row = words.attempt(lambda: read_length(asked.row_width))
    part = words.number(asked.acre_part, "acre_part", least=1, most=1_000_000, example="1000")
    counted = words.whole(asked.counted, "counted", most=1_000_000, needed=False)
    stand = words.attempt(lambda: read_population(asked.plants)) if typed_text(asked.plants).strip() else None
    words.finish()
    if row is None or part is None:
        raise AssertionError("finish() lets nothing unread through")
    length = row_length_m(M2_PER_ACRE / Fraction(part), row)
    feet, inches = feet_and_inches(length)
    values: dict[str, Any] = {"length_m": shown(length, 4), "feet": feet, "inches": inches}
    says = [
        f"{shown(length, 2)} m ({feet} ft {inches} in) of a row of {typed_text(asked.row_width)} is 1/{part:f} acre."
    ]
    formula = f"{shown(M2_PER_ACRE / Fraction(part), 6)} m² / {shown_plain(row)} m = {shown(length, 4)} m"
    rounded = f"{feet} ft {inches} in, half up to the inch"
    steps = [Step("row length", formula, "1/1000 acre is 43.56 square feet", rounded, ACRE)]
    for found in (_counted(counted, part), _with_stand(stand, row, length)):
        values |= found[0]
        says += found[1]
        steps += found[2]
    return Answer(values, tuple(says), tuple(steps))


def spacing_step(apart: Fraction, row: Fraction, per_m2: Fraction) -> Step:
    """Give the step from a stand to the distance in the row."""
    formula = f"1 / ({shown_plain(row)} m × {shown(per_m2, 4)} per m²) = {shown(apart, 5)} m"
    return Step("in the row", formula, "6,272,640 / (row width in × plants per acre) in inches", source=ACRE)


def spacing_values(apart: Fraction) -> dict[str, Any]:
    """Give a distance in the row in centimetres and inches."""
    return {"in_row_cm": shown(apart * 100, 2), "in_row_in": shown(apart / M_PER_INCH, 2)}


def spacing_words(apart: Fraction) -> str:
    """Say a distance in the row."""
    return f"{shown(apart * 100, 1)} cm ({shown(apart / M_PER_INCH, 1)} in)"


def thousands(amount: Fraction) -> str:
    """Write a count half up with groups of three."""
    return f"{Decimal(shown(amount, 0)):,}"


def _counted(counted: int | None, part: Decimal) -> Told:
    """Say what stand the plants make that were counted in the length."""
    if counted is None:
        return {}, [], []
    per_acre = counted * Fraction(part)
    per_m2 = shown(per_acre / M2_PER_ACRE, 2)
    says = f"{counted} plants in it are {thousands(per_acre)} an acre, {shown(per_acre / M2_PER_ACRE, 1)} a m²."
    step = Step("stand", f"{counted} × {part:f} = {thousands(per_acre)} per acre = {per_m2} per m²", source=ACRE)
    return {"plants_per_acre": shown(per_acre, 0), "plants_per_m2": per_m2}, [says], [step]


def _with_stand(stand: Rate | None, row: Fraction, length: Fraction) -> Told:
    """Say how far apart the plants of a stand are, and how many of them stand in the length."""
    if stand is None:
        return {}, [], []
    apart = in_row_m(row, stand.per_m2)
    values = {**spacing_values(apart), "in_length": shown(length / apart, 1)}
    says = f"At {stand.words} plants stand {spacing_words(apart)} apart, {shown(length / apart, 0)} in that length."
    return values, [says], [spacing_step(apart, row, stand.per_m2)]


FIGURES = (
    Figure(
        "row length", "How long a row is that stands for a part of an acre, and what plants counted in it say.",
        RowAsked, row_length, {"row_width": "30 in", "counted": "62"},
    ),
)  # fmt: skip
