"""Whether a lot looks like its line, in the bench's own words and numbers."""

import math
from collections.abc import Sequence

from grading.queries.likeness import ALARM, Compared, Likeness, LooksLike
from grading.queries.lot_measures import Kind, Measure, Number
from grading.stats.likeness import METHOD, METHOD_EACH, Far
from grading.stats.spread import KEPT, PRIOR_DF
from inventory.rules.reading import listed
from inventory.rules.working import Step

TELLING = 0.05  # a number with a smaller tail is named in the sentence; ours, no source
FEWEST = 0.001  # no rarer chance is claimed than 1 in 1,000: nobody knows a line's spread so well
F_TAIL = "Hotelling, The generalization of Student's ratio, 1931, for a future observation"
T_TAIL = "Student's t for a future observation; Bonferroni's inequality"
SPREAD = "Huber, proposal 2, 1964, over line variances; Smyth, 2004, for the degrees of freedom (from memory)"
RANKS = "Vovk, Gammerman, Shafer, Algorithmic Learning in a Random World, 2005, chapter 4 (from memory)"


def says(likeness: Likeness) -> str:
    """Say in one or two sentences whether a lot looks like its line."""
    lot, line = likeness.lot.lot, likeness.lot.line
    if likeness.tail is None:
        return f"{lot}: too few to say whether it looks like {line}: {_too_few(likeness.compared)}."
    told = [each for each in likeness.compared if each.far is not None]
    if not likeness.is_strange:
        by = listed([str(each.kind) for each in told], "and")
        return _looks_alike(likeness, told, f"{lot} looks like {line} by {by}")
    found = listed([_deviation(each, number) for each, number in telling(told)], "and")
    rarely = f"{chance(likeness.tail)} lots of {line} lie so far off"
    return f"{lot} is recorded as {line}, but {found}; {rarely}. {looks_like(likeness)}"


def _looks_alike(likeness: Likeness, told: Sequence[Compared], start: str) -> str:
    """Say no more than a bound says; one earlier lot says little, whatever the number."""
    line, tail = likeness.lot.line, likeness.tail or 0.0
    bound = "at most " if len(told) > 1 or any(each.method == METHOD_EACH for each in told) else ""
    few = min(len(each.past) for each in told)
    if few == 1:
        return f"{start}: nothing sets it apart, but only one earlier lot of {line} was measured, which says little."
    return f"{start}: {bound}{chance(tail)} lots of {line} lie as far from the {few} earlier ones."


def looks_like(likeness: Likeness) -> str:
    """Say which line a strange lot looks like."""
    if not likeness.like:
        return "It looks like no other line that was measured before."
    lines = [f"{like.line} ({in_hundred(like.share)} in 100)" for like in likeness.like]
    return f"It looks like {listed(lines)}."


def chance(tail: float) -> str:
    """Write how often something happens by chance: "fewer than 1 in 1,000", "1 in 240", "38 in 100"."""
    if tail < FEWEST:
        return "fewer than 1 in 1,000"
    return f"1 in {math.floor(1 / tail)}" if tail < ALARM * 5 else f"{in_hundred(tail)} in 100"


def in_hundred(share: float) -> str:
    """Write a share in whole hundredths, and never as certain."""
    return str(min(99, max(1, math.floor(share * 100 + 0.5))))


def telling(compared: Sequence[Compared]) -> list[tuple[Compared, int]]:
    """The numbers that are far off, the farthest first, three at most; always the farthest one."""
    tails = [
        (tail, place, number)
        for place, each in enumerate(compared)
        if each.far is not None
        for number, tail in enumerate(each.far.tails)
    ]
    named = sorted(tails)[:1] + [each for each in sorted(tails)[1:3] if each[0] < TELLING]
    return [(compared[place], number) for _tail, place, number in named]


def past_range(kind: Kind, past: Sequence[Measure], number: int) -> str:
    """Write what lots had, from least to most: "18.0 to 18.2 g"."""
    of = kind.numbers[number]
    ends = [of.shown(end(measure.exact[number] for measure in past)) for end in (min, max)]
    return with_unit(of, " to ".join(dict.fromkeys(ends)))


def with_unit(number: Number, text: str) -> str:
    """Put the unit behind a number that has one."""
    return f"{text} {number.unit}" if number.unit else text


def steps(likeness: Likeness) -> tuple[Step, ...]:
    """Show how the answer was worked out."""
    made = [step for each in likeness.compared if each.far is not None for step in _steps(each, each.far)]
    tails = [each.tail for each in likeness.compared if each.tail is not None]
    if likeness.tail is None:
        return ()
    together = Step(
        "all together", f"{len(tails)} × the smallest of {', '.join(map(_tail, tails))} = {_tail(likeness.tail)}",
        basis=f"called strange below {ALARM}", source="Bonferroni's inequality; Dunn, 1961",
    )  # fmt: skip
    return (*made, together, *_line_steps(likeness.lines))


def _steps(each: Compared, off: Far) -> list[Step]:
    numbers = [step for at in range(off.p) for step in (_number_step(each, off, at), _spread_step(each, off, at))]
    return [*numbers, _tail_step(each, off)]


def _spread_step(each: Compared, off: Far, at: int) -> Step:
    """Show where variance and degrees of freedom come from: the line's own lots and the base of all other lines."""
    number, variance = each.kind.numbers[at], off.sd[at] ** 2 / (1 + 1 / off.n)
    base = f" + {off.base_df:.2f} × {off.base[at]:.3e}" if off.base else ""
    summed = off.own[at] + (off.base_df * off.base[at] if off.base else 0)
    raised = "; raised to what measuring can tell" if variance * off.df > summed * (1 + 1e-9) else ""
    formula = f"({off.own[at]:.3e}{base}) / ({off.n - 1} + {off.base_df:.2f}) = {summed / off.df:.3e}{raised}"
    basis = (
        f"{off.n} earlier lots of the line, {off.n - 1} degrees of freedom, and the spread within {off.base_lines} "
        f"other lines, which counts as {off.base_df:.2f}: {KEPT:g} of theirs, {PRIOR_DF:g} at most"
    )
    return Step(f"variance of {number.short}, {variance:.3e}", formula, basis, source=f"{SPREAD}; constants ours")


def _number_step(each: Compared, off: Far, at: int) -> Step:
    number, value, away, sd = each.kind.numbers[at], each.measure.values[at], off.off[at], off.sd[at]
    formula = (
        f"{_compared(number, each.measure, at)} less the mean of {off.n}, {value - away:.4f}, = {away:.4f}; "
        f"over {sd:.4f} = {away / sd:.3f}; by t with {off.df:.2f} degrees of freedom {_tail(off.tails[at])}"
    )
    basis = f"{off.n} earlier lot{'' if off.n == 1 else 's'} of the line; spread √(variance × (1 + 1/{off.n}))"
    return Step(number.short, formula, basis=basis, source=T_TAIL)


def _tail_step(each: Compared, off: Far) -> Step:
    if each.method not in (METHOD, off.method):
        return Step(f"{each.kind}", f"T² = {off.squared:.3f}; {each.method} = {_tail(each.tail)}", source=RANKS)
    if off.method != METHOD:
        formula = f"{off.p} × the smallest of {', '.join(map(_tail, off.tails))} = {_tail(off.tail)}"
        return Step(f"{each.kind}", formula, basis=off.method, source=T_TAIL)
    rest = off.df - off.p + 1
    formula = (
        f"T² = {off.squared:.3f}; F = {off.squared:.3f} × {rest:.2f} / ({off.df:.2f} × {off.p}) = {off.f:.3f}; "
        f"by F with {off.p} and {rest:.2f} degrees of freedom {_tail(off.tail)}"
    )
    return Step(f"{each.kind}", formula, basis=off.method, source=F_TAIL)


def _line_steps(lines: Sequence[LooksLike]) -> list[Step]:
    if not lines:
        return []
    shared = ", ".join(f"{line.line} {line.share:.4f}" for line in lines[:5])
    source = "Bayes' rule over lines thought equally likely, with predictive t densities"
    return [Step("the line it looks like", shared, basis="shares of all lines compared", source=source)]


def _deviation(each: Compared, number: int) -> str:
    of = each.kind.numbers[number]
    own, line = with_unit(of, of.shown(each.measure.exact[number])), past_range(each.kind, each.past, number)
    lots = "lots" if len(each.past) > 1 else "only lot"
    return f"{of.name} {own} where its {lots} before had {line}"


def _too_few(compared: Sequence[Compared]) -> str:
    return "; ".join(f"{each.kind}: {each.too_few}" for each in compared) or "nothing of it was measured"


def _compared(number: Number, measure: Measure, at: int) -> str:
    text, value = number.shown(measure.exact[at]), f"{measure.values[at]:.4f}"
    return f"ln {text} = {value}," if number.is_log else text


def _tail(tail: float | None) -> str:
    return "" if tail is None else f"{tail:.4g}"
