"""How much seed to take: for an area at a rate and for a stand of plants."""

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.planting_words import bag_kg, read_losses, read_plants, read_weight
from grading.queries.figures.row_lengths import spacing_step, spacing_values, spacing_words, thousands
from grading.queries.figures.size_figures import shown, shown_plain
from grading.rules.seed_weight import G_PER_LB
from inventory.models import Station
from inventory.rules.area import read_area
from inventory.rules.gathering import Gathering
from inventory.rules.planting import Losses, grams_for, in_row_m, seeds_for
from inventory.rules.rates import M2_PER_ACRE, M2_PER_HA, read_length, read_seed_rate
from inventory.rules.reading import typed_text
from inventory.rules.working import Step

NO_SOURCE = "common practice, no source"
ACRE = "International Yard and Pound Agreement (1959): 1 acre = 4,046.8564224 m², 1 lb = 453.59237 g exactly"
TAKEN_WHOLE = "Germination, emergence and purity count as 100 % where they are not given."
AN_AREA = {"looks": "an area: 0.8 ha, 50 acres, 14.4 m2"}
A_BAG = {"looks": "what a bag holds: 25 kg, 50 lb"}


@dataclass(frozen=True, kw_only=True)
class AreaAsked:
    """An area, and the rate at which it is sown."""

    area: Any = field(metadata=AN_AREA)
    rate: Any = field(metadata={"looks": "a seed rate: 55 kg/ha, 50 lb/acre"})
    overage_pct: Any = "0"
    bag: Any = field(default=None, metadata=A_BAG)


@dataclass(frozen=True, kw_only=True)
class StandAsked:
    """The plants that are wanted, and what is lost on the way to them."""

    plants: Any = field(metadata={"looks": "plants in all or per plot: 400; or a stand: 25/m2, 62,500/acre"})
    area: Any = field(default=None, metadata={"looks": "of one plot or field, with a stand: 4.5 m2, 50 acres"})
    plots: Any = "1"
    seed_weight_g_per_100: Any = field(default=None, metadata={"looks": "grams of 100 seeds, such as 18.2"})
    seeds_per_lb: Any = field(default=None, metadata={"looks": "seeds in a pound, instead of the weight: 2,500"})
    germination_pct: Any = None
    emergence_pct: Any = None
    purity_pct: Any = None
    overage_pct: Any = "0"
    row_width: Any = field(default=None, metadata={"looks": "between rows: 30 in, 75 cm"})
    bag: Any = field(default=None, metadata=A_BAG)


def seed_for_area(asked: AreaAsked, _station: Station | None = None) -> Answer:
    """Answer how much seed an area takes at a rate.

    Raises:
        Refused: an area, rate or bag that cannot be read.
    """
    words = Gathering()
    area = words.attempt(lambda: read_area(asked.area, unit="ha"))
    rate = words.attempt(lambda: read_seed_rate(asked.rate))
    more = words.number(asked.overage_pct, "overage_pct", unit="%", least=0, most=100)
    bag = bag_kg(words, asked.bag)
    words.finish()
    if area is None or rate is None or more is None:
        raise AssertionError("finish() lets nothing unread through")
    kg = rate.per_m2 * Fraction(area) * (1 + Fraction(more) / 100)
    values, says = _mass_words(kg, bag, typed_text(asked.bag))
    over = f" × (1 + {more}/100)" if more else ""
    step = Step(
        "seed", f"{rate.words} = {shown_plain(rate.per_ha)} kg/ha × "
        f"{shown_plain(Fraction(area) / M2_PER_HA)} ha{over} = {shown(kg, 4)} kg",
        rounding=f"{shown(kg, 2)} kg, half up to 0.01", source=f"{NO_SOURCE}; {ACRE}",
    )  # fmt: skip
    first = f"{typed_text(asked.area)} at {rate.words} takes {says}."
    notes = tuple(note.says for note in rate.notes)
    return Answer({"area_m2": shown(area, 2), **values}, (first,), (step, *bag_steps(kg, bag)), notes)


def seeds_to_sow(asked: StandAsked, _station: Station | None = None) -> Answer:
    """Answer how many seeds and grams a stand takes.

    Raises:
        Refused: a number that cannot be read or is outside its range, a stand without its area, no seed weight.
    """
    words = Gathering()
    plots = words.whole(asked.plots, "plots", least=1, most=100_000)
    area = words.attempt(lambda: read_area(asked.area)) if typed_text(asked.area).strip() else None
    plants, stand = read_plants(words, asked.plants, area)
    losses = read_losses(words, asked.germination_pct, asked.emergence_pct, asked.purity_pct, asked.overage_pct)
    weight = read_weight(words, asked.seed_weight_g_per_100, asked.seeds_per_lb)
    row = words.attempt(lambda: read_length(asked.row_width)) if typed_text(asked.row_width).strip() else None
    bag = bag_kg(words, asked.bag)
    words.finish()
    if plants is None or weight is None or plots is None or losses is None:
        raise AssertionError("finish() lets nothing unread through")
    seeds = seeds_for(plants, losses)
    grams = grams_for(seeds, weight, losses)
    values, says = _mass_words(grams * plots / 1000, bag, typed_text(asked.bag))
    steps = [*sowing_steps(plants, seeds, grams, weight, losses), *_plots_steps(grams, plots)]
    told = [_stand_says(seeds, grams, plots), *([f"All {plots} plots take {says}."] if plots > 1 else [])]
    more_values, more_says, more_steps = _on_the_ground(seeds, grams, area, row)
    values = {
        "seeds": shown(seeds, 2), "whole_seeds": ceil(seeds), "grams": shown(grams, 3), "plots": plots,
        "seed_weight_g_per_100": shown(weight, 4), **values, **more_values,
    }  # fmt: skip
    notes = (*(note.says for note in (*words.notes, *(stand.notes if stand else ()))), *_taken_whole(asked))
    steps += [*more_steps, *bag_steps(grams * plots / 1000, bag)]
    return Answer(
        values, (*told, *more_says, *([f"That is {says}."] if bag and plots == 1 else [])), tuple(steps), notes
    )


def bag_steps(kg: Fraction, bag: Fraction | None) -> list[Step]:
    """Give the step from kilograms to whole bags."""
    if bag is None:
        return []
    formula = f"{shown(kg, 4)} kg / {shown_plain(bag)} kg = {shown(kg / bag, 3)}, whole bags {ceil(kg / bag)}"
    return [Step("bags", formula, rounding="up to whole bags", source=NO_SOURCE)]


def sowing_steps(
    plants: Fraction, seeds: Fraction, grams: Fraction, weight: Fraction, losses: Losses
) -> list[Step]:  # fmt: skip
    """Give the steps from plants to seeds and grams."""
    germination, emergence, purity = (shown_plain(one) for one in (losses.germination, losses.emergence, losses.purity))
    over = f" × (1 + {shown_plain(losses.overage)})" if losses.overage else ""
    first = f"{shown_plain(plants)} plants / ({germination} × {emergence}){over} = {shown(seeds, 4)} seeds"
    second = f"{shown(seeds, 4)} × {shown_plain(weight)} g / 100 / {purity} = {shown(grams, 4)} g"
    return [
        Step("seeds", first, "germination × emergence", f"{ceil(seeds)} whole seeds, up", NO_SOURCE),
        Step("grams", second, "purity", f"{shown(grams, 2)} g, half up to 0.01", NO_SOURCE),
    ]


def _mass_words(kg: Fraction, bag: Fraction | None, bag_words: str) -> tuple[dict[str, Any], str]:
    lb = kg * 1000 / G_PER_LB
    values: dict[str, Any] = {"kg": shown(kg, 4), "lb": shown(lb, 4)}
    says = f"{_kilos(kg)} kg ({_kilos(lb, 1)} lb)"
    if bag is not None:
        values["bags"] = ceil(kg / bag)
        says += f", {ceil(kg / bag)} bags of {bag_words}"
    return values, says


def _plots_steps(grams: Fraction, plots: int) -> list[Step]:
    if plots == 1:
        return []
    return [Step("all plots", f"{plots} × {shown(grams, 4)} g = {shown(grams * plots / 1000, 4)} kg", source=NO_SOURCE)]


def _stand_says(seeds: Fraction, grams: Fraction, plots: int) -> str:
    each = " a plot" if plots > 1 else ""
    mass = f"{_kilos(grams / 1000)} kg" if grams >= 10_000 else f"{_kilos(grams)} g"
    return f"Sow {thousands(Fraction(ceil(seeds)))} seeds{each}, {mass}."


def _on_the_ground(
    seeds: Fraction, grams: Fraction, area: Decimal | None, row: Fraction | None
) -> tuple[dict[str, Any], list[str], list[Step]]:
    """Say the rate on the ground and the distance in the row, where area and row are known."""
    if area is None:
        return {}, [], []
    kg_per_ha = grams / 1000 / Fraction(area) * M2_PER_HA
    lb_per_acre = grams / G_PER_LB / Fraction(area) * M2_PER_ACRE
    values = {"kg_per_ha": shown(kg_per_ha, 2), "lb_per_acre": shown(lb_per_acre, 2)}
    says = [f"That is {shown(kg_per_ha, 1)} kg/ha ({shown(lb_per_acre, 1)} lb/acre)."]
    formula = f"{shown(grams, 4)} g / {shown_plain(Fraction(area))} m² = {shown(kg_per_ha, 3)} kg/ha"
    steps = [Step("rate", f"{formula} = {shown(lb_per_acre, 3)} lb/acre", source=ACRE)]
    if row is not None:
        apart = in_row_m(row, seeds / Fraction(area))
        values |= spacing_values(apart)
        says.append(f"In the row a seed stands every {spacing_words(apart)}.")
        steps.append(spacing_step(apart, row, seeds / Fraction(area)))
    return values, says, steps


def _taken_whole(asked: StandAsked) -> tuple[str, ...]:
    given = [typed_text(one).strip() for one in (asked.germination_pct, asked.emergence_pct, asked.purity_pct)]
    return () if all(given) else (TAKEN_WHOLE,)


def _kilos(amount: Fraction, places: int = 2) -> str:
    """Write an amount with groups of three, half up, without needless zeros but one."""
    text = f"{Decimal(shown(amount, places)):,}"
    return text[:-1] if places == 2 and text.endswith("0") else text


FIGURES = (
    Figure(
        "seed for area", "How much seed an area takes at a rate, in kg, lb and whole bags.",
        AreaAsked, seed_for_area, {"area": "0.8 ha", "rate": "55 kg/ha"},
    ),
    Figure(
        "seeds to sow", "How many seeds and grams a stand of plants takes, with germination, purity and emergence.",
        StandAsked, seeds_to_sow,
        {"plants": "25/m2", "area": "4.5 m2", "seed_weight_g_per_100": "25", "germination_pct": "90",
         "emergence_pct": "90"},
    ),
)  # fmt: skip
