import json
from itertools import count

import pytest

from benchmarks.__main__ import main
from benchmarks.result import Result
from benchmarks.timing import interleaved


def test_a_result_is_one_json_line_with_its_ratio() -> None:
    line = json.loads(Result("trace", ours=3.0, reference=2.0).line())
    assert line == {"bench": "trace", "ours": 3.0, "reference": 2.0, "ratio": 1.5, "unit": "ms"}


def test_it_times_both_in_turn_and_takes_medians() -> None:
    order: list[str] = []
    ticks = count()
    times = interleaved(
        lambda: order.append("ours"), lambda: order.append("reference"), runs=3, clock=lambda: float(next(ticks))
    )
    assert order == ["ours", "reference"] * 4
    assert times == (1000.0, 1000.0)


def test_the_median_lets_one_slow_run_pass() -> None:
    clock = iter([0.0, 0.001, 0.0, 0.002, 0.0, 9.0, 0.0, 0.002, 0.0, 0.001, 0.0, 0.002])
    assert interleaved(lambda: None, lambda: None, runs=3, clock=lambda: next(clock)) == (1.0, 2.0)


def test_an_unknown_benchmark_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["no_such_bench"]) == 2
    assert "There is no benchmark named no_such_bench." in capsys.readouterr().err
