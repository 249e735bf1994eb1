"""What germination tests say of lots: the newest valid one counts; one that broke its spread waits for its retest."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from grading.models import SeedLimit, SeedTest
from grading.queries.finding import day_of, standing_tests
from grading.queries.in_store import InStore, keys_in_store, lots_in_store
from grading.rules.counts import GERMINATION
from grading.rules.germination import GerminationTest, Verdict, germination_test, is_too_near_to_call
from grading.stats.beta import ShareInterval, chance_at_least, share_interval
from inventory.models import Link, Lot, Station
from inventory.queries.uses import Keys, for_statements
from inventory.rules.nodes import NodeKind, key_of, kind_of, node

THRESHOLD_PCT = 85  # below it a lot is not planted, where a station set nothing else; ours, no source
MOST_MONTHS = 12  # after which a test is old; common practice, no source


@dataclass(frozen=True)
class Tested:
    """A germination test in the books.

    Attributes:
        number: as on its tag.
        lot_id: whose seed.
        on: the day.
        result: mean, spread and verdict.
    """

    number: str
    lot_id: int
    on: date
    result: GerminationTest

    @property
    def interval(self) -> ShareInterval:
        """Likely range of the lot's germination [1]."""
        return share_interval(self.result.found, self.result.seeds)

    def chance_at_least(self, threshold_pct: int = THRESHOLD_PCT) -> float:
        """Chance that the lot's germination is at least the threshold [1]."""
        return chance_at_least(self.result.found, self.result.seeds, threshold_pct / 100)

    @property
    def needs_retest(self) -> bool:
        """Its replicates spread over what the table allows."""
        return self.result.verdict is Verdict.RETEST


@dataclass(frozen=True)
class Watched:
    """A lot on the watch list, with its newest valid test if it has one."""

    lot: InStore
    test: Tested | None


@dataclass(frozen=True)
class Watch:
    """The germination watch of a day.

    Attributes:
        below: mean below the threshold.
        too_near: the chance of the threshold is from 5 to 95 in 100.
        repeat: the newest test broke its spread and was not repeated.
        older: the newest valid test is older than twelve months.
        never: no test at all.
    """

    below: tuple[Watched, ...]
    too_near: tuple[Watched, ...]
    repeat: tuple[Watched, ...]
    older: tuple[Watched, ...]
    never: tuple[Watched, ...]


def germinations_of(station: Station, lot_ids: Keys) -> dict[int, list[Tested]]:
    """Give the tests of these lots, the newest first (1 query for 5,000 keys, or for a query of keys)."""
    found: dict[int, list[Tested]] = {}
    for some in for_statements(lot_ids):
        rows = standing_tests(station).filter(lot__in=some).order_by("-operation__at", "-operation__seq")
        for row in rows:
            found.setdefault(row.lot_id, []).append(tested_of(row, station))
    return found


def newest_valid(tests: Sequence[Tested]) -> Tested | None:
    """Give the newest test whose replicates agree; a test over its allowed spread is replaced, not pooled."""
    return next((test for test in tests if not test.needs_retest), None)


def germination_of(lot: Lot, before: date | None = None) -> Tested | None:
    """Give the newest valid test of a lot (1 query).

    Args:
        before: only tests of earlier days.
    """
    tests = germinations_of(lot.station, [lot.pk]).get(lot.pk, [])
    return newest_valid([test for test in tests if before is None or test.on < before])


def threshold_of(station: Station, until: date | None = None) -> int:
    """Give the germination below which this station plants no lot: its newest limit, else 85 [%] (1 query).

    Args:
        until: the day; later limits do not count.
    """
    rows = SeedLimit.objects.filter(station=station, name=GERMINATION, operation__reversed_by__isnull=True)
    newest_first = rows.select_related("operation").order_by("-operation__at", "-operation__seq")
    known = (row for row in newest_first if until is None or day_of(row.operation, station) <= until)
    newest = next(known, None)
    return int(newest.least_pct) if newest and newest.least_pct else THRESHOLD_PCT


def germination_watch(
    station: Station, today: date, threshold_pct: int | None = None, lots: Sequence[InStore] | None = None
) -> Watch:  # fmt: skip
    """Watch every lot in store before planting (4 queries).

    Args:
        today: the day of the list; later tests do not count.
        threshold_pct: below it a lot is not planted [%]; without it the station's own of that day.
        lots: those in store, where they are known already.
    """
    threshold = threshold_of(station, today) if threshold_pct is None else threshold_pct
    lots = lots_in_store(station) if lots is None else lots
    tests = germinations_of(station, keys_in_store(station))
    known = {lot.lot_id: [test for test in tests.get(lot.lot_id, []) if test.on <= today] for lot in lots}
    watched = [Watched(lot, newest_valid(known[lot.lot_id])) for lot in lots]
    valid = [(each, each.test) for each in watched if each.test]
    return Watch(
        below=tuple(each for each, test in valid if test.result.mean_pct < threshold),
        too_near=tuple(each for each, test in valid if is_too_near_to_call(test.chance_at_least(threshold))),
        repeat=tuple(each for each in watched if known[each.lot.lot_id] and known[each.lot.lot_id][0].needs_retest),
        older=tuple(each for each, test in valid if test.on < months_before(today, MOST_MONTHS)),
        never=tuple(each for each in watched if not known[each.lot.lot_id]),
    )


def blend_forecast(parts: Mapping[int, int], tests: Mapping[int, Tested]) -> Fraction | None:
    """Forecast a blend's germination from what goes in.

    Args:
        parts: lot -> mass that goes in, over 0 [any one unit].
        tests: lot -> its newest valid test.

    Returns:
        The mean of the parts' normal seedlings by their shares, exact [%]; None where a part was not tested.
    """
    if not parts or not all(lot in tests for lot in parts):
        return None
    total = sum(parts.values())
    shares = {lot: Fraction(mass, total) for lot, mass in parts.items()}
    found = {lot: Fraction(tests[lot].result.found * 100, tests[lot].result.seeds) for lot in parts}
    return sum((share * found[lot] for lot, share in shares.items()), Fraction(0))


def forecast_of(lot: Lot) -> Fraction | None:
    """Forecast the germination of a lot from the tests that its source lots had when it was made (3 queries).

    Returns:
        Exact [%]; None where it came from no lots, or a source was not tested then.
    """
    links = Link.objects.filter(child=node(NodeKind.LOT, lot.pk), is_sowing=False).select_related("operation")
    sources = [link for link in links if kind_of(link.parent) is NodeKind.LOT]
    if not sources:
        return None
    made_on = day_of(sources[0].operation, lot.station)
    parts = {key_of(link.parent): link.weight for link in sources}
    tests = germinations_of(lot.station, parts)
    valid = {key: newest_valid([test for test in tests.get(key, []) if test.on <= made_on]) for key in parts}
    return blend_forecast(parts, {key: test for key, test in valid.items() if test})


def months_before(day: date, months: int) -> date:
    """Give the same day so many months earlier, or that month's last day where it is shorter."""
    month = day.year * 12 + day.month - 1 - months
    for last in range(day.day, 27, -1):
        try:
            return date(month // 12, month % 12 + 1, last)
        except ValueError:
            continue
    return date(month // 12, month % 12 + 1, min(day.day, 27))


def tested_of(row: SeedTest, station: Station) -> Tested:
    """Read a test back from the books."""
    return Tested(row.number, row.lot_id, day_of(row.operation, station), germination_test(row.normal))
