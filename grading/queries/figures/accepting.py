"""Sampling plans: what a plan accepts how often, and the smallest plan for two wanted risks."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.queries.figures.sure_words import OutOfOrder, pct, share_of
from grading.stats.plans import MOST_N, USUAL_CHANCES, NoPlanError, acceptance_chance, plan_for_risks, share_accepted
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.working import Step

MOST_SHARES = 100
USUAL_SHARES = ("0.5", "1", "2", "3", "4", "5", "6.5", "8", "10", "15")
BINOMIAL = "binomial: Σ C(n, x) p^x (1-p)^(n-x) for x = 0 to c (NIST/SEMATECH e-Handbook 6.2.3.2)"
CLOPPER = "Clopper & Pearson (1934) Biometrika 26:404-413"
GUENTHER = "W. C. Guenther (1969) J. Qual. Technol. 1:105-109 (from memory)"
EVEN_LOT = "It takes a fair sample of an even lot. A plan of our own: no official scheme."


@dataclass(frozen=True, kw_only=True)
class PlanAsked:
    """Look at n, accept with at most c defective."""

    n: Any
    c: Any
    shares_pct: Sequence[Any] = field(default=USUAL_SHARES, metadata={"looks": "per cents with commas between"})


@dataclass(frozen=True, kw_only=True)
class RisksAsked:
    """A good lot that should pass and a bad one that should not, each with the risk that it goes wrong."""

    good_pct: Any
    bad_pct: Any
    good_refused_pct: Any = "5"
    bad_accepted_pct: Any = "10"


class NoPlanOfThatSize(Mistake):
    """No plan that anybody would work."""

    code = "no_plan"

    def __init__(self, good: Decimal, bad: Decimal) -> None:
        super().__init__(
            f"{good} % and {bad} % lie too near: no plan of up to {MOST_N:,} pieces keeps both risks. Set them further "
            "apart, or allow larger risks.", field="bad_pct",
        )  # fmt: skip


def acceptance_plan(asked: PlanAsked, _station: Station | None = None) -> Answer:
    """Answer how often a plan accepts lots of each share.

    Raises:
        Refused: an acceptance number of n or more, no or too many shares, shares outside 0 to 100 %.
    """
    words = Gathering()
    n = words.whole(asked.n, "n", least=1, most=MOST_N, example="52")
    c = words.whole(asked.c, "c", most=MOST_N, example="3")
    if n is not None and c is not None and c >= n:
        says = f"C is {c}, but only {n} pieces are looked at: every lot would pass. Give a smaller c."
        words.add(OutOfOrder(says, field="c"))
    shares = words.numbers(list(asked.shares_pct)[: MOST_SHARES + 1], "shares_pct", unit="%", least=0, most=100)
    if len(shares) > MOST_SHARES:
        words.add(Mistake(f"Give up to {MOST_SHARES} shares.", field="shares_pct"))
    words.finish()
    look, most = given(n), given(c)
    table = {f"{share:f}": acceptance_chance(look, most, float(share / 100)) for share in shares}
    back = {f"{chance:.2f}": share_accepted(look, most, chance) * 100 for chance in USUAL_CHANCES}
    told = (
        f"Look at {look}, accept with at most {most}: {back['0.95']:.2f} % passes 95 times in 100, "
        f"{back['0.10']:.2f} % passes 10 times in 100.",
        *(f"{share} %: accepted {chance:.4f}" for share, chance in table.items()),
    )
    plan = f"n = {look}, c = {most}"
    steps = [Step(f"accepted at {share} %", f"{plan}: {p:.4f}", source=BINOMIAL) for share, p in table.items()]
    listed = ", ".join(f"{chance}: {share:.3f} %" for chance, share in back.items())
    steps.append(Step("share at a chance", f"Beta(c+1, n-c) at 1 - chance: {listed}", source=CLOPPER))
    return Answer({"accepts": table, "share_pct_at_chance": back}, told, tuple(steps), (EVEN_LOT,))


def plan_for_risk(asked: RisksAsked, _station: Station | None = None) -> Answer:
    """Answer the smallest plan that keeps both risks.

    Raises:
        Refused: a bad share that is not over the good one, risks out of range, or no plan of a size to work.
    """
    words = Gathering()
    good = words.number(asked.good_pct, "good_pct", unit="%", least="0.001", most="99.9", example="1")
    bad = words.number(asked.bad_pct, "bad_pct", unit="%", least="0.002", most="99.99", example="8")
    alpha = words.number(asked.good_refused_pct, "good_refused_pct", unit="%", least="0.01", most=50)
    beta = words.number(asked.bad_accepted_pct, "bad_accepted_pct", unit="%", least="0.01", most=50)
    if good is not None and bad is not None and bad <= good:
        words.add(OutOfOrder(f"Bad pct is {bad} %, good pct {good} %. The bad share must be larger.", field="bad_pct"))
    words.finish()
    plan = words.attempt(lambda: _plan(given(good), given(bad), share_of(alpha), share_of(beta)))
    words.finish()
    found = given(plan)
    says = (
        f"Look at {found.n} pieces, accept with at most {found.c} defective.",
        f"A lot at {good} % is refused {pct(found.good_refused, 2)} times in 100, "
        f"one at {bad} % accepted {pct(found.bad_accepted, 2)} times.",
    )
    formula = (
        f"the smallest n, then c, with P(x ≤ c) of 1 - {alpha}/100 or more at {good} % and of {beta}/100 or less at "
        f"{bad} %: n = {found.n}, c = {found.c}"
    )
    step = Step("plan", formula, source=f"{GUENTHER}; {BINOMIAL}")
    values = {
        "n": found.n, "c": found.c, "good_refused": found.good_refused, "bad_accepted": found.bad_accepted
    }  # fmt: skip
    return Answer(values, says, (step,), (EVEN_LOT,))


def _plan(good: Decimal, bad: Decimal, alpha: float, beta: float) -> Any:
    try:
        return plan_for_risks(float(good / 100), float(bad / 100), alpha, beta)
    except NoPlanError:
        raise NoPlanOfThatSize(good, bad) from None


FIGURES = (
    Figure(
        "acceptance plan", "How often a plan accepts lots of each share: its operating characteristic.",
        PlanAsked, acceptance_plan, {"n": "52", "c": "3"},
    ),
    Figure(
        "plan for risk", "The smallest plan that passes good lots and stops bad ones as often as wanted.",
        RisksAsked, plan_for_risk, {"good_pct": "1", "bad_pct": "8"},
    ),
)  # fmt: skip
