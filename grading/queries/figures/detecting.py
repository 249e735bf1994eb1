"""How many to look at to find what is rare, what may be there where nothing was found, and tests on pools."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.queries.figures.sure_words import MOST_PIECES, MoreThanLookedAt, pct, read_counted, read_level, share_of
from grading.stats.detection import LARGEST_LOT, RAREST, detection_size, detection_size_in_lot, rule_of_three
from grading.stats.intervals import upper_limit
from grading.stats.pools import pooled_share, pools_accept
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.reading import typed_text
from inventory.rules.rounding import half_up_int
from inventory.rules.working import Step

MOST_POOLS, MOST_EACH = 10_000, 1_000_000
BINOMIAL = "(1 - p)^n, the chance that none of n is of the kind; decided in exact fractions"
HYPERGEOMETRIC = "C(N-D, n) / C(N, n), the chance that none of n drawn without putting back is of the kind"
REMUND = "Remund, Dixon, Wright & Holden (2001) Seed Sci. Res. 11:101-119 (the framework; its tables were not read)"


@dataclass(frozen=True, kw_only=True)
class DetectionAsked:
    """The share that must be found, how surely, and the pieces in a small lot."""

    share_pct: Any
    chance_pct: Any = "95"
    lot_pieces: Any = ""


@dataclass(frozen=True, kw_only=True)
class NoneAsked:
    """How many were looked at without finding any."""

    of: Any
    level_pct: Any = "95"


@dataclass(frozen=True, kw_only=True)
class PoolsAsked:
    """Pools that were positive, of how many, of how many seeds each; and how many may be for the lot to pass."""

    positive: Any
    pools: Any
    seeds_each: Any
    most_positive: Any = ""
    level_pct: Any = "95"


def detection(asked: DetectionAsked, _station: Station | None = None) -> Answer:
    """Answer how many pieces to look at so that one of a kind is found.

    Raises:
        Refused: a share under 0.01 % or over 100 %, a chance outside its range, a lot too large to be worked out.
    """
    words = Gathering()
    share = words.number(asked.share_pct, "share_pct", unit="%", least=float(RAREST * 100), most=100, example="1")
    sure = read_level(words, asked.chance_pct, "chance_pct")
    lot = words.whole(asked.lot_pieces, "lot_pieces", least=1, most=LARGEST_LOT, needed=False)
    words.finish()
    part, chance = Fraction(given(share)) / 100, Fraction(given(sure)) / 100
    n = detection_size(part, chance)
    steps = [
        Step("pieces", f"the smallest n with (1 - {share}/100)^n of 1 - {sure}/100 or less = {n}", source=BINOMIAL)
    ]
    says = [f"Look at {n:,} pieces: with a chance of {sure} % at least one of a kind that is {share} % is found."]
    values: dict[str, Any] = {"pieces": n}
    if lot is not None:
        of_a_kind = max(1, half_up_int(part * lot))
        fewer = detection_size_in_lot(lot, of_a_kind, chance)
        says.append(f"Of a lot of {lot:,} pieces with {of_a_kind:,} of the kind, {fewer:,} are enough.")
        formula = f"the smallest n with C({lot} - {of_a_kind}, n) / C({lot}, n) of 1 - {sure}/100 or less = {fewer}"
        steps.append(
            Step("pieces of the lot", formula, rounding=f"{of_a_kind} of the kind, half up", source=HYPERGEOMETRIC)
        )
        values |= {"pieces_of_lot": fewer, "of_a_kind": of_a_kind}
    return Answer(values, tuple(says), tuple(steps), ("It takes a fair sample, and an eye that misses none.",))


def none_found(asked: NoneAsked, _station: Station | None = None) -> Answer:
    """Answer what may be there where nothing was found.

    Raises:
        Refused: nothing looked at, a level outside its range.
    """
    words = Gathering()
    of = words.whole(asked.of, "of", least=1, most=MOST_PIECES)
    level = read_level(words, asked.level_pct)
    words.finish()
    n = given(of)
    upper, quick = upper_limit(0, n, share_of(level)), rule_of_three(n)
    steps = (
        Step(
            "at most", f"1 - (1 - {level}/100)^(1/{n}) = {pct(upper)} %", source="Clopper & Pearson (1934), at 0 found"
        ),
        Step(
            "rule of three", f"3 / {n} = {pct(quick)} % (for 95 in 100)", source="Hanley & Lippman-Hand (1983) JAMA 249"
        ),
    )
    says = f"None of {n:,} found: up to {pct(upper, 3)} % may be there all the same ({level} in 100)."
    return Answer({"upper_pct": upper * 100, "rule_of_three_pct": quick * 100}, (says,), steps)


def pools(asked: PoolsAsked, _station: Station | None = None) -> Answer:
    """Answer what share of single seeds has what some pools have.

    Raises:
        Refused: more positive pools than pools, pools without seeds, a level outside its range.
    """
    words = Gathering()
    positive, tested = read_counted(words, asked.positive, asked.pools, ("positive", "pools"))
    each = words.whole(asked.seeds_each, "seeds_each", least=1, most=MOST_EACH, example="300")
    most = words.whole(asked.most_positive, "most_positive", needed=False)
    level = read_level(words, asked.level_pct)
    if tested is not None and tested > MOST_POOLS:
        words.whole(tested, "pools", most=MOST_POOLS)
    if most is not None and tested is not None and most > tested:
        words.add(MoreThanLookedAt("most_positive", given(words.number(most, "most_positive")), tested))
    words.finish()
    seeds = given(each)
    share = pooled_share(positive, tested, seeds, share_of(level))
    formula = f"1 - (1 - {positive}/{tested})^(1/{seeds}) × 100 = {pct(share.estimate)} %"
    limits = f"limits of {positive}/{tested} turned the same way = {pct(share.low)} to {pct(share.high)} %"
    steps = [Step("single seeds", formula, source=REMUND), Step("range", limits, source="Clopper & Pearson (1934)")]
    likely = f"likely {pct(share.low)} to {pct(share.high)} % ({level} in 100)"
    says = [f"{positive} of {tested} pools of {seeds} seeds: {pct(share.estimate)} % of single seeds, {likely}."]
    if positive == tested:
        says = [f"All {tested} pools were positive: at least {pct(share.low)} % of single seeds; no more can be said."]
    values: dict[str, Any] = {
        "estimate_pct": share.estimate * 100, "low_pct": share.low * 100, "high_pct": share.high * 100
    }  # fmt: skip
    if typed_text(asked.most_positive).strip():
        accepts = {p: pools_accept(float(p) / 100, tested, seeds, given(most)) for p in ("0.05", "0.1", "0.2", "0.5")}
        values["accepts"] = accepts
        table = ", ".join(f"{p} %: {chance:.4f}" for p, chance in accepts.items())
        steps.append(
            Step("accepted at", f"at most {most} of {tested} positive: {table}", source="binomial of the pools")
        )
    return Answer(values, tuple(says), tuple(steps), ("A pool must be positive as soon as one of its seeds is.",))


FIGURES = (
    Figure(
        "detection", "How many pieces to look at so that at least one of a rare kind is found.",
        DetectionAsked, detection, {"share_pct": "1", "chance_pct": "95", "lot_pieces": "500"},
    ),
    Figure(
        "none found", "What may be there where nothing was found: the exact limit, and the rule of three.",
        NoneAsked, none_found, {"of": "300"},
    ),
    Figure(
        "pools", "What share of single seeds has what some pools of seeds have.",
        PoolsAsked, pools, {"positive": "2", "pools": "10", "seeds_each": "300", "most_positive": "0"},
    ),
)  # fmt: skip
