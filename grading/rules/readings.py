"""What a portion reads, factor by factor, and what that keeps it from."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from grading.rules.gauges import Ready
from grading.rules.naming import Named
from grading.rules.portion import Portion
from grading.rules.rounding import shown_against
from grading.rules.rows import Shortfall, nearest_shortfalls
from grading.rules.rule_set import NIL, Factor
from inventory.rules.rounding import half_up

RAW_DECIMALS = 6


@dataclass(frozen=True, slots=True)
class Reading:
    """One factor of a portion.

    Attributes:
        factor: from the rule set.
        share: exact share of its basis [1].
        read_pct: rounded once, to the decimals of its limit [%].
        read_to: the limit or precision whose decimals it is read to, as written.
        limits: grade -> limit as written [%].
        pieces: how many were counted, if they were.
    """

    factor: Factor
    share: Fraction
    read_pct: Decimal
    read_to: str
    limits: Mapping[str, str]
    pieces: int | None

    @property
    def raw_pct(self) -> Decimal:
        """The per cent before rounding, shown to six places [%]."""
        return half_up(self.share * 100, RAW_DECIMALS)


@dataclass(frozen=True, slots=True)
class Limiting:
    """What keeps a portion from a better grade; numbers are None where it is judged and not weighed."""

    factor: str
    words: str
    grade: str
    kept_from: str | None
    raw_pct: Decimal | None
    read_pct: Decimal | None
    limit: str | None


def readings_of(ready: Ready, named: Named, shares: Mapping[str, Fraction], portion: Portion) -> tuple[Reading, ...]:
    """Read every factor as the row that won writes its limit.

    Args:
        shares: factor -> exact share [1]; a factor that could not be read is left out.
    """
    return tuple(_reading(ready, named, name, share, portion) for name, share in shares.items())


def limiting_of(
    ready: Ready, named: Named, short: Mapping[str, tuple[Shortfall, ...]], shares: Mapping[str, Fraction]
) -> tuple[Limiting, ...]:
    """Say what keeps a portion from the nearest better grades.

    Args:
        short: row -> what keeps the portion out of it.
    """
    if named.stops:
        return tuple(
            Limiting(stop, stop.replace("_", " "), named.grade, None, None, None, None) for stop in named.stops
        )
    if named.change and named.is_ungraded:
        words = ready.rule_set.factors[named.change.factor].words
        shortfall = Shortfall(named.change.factor, words, named.change.over)
        return (_limiting(ready, shortfall, named, None, shares),)
    return tuple(
        _limiting(ready, shortfall, named, kept_from, shares)
        for shortfall, kept_from in nearest_shortfalls(named.better, short).values()
    )


def read_to(ready: Ready, factor: str, row: str | None) -> str:
    """Give what sets the decimals a factor is shown in: its limit in the row that won, else in the last row.

    Args:
        row: the row that won; None below the last.
    """
    limits = ready.limits[factor]
    written = limits.get(row or "") or next(iter([*limits.values()][::-1]), NIL)
    return ready.rule_set.parts_read_to if written == NIL else written


def _reading(ready: Ready, named: Named, name: str, share: Fraction, portion: Portion) -> Reading:
    factor, limits = ready.rule_set.factors[name], ready.limits[name]
    written = read_to(ready, name, named.row)
    pieces = [portion.counts[each] for each in (name, *factor.also_called) if each in portion.counts]
    read = shown_against(share, written, rounds=ready.rule_set.rounds)
    return Reading(factor, share, read, written, limits, sum(pieces) if pieces else None)


def _limiting(
    ready: Ready, shortfall: Shortfall, named: Named, kept_from: str | None, shares: Mapping[str, Fraction]
) -> Limiting:
    share = shares.get(shortfall.thing)
    raw = None if share is None else half_up(share * 100, RAW_DECIMALS)
    read = None if share is None else shown_against(share, shortfall.limit, rounds=ready.rule_set.rounds)
    return Limiting(shortfall.thing, shortfall.words, named.bare, kept_from, raw, read, shortfall.limit)
