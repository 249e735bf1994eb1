"""The weight of a hundred seeds by replicates, of a lot or as typed: mean, spread, verdict, seeds per kg and per lb."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.size_figures import shown, shown_plain
from grading.queries.sizes import readings_of
from grading.rules.seed_weight import (
    BENCH_SOURCE,
    MOST_CV,
    RULE_SOURCE,
    SIXTEEN,
    SeedWeight,
    Verdict,
    seed_weight,
    seeds_per_kg,
    seeds_per_lb,
)
from grading.stats.mean_range import SOURCE as T_SOURCE
from grading.stats.mean_range import MeanRange, mean_range
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import typed_text
from inventory.rules.working import Step

POUND = "International Yard and Pound Agreement (1959): 1 lb = 453.59237 g exactly"
MOST_G = 2000


@dataclass(frozen=True, kw_only=True)
class SeedWeightAsked:
    """Replicates as they were weighed, or a lot whose newest are in the books."""

    lot: Any = None
    readings: Sequence[Any] = field(default=(), metadata={"looks": "grams of 4, 8 or 16 replicates"})
    seeds_each: Any = field(default="100", metadata={"looks": "seeds in a replicate"})
    kind: Any = field(default="other seeds", metadata={"looks": "other seeds (beans too), or chaffy grasses"})


def seed_weight_figure(asked: SeedWeightAsked, station: Station | None) -> Answer:
    """Answer what seeds weigh.

    Raises:
        Refused: readings that cannot be read, weigh nothing, or are fewer than a rule asks.
    """
    words = Gathering()
    given, whose = _given(words, asked, station)
    each = words.whole(asked.seeds_each, "seeds_each", least=10, most=1000)
    kind = words.word(asked.kind, "kind", list(MOST_CV))
    readings = words.numbers(given, "readings", unit="g", least=0, most=MOST_G, fewest=0)
    is_whole = each is not None and kind and len(readings) == len([one for one in given if typed_text(one).strip()])
    found = words.attempt(lambda: seed_weight(readings, seeds_each=each or 0, kind=kind)) if is_whole else None
    words.finish()
    if found is None:
        raise AssertionError("finish() lets nothing unread through")
    likely = mean_range(float(found.mean_g), float(found.sd_g), found.n)
    notes = tuple(note.says for note in words.notes)
    return Answer(_values(found, likely), (*whose, *_says(found, likely)), _steps(found, likely), notes)


def _given(words: Gathering, asked: SeedWeightAsked, station: Station | None) -> tuple[Sequence[Any], list[str]]:
    """Give the readings, typed or in the books, and say whose they are."""
    if not typed_text(asked.lot).strip():
        return asked.readings, []
    if asked.readings:
        words.add(Mistake("A lot and readings are given. Give the one or the other.", field="readings"))
    if station is None:
        words.add(Mistake("A lot is looked up at a station. Name the station, or give readings.", field="lot"))
        return (), []
    found = words.attempt(lambda: readings_of(station, asked.lot))
    return (found.readings, [f"{found.lot}, weighed {found.on}."]) if found else ((), [])


def _per_100(found: SeedWeight) -> Fraction:
    return found.one_seed_g * 100


def _values(found: SeedWeight, likely: MeanRange) -> dict[str, Any]:
    weight = _per_100(found)
    scale = 100 / found.seeds_each
    return {
        "seed_weight_g_per_100": shown(weight, 4), "seed_weight_g_per_1000": shown(weight * 10, 4),
        "low_g_per_100": likely.low * scale, "high_g_per_100": likely.high * scale,
        "variance": f"{float(found.variance):.8g}", "sd_g": f"{found.sd_g:.8f}", "cv_pct": shown(found.cv_pct, 5),
        "spread_pct": shown(found.spread_pct, 2), "replicates": len(found.readings), "kept": found.n,
        "dropped_g": [shown_plain(one) for one in found.dropped], "verdict": found.verdict.value,
        "seeds_per_kg": shown(seeds_per_kg(weight), 0), "seeds_per_lb": shown(seeds_per_lb(weight), 0),
        "method": likely.method, "level": likely.level,
    }  # fmt: skip


def _says(found: SeedWeight, likely: MeanRange) -> list[str]:
    weight, scale = _per_100(found), 100 / found.seeds_each
    low, high = (f"{end * scale:.2f}" for end in (likely.low, likely.high))
    per = f"{half(seeds_per_kg(weight))} seeds per kg, {half(seeds_per_lb(weight))} per lb"
    return [f"100 seeds weigh {shown(weight, 2)} g, likely {low} to {high} g: {per}.", _verdict_says(found)]


def _verdict_says(found: SeedWeight) -> str:
    if found.most_cv is None:
        limit = "over 4 %: weigh 4 × 100 seeds again" if found.verdict is Verdict.WEIGH_AGAIN else "within 4 %"
        return f"The four readings spread over {shown(found.spread_pct, 1)} % of their mean, {limit}."
    if found.verdict is Verdict.WEIGH_MORE:
        return f"CV {shown(found.cv_pct, 2)} % is over {found.most_cv} %: weigh 8 more and give all 16."
    if found.dropped:
        gone = ", ".join(shown_plain(one) for one in found.dropped)
        return f"Of 16, {gone} g differ from their mean by more than 2 s and are dropped; {found.n} count."
    if len(found.readings) == SIXTEEN:
        return "All 16 lie within 2 s of their mean and count."
    return f"CV {shown(found.cv_pct, 2)} % is within {found.most_cv} %."


def _steps(found: SeedWeight, likely: MeanRange) -> tuple[Step, ...]:
    source = BENCH_SOURCE if found.most_cv is None else RULE_SOURCE
    weight = _per_100(found)
    added = " + ".join(shown_plain(one) for one in found.kept)
    s, cv = f"{found.sd_g:.8f}", shown(found.cv_pct, 5)
    return (
        Step("mean", f"({added}) / {found.n} = {shown(found.mean_g, 7)} g", source=source),
        Step("variance", f"sum((x - mean)²) / ({found.n} - 1) = {float(found.variance):.8g} g²", "two passes",
             source=source),
        Step("CV", f"100 × {s} / {shown(found.mean_g, 7)} = {cv} %",
             rounding=f"{shown(found.cv_pct, 2)}, half up to 0.01", source=source),
        Step("verdict", _verdict_says(found).rstrip("."), source=source),
        Step("likely range", f"{shown(found.mean_g, 7)} ± {likely.t:.6f} × {s} / √{found.n} = {likely.low:.6f} to "
             f"{likely.high:.6f} g", f"{found.seeds_each} seeds", source=T_SOURCE),
        Step("100 seeds", f"{shown(found.mean_g, 7)} g / {found.seeds_each} × 100 = {shown(weight, 6)} g; 1,000 seeds "
             f"{shown(weight * 10, 5)} g", source=source),
        Step("seeds per kg", f"100,000 / {shown(weight, 6)} = {shown(seeds_per_kg(weight), 2)}",
             rounding=f"{shown(seeds_per_kg(weight), 0)}, half up", source="common practice, no source"),
        Step("seeds per lb", f"45,359.237 / {shown(weight, 6)} = {shown(seeds_per_lb(weight), 2)}",
             rounding=f"{shown(seeds_per_lb(weight), 0)}, half up", source=POUND),
    )  # fmt: skip


def half(exact: Fraction) -> str:
    """Write a count half up with groups of three."""
    return f"{Decimal(shown(exact, 0)):,}"


FIGURES = (
    Figure(
        "seed weight", "What a hundred seeds weigh by replicates, whether these agree, and seeds per kg and per lb.",
        SeedWeightAsked, seed_weight_figure, {"readings": "18.0, 18.1, 18.3, 18.4"}, reads_books=True,
        looks_up=("lot",),
    ),
)  # fmt: skip
