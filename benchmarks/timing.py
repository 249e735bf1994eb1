"""Timing two ways of doing one thing, turn about, so that a busy machine slows both."""

from collections.abc import Callable
from statistics import median
from time import perf_counter

MS_PER_S = 1_000


def interleaved(
    ours: Callable[[], object],
    reference: Callable[[], object],
    *,
    runs: int = 9,
    clock: Callable[[], float] = perf_counter,
) -> tuple[float, float]:
    """Run both in turn and take each one's median.

    Args:
        ours, reference: what to time; each is called once beforehand, unmeasured, to warm caches.
        runs: how often each is timed.
        clock: seconds, for tests.

    Returns:
        Medians of ours and of the reference [ms].
    """
    ours(), reference()
    times = [(_ms(ours, clock), _ms(reference, clock)) for _ in range(runs)]
    return median(mine for mine, _ in times), median(theirs for _, theirs in times)


def _ms(call: Callable[[], object], clock: Callable[[], float]) -> float:
    start = clock()
    call()
    return (clock() - start) * MS_PER_S
