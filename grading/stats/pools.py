"""Tests on pools of seeds: what share of single seeds has what some pools have."""

from grading.stats.beta import ShareInterval
from grading.stats.intervals import clopper_pearson
from grading.stats.plans import acceptance_chance


def pooled_share(positive: int, pools: int, seeds_each: int, level: float = 0.95) -> ShareInterval:
    """Estimate the share of single seeds from pools that are positive as soon as one seed is.

    Args:
        positive: pools that were positive, 0 to all.
        pools: pools tested, 1 or more.
        seeds_each: seeds in a pool, 1 or more.
        level: 0 to 1, both excluded [1].

    Returns:
        1 - (1 - d/k)^(1/m) with the Clopper-Pearson limits of d/k turned the same way. Where all pools are positive
        estimate and upper limit are 1, and only the lower limit says anything.

    Raises:
        ValueError: a number outside its range.

    Source: Remund, Dixon, Wright & Holden (2001) Seed Sci. Res. 11:101-119 (the framework; its tables were not read).
    """
    if seeds_each < 1:
        raise ValueError(f"A pool of {seeds_each} seeds cannot be tested.")
    of_pools = clopper_pearson(positive, pools, level)
    estimate, low, high = (
        single_share(share, seeds_each) for share in (of_pools.estimate, of_pools.low, of_pools.high)
    )
    return ShareInterval(estimate, low, high, pools, level, "Clopper-Pearson of the pools, turned to single seeds")


def single_share(share_of_pools: float, seeds_each: int) -> float:
    """Turn a share of positive pools into the share of single seeds behind it [1]."""
    return 1.0 - float((1 - share_of_pools) ** (1 / seeds_each))


def pools_accept(share: float, pools: int, seeds_each: int, most_positive: int) -> float:
    """Give the chance that at most so many pools are positive, at a share of single seeds [1].

    Raises:
        ValueError: a number outside its range.
    """
    return acceptance_chance(pools, most_positive, 1 - (1 - share) ** seeds_each)
