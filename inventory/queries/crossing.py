"""What the crossing log says about parents: who sets pods, and how sure that is."""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.models import Pollination, Station
from inventory.rules.proportion import Proportion, wilson


@dataclass(frozen=True)
class ParentRate:
    """How often pollinations with a parent set a pod: buds, pods, and the share with its likely range."""

    parent: str
    crosses: int
    buds: int
    pods: int
    seeds: int
    share: Proportion


@dataclass(frozen=True)
class CrossingRates:
    """The same log seen from both sides, the parent that seldom sets first."""

    by_female: list[ParentRate]
    by_male: list[ParentRate]


def crossing_rates(station: Station) -> CrossingRates:
    """Count the log by female and by male; pollinations that were taken back do not count (1 query)."""
    rows = list(
        Pollination.objects.filter(station=station, operation__reversed_by__isnull=True).select_related(
            "cross__female", "cross__male", "cross__female_cross", "cross__male_cross"
        )
    )
    return CrossingRates(
        _rates((str(row.cross.female or row.cross.female_cross), row) for row in rows),
        _rates((str(row.cross.male or row.cross.male_cross), row) for row in rows),
    )


def _rates(named: Iterable[tuple[str, Pollination]]) -> list[ParentRate]:
    by_parent: dict[str, list[Pollination]] = {}
    for parent, row in named:
        by_parent.setdefault(parent, []).append(row)
    rates = [_rate(parent, rows) for parent, rows in by_parent.items()]
    return sorted(rates, key=lambda rate: (rate.share.estimate, rate.parent))


def _rate(parent: str, rows: list[Pollination]) -> ParentRate:
    buds, pods = sum(row.buds_tried for row in rows), sum(row.pods_set for row in rows)
    seeds, crosses = sum(row.seeds_taken for row in rows), len({row.cross_id for row in rows})
    return ParentRate(parent, crosses, buds, pods, seeds, wilson(pods, buds))
