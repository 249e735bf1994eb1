"""Likely ranges of 100,000 samples of 12 factors at once, and the answers of portions in a file, beside one by one."""

import json
from collections.abc import Callable, Iterator
from random import Random
from typing import Any

from benchmarks.result import Result
from benchmarks.timing import interleaved

SAMPLES, FACTORS = 100_000, 12
PART = 400  # samples that a reference works out one by one; its time is scaled to all of them
SLOW_PART = 40  # of the library's usual door, which is slower
LINES = 2_000
Pair = tuple[Callable[[], object], Callable[[], object]]


def run() -> Iterator[Result]:
    """Compare ranges with loops over the library, and a file of portions with single answers.

    By weight no two portions stand for as many beans, so that nothing is worked out twice; by count many do. The first
    two are held against the quickest call that the library has, the third against the one that people write.
    """
    for name, pair in (("by weight", _by_weight()), ("by count", _by_count())):
        mine, theirs = interleaved(*pair, runs=3)
        yield Result(f"intervals {name}", mine, theirs * SAMPLES / PART)
    mine, theirs = interleaved(_by_weight()[0], _usual_loop(), runs=3)
    yield Result("intervals by weight, usual loop", mine, theirs * SAMPLES / SLOW_PART)
    mine, theirs = interleaved(*_answers(), runs=3)
    yield Result("grade a file, a portion", mine / LINES, theirs / (LINES / 10))


def _by_weight() -> Pair:
    import numpy as np  # noqa: PLC0415 - a benchmark is named without it

    chance = np.random.default_rng(1)
    n = np.repeat(chance.uniform(1_000, 6_000, SAMPLES), FACTORS)
    found = np.where(chance.random(SAMPLES * FACTORS) < 0.3, 0.0, n * chance.uniform(0, 0.05, SAMPLES * FACTORS))
    return _against_a_loop(found, n)


def _by_count() -> Pair:
    import numpy as np  # noqa: PLC0415 - a benchmark is named without it

    chance = np.random.default_rng(2)
    n = np.repeat(chance.choice([400.0, 500.0, 1000.0], SAMPLES), FACTORS)
    return _against_a_loop(chance.binomial(n.astype(int), 0.02).astype(float), n)


def _against_a_loop(found: Any, n: Any) -> Pair:
    from scipy.special import betaincinv  # noqa: PLC0415 - a benchmark is named without it

    from grading.stats.many import share_intervals  # noqa: PLC0415 - as above

    part = list(zip(found[: PART * FACTORS].tolist(), n[: PART * FACTORS].tolist(), strict=True))

    def reference() -> None:
        for k, of in part:
            betaincinv(k + 0.5, of - k + 0.5, 0.025)
            betaincinv(k + 0.5, of - k + 0.5, 0.975)

    return lambda: share_intervals(found, n), reference


def _usual_loop() -> Callable[[], object]:
    from scipy import stats  # noqa: PLC0415 - a benchmark is named without it

    part = [(25.0 + place / 7, 2_500.0) for place in range(SLOW_PART * FACTORS)]

    def reference() -> None:
        for k, of in part:
            stats.beta.ppf([0.025, 0.975], k + 0.5, of - k + 0.5)

    return reference


def _answers() -> Pair:
    # Django must be set up before queries are imported; the frame does so before it calls us.
    from grading.queries.answers import graded  # noqa: PLC0415
    from grading.queries.many_answers import graded_lines  # noqa: PLC0415
    from grading.rules.exact_json import read_object  # noqa: PLC0415

    lines = _portions(LINES)

    def reference() -> None:
        for line in lines[::10]:
            graded(read_object(line))

    return lambda: sum(1 for _ in graded_lines(lines)), reference


def _portions(lines: int) -> list[str]:
    chance = Random(1)
    dishes = ("splits", "damaged", "other_foreign_material", "contrasting_classes")
    return [
        json.dumps(
            {
                "rule_set": "QM-DEMO",
                "class": "pinto",
                "portion_g": round(chance.uniform(480, 520), 1),
                "weights_g": {dish: round(chance.uniform(0, 5), 1) for dish in dishes},
                "seed_weight_g_per_100": round(chance.uniform(30, 40), 1),
            }
        )
        for _ in range(lines)
    ]
