"""How sure a share by weight is, what few heavy pieces allow to say, how many grams more would tell, when to stop."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from math import ceil
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.queries.figures.sure_words import (
    HEAVIEST_SEED,
    JEFFREYS,
    LEAST_G,
    MOST_G,
    PICKING_ALONE,
    Picked,
    pct,
    read_grams,
    read_level,
    read_picked,
    share_of,
)
from grading.rules.notes import NOT_OFFICIAL
from grading.stats.beta import chance_at_least, chance_text, chance_within
from grading.stats.by_weight import ByWeight, Pieces, count_limit
from grading.stats.by_weight import by_weight as work_out
from grading.stats.more import pieces_to_be_sure, told_already
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.working import Step

MOST_LIMITS = 40
GY = "Gy's fundamental error (ITRC, Incremental Sampling Methodology ISM-1, 2012); for two kinds of piece written by us"
GARWOOD = "Garwood (1936) Biometrika 28:437-442"
NELSON = "Nelson (1970) IEEE Trans. Reliability R-19:42-49 (from memory)"
LOOKING = (
    'Looked at after every dish, it calls a lot at its limit "beyond" about 5 times in 100, simulated. In an official '
    "test the whole portion is picked."
)


@dataclass(frozen=True, kw_only=True)
class WeightAsked:
    """What was found in a portion by weight, and what single pieces weigh."""

    defect_g: Any
    portion_g: Any
    defect_piece_g: Any
    sound_piece_g: Any
    defect_cv_pct: Any = "0"
    sound_cv_pct: Any = "0"
    level_pct: Any = "95"


@dataclass(frozen=True, kw_only=True)
class HeavyAsked:
    """Heavy pieces, such as stones: their number, and their weight together where they were weighed."""

    pieces: Any
    portion_g: Any
    pieces_g: Any = ""
    level_pct: Any = "95"


@dataclass(frozen=True, kw_only=True)
class MoreAsked:
    """What was picked so far, and the limit one wants to be sure of."""

    defect_g: Any
    portion_g: Any
    seed_weight_g_per_100: Any
    limit_pct: Any
    chance_pct: Any = "95"


@dataclass(frozen=True, kw_only=True)
class StopAsked:
    """What was picked so far, and the limits of the grades: `limits_pct.first=2.00`."""

    defect_g: Any
    portion_g: Any
    seed_weight_g_per_100: Any
    limits_pct: Mapping[str, Any]
    chance_pct: Any = "99"
    official: bool = False


class OfficialTest(Mistake):
    """Advice was asked for in an official test."""

    code = "official_test"

    def __init__(self) -> None:
        super().__init__(
            "In an official test the whole portion is picked: there is no advice to stop.", field="official"
        )


class NoLimits(Mistake):
    """No limit, or too many, to hold a portion against."""

    code = "no_limits"


def interval_by_weight(asked: WeightAsked, _station: Station | None = None) -> Answer:
    """Answer how sure a share by weight is.

    Raises:
        Refused: more found than the portion, pieces without a weight, a level outside its range.
    """
    words = Gathering()
    found, portion = read_grams(words, asked.defect_g, asked.portion_g)
    each = [
        words.number(getattr(asked, name), name, unit="g", least="0.0001", most=HEAVIEST_SEED, example="0.2")
        for name in ("defect_piece_g", "sound_piece_g")
    ]
    spread = [
        words.number(getattr(asked, name), name, unit="%", least=0, most=500, example="20")
        for name in ("defect_cv_pct", "sound_cv_pct")
    ]
    level = read_level(words, asked.level_pct)
    words.finish()
    pieces = Pieces(float(given(each[0])), float(given(each[1])), share_of(spread[0]), share_of(spread[1]))
    sure = work_out(float(found / portion), float(portion), pieces, share_of(level))
    return _weight_answer(sure, pieces, portion, given(level))


def _weight_answer(sure: ByWeight, pieces: Pieces, portion: Decimal, level: Decimal) -> Answer:
    one = sure.interval
    a = f"{one.estimate:.6f}"
    defects = f"(1 - {a}) × {pieces.defect_g:g} g × (1 + {pieces.defect_cv:g}²)"
    sound = f"{a} × {pieces.sound_g:g} g × (1 + {pieces.sound_cv:g}²)"
    steps = (
        Step("equal pieces", f"{portion:f} g / [{defects} + {sound}] = {one.n:.2f}", source=GY),
        Step("standard deviation", _sd_formula(sure, a), source=GY),
        Step("range", f"{one.method} = {pct(one.low)} to {pct(one.high)} %", source="ours, no source; range by Wilson"),
    )
    says = f"{pct(one.estimate, 3)} % by weight, likely {pct(one.low, 3)} to {pct(one.high, 3)} % ({level} in 100)."
    as_sure = f"As sure as {one.n:.0f} pieces of one weight; the portion holds about {sure.pieces:.0f}."
    values = {
        "estimate_pct": one.estimate * 100, "low_pct": one.low * 100, "high_pct": one.high * 100, "n": one.n,
        "pieces": sure.pieces, "sd_points": None if sure.sd is None else sure.sd * 100, "method": one.method,
        "level_pct": float(level),
    }  # fmt: skip
    return Answer(values, (says, as_sure), steps, (PICKING_ALONE,))


def _sd_formula(sure: ByWeight, a: str) -> str:
    if sure.sd is None:
        return "nothing was found: a limit, and no ± 0"
    return f"√({a} × (1 - {a}) / {sure.interval.n:.2f}) × 100 = {pct(sure.sd, 5)} points"


def heavy_pieces(asked: HeavyAsked, _station: Station | None = None) -> Answer:
    """Answer what few heavy pieces, such as stones, can amount to.

    Raises:
        Refused: a count that is none, pieces that weigh more than the portion, a level outside its range.
    """
    words = Gathering()
    pieces = words.whole(asked.pieces, "pieces", most=1_000_000, example="2")
    weighed = str(asked.pieces_g).strip() != ""
    grams, portion = (
        read_grams(words, asked.pieces_g, asked.portion_g, ("pieces_g", "portion_g"))
        if weighed
        else (None, words.number(asked.portion_g, "portion_g", unit="g", least=LEAST_G, most=MOST_G, example="500"))
    )
    level = read_level(words, asked.level_pct)
    words.finish()
    count = given(pieces)
    each = float(grams / count) if grams and count else None
    limit = count_limit(count, float(given(portion)), each, share_of(level))
    upper_pct = None if limit.upper_share is None else limit.upper_share * 100
    most = f"{limit.upper_pieces:.2f} pieces" + (
        "" if upper_pct is None else f", {upper_pct:.3f} % at {each:.3f} g each"
    )
    says = (
        f"{count} found in {portion:f} g: so much seed holds up to {most} on average; a second portion of this weight "
        f"may show up to {limit.next_pieces} pieces (each {level} in 100, by count)."
    )
    formula = f"upper limit of a Poisson mean at {count} found = {limit.upper_pieces:.4f}"
    rest = f"{100 - given(level):f} %"
    second = f"largest y with P(at most {count} of {count} + y at 1/2) over {rest} = {limit.next_pieces}"
    steps = [
        Step("most pieces on average", formula, source=GARWOOD),
        Step("most pieces in a second portion", second, basis="a portion of the same weight", source=NELSON),
    ]
    if upper_pct is not None:
        by_weight = f"{limit.upper_pieces:.4f} × {each:.4f} g / {portion:f} g × 100 = {upper_pct:.4f} %"
        steps.append(
            Step("most by weight", by_weight, basis="the portion", source="count × mean weight of a piece, ours")
        )
    values = {
        "pieces": count,
        "upper_pieces": limit.upper_pieces,
        "next_pieces": limit.next_pieces,
        "upper_pct": upper_pct,
        "level_pct": float(given(level)),
    }
    return Answer(values, (says,), tuple(steps), ("No chance is given: single heavy pieces decide.",))


def grams_more(asked: MoreAsked, _station: Station | None = None) -> Answer:
    """Answer how many grams more to pick to be sure of a limit.

    Raises:
        Refused: more found than the portion, a limit or chance outside its range.
    """
    words = Gathering()
    limit = words.number(asked.limit_pct, "limit_pct", unit="%", least="0.0001", most=100, example="2.0")
    sure = read_level(words, asked.chance_pct, "chance_pct")
    picked = read_picked(words, asked.defect_g, asked.portion_g, asked.seed_weight_g_per_100)
    more = pieces_to_be_sure(picked.found, picked.n, share_of(limit), share_of(sure))
    word = "within" if more.within else "beyond"
    grams = None if more.pieces is None else max(0, ceil((more.pieces - picked.n) * float(picked.seed_weight) / 100))
    values = {
        "grams_more": grams, "grams_in_all": None if grams is None else float(picked.portion_g) + grams,
        "side": word, "chance_now": more.chance_now,
    }  # fmt: skip
    formula = f"the least whole n with that chance at {chance_text(share_of(sure))} if {picked.pct} % holds: " + (
        "none that anybody picks" if more.pieces is None else f"{more.pieces:.0f} pieces"
    )
    steps = (
        Step("pieces so far", picked.formula, basis="cleaned weight", source="common practice, no source"),
        Step(f"chance to be {word} now", f"{more.chance_now:.4f} at {limit} %", source=JEFFREYS),
        Step("pieces in all", formula, source=JEFFREYS),
    )
    return Answer(values, (_more_says(grams, word, given(limit), given(sure)),), steps, (PICKING_ALONE, NOT_OFFICIAL))


def _more_says(grams: int | None, word: str, limit: Decimal, sure: Decimal) -> str:
    if grams is None:
        return f"It reads too near {limit} %: no portion that anybody picks would make {sure} % sure."
    if grams == 0:
        return f"It is {sure} % sure already to be {word} {limit} %."
    return f"Pick {grams:,} g more to be {sure} % sure to be {word} {limit} %, if the rest reads like what was picked."


def when_to_stop(asked: StopAsked, _station: Station | None = None) -> Answer:
    """Answer whether what was picked so far tells already.

    Raises:
        Refused: an official test, no limits, more found than the portion, a chance outside its range.
    """
    words = Gathering()
    words.add(*([OfficialTest()] if asked.official else []))
    if not 0 < len(asked.limits_pct) <= MOST_LIMITS:
        says = f"Limits pct has {len(asked.limits_pct)} limits. Give 1 to {MOST_LIMITS}, such as limits_pct.first=2.00."
        words.add(NoLimits(says, field="limits_pct"))
    limits = {
        name: words.number(typed, f"limits_pct.{name}", unit="%", least=0, most=100, example="2.00")
        for name, typed in asked.limits_pct.items()
    }
    sure = read_level(words, asked.chance_pct, "chance_pct")
    picked = read_picked(words, asked.defect_g, asked.portion_g, asked.seed_weight_g_per_100)
    shares = {name: share_of(limit) for name, limit in limits.items()}
    told = told_already(picked.found, picked.n, shares, share_of(sure))
    chances = {name: chance_within(picked.found, picked.n, share) for name, share in shares.items()}
    each = tuple(_stop_says(picked, name, told[name], share) for name, share in shares.items())
    may_stop = all(told.values())
    advice = "Every limit is told: you may stop picking." if may_stop else "Pick on: not every limit is told."
    steps = [Step("pieces so far", picked.formula, basis="cleaned weight", source="common practice, no source")]
    steps += [
        Step(f"chance within {name}", f"{chances[name]:.4f} at {pct(share, 2)} %", source=JEFFREYS)
        for name, share in shares.items()
    ]
    values = {"may_stop": may_stop, "told": told, "chance_within": chances}
    return Answer(values, (*each, advice), tuple(steps), (LOOKING, PICKING_ALONE, NOT_OFFICIAL))


def _stop_says(picked: Picked, name: str, told: str, share: float) -> str:
    side = told or ("within" if picked.found <= share * picked.n else "beyond")
    tail = chance_within if side == "within" else chance_at_least
    chance = chance_text(tail(picked.found, picked.n, share))
    if told:
        return f"After {picked.portion_g:f} g it is already {told} {name} ({chance})."
    return f"After {picked.portion_g:f} g it reads {side} {name}, but not surely ({chance})."


FIGURES = (
    Figure(
        "interval by weight", "How sure a share by weight is, from the weights of single pieces.",
        WeightAsked, interval_by_weight,
        {
            "defect_g": "10", "portion_g": "500", "defect_piece_g": "0.1", "sound_piece_g": "0.2",
            "defect_cv_pct": "30", "sound_cv_pct": "15",
        },
    ),
    Figure(
        "heavy pieces", "What few heavy pieces, such as stones, can amount to: a count and an upper limit, no chance.",
        HeavyAsked, heavy_pieces, {"pieces": "2", "pieces_g": "0.8", "portion_g": "500"},
    ),
    Figure(
        "grams more", "How many grams more to pick to be sure that the lot is within a limit, or beyond it.",
        MoreAsked, grams_more,
        {"defect_g": "9.2", "portion_g": "500", "seed_weight_g_per_100": "19.4", "limit_pct": "2.00"},
    ),
    Figure(
        "when to stop", "Does what was picked so far tell already: advice, never in an official test.",
        StopAsked, when_to_stop,
        {
            "defect_g": "9.5", "portion_g": "250", "seed_weight_g_per_100": "19.4",
            "limits_pct": {"first": "2.00", "second": "4.00"},
        },
    ),
)  # fmt: skip
