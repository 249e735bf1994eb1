"""How far a lot is from a line: against numpy and scipy, and no alarm more often than stated."""

import math

import numpy as np
import pytest
from scipy import integrate, stats
from scipy.spatial.distance import mahalanobis

from grading.stats.likeness import (
    METHOD,
    METHOD_EACH,
    all_tails,
    far,
    hold,
    log_density,
    own_squares,
    rank_tail,
    shares,
    squares_off,
    tails_of,
)
from grading.stats.spread import Base, Past, base_of, past_of

MAHALANOBIS = "scipy.spatial.distance.mahalanobis"
HOTELLING = "Hotelling T² of a future observation, F of p and n - p degrees of freedom, with numpy and scipy.stats.f"
STUDENT = "Student's t for a future observation, factor √(1 + 1/n), with scipy.stats.t"
STUDENTS_T = "scipy.stats.multivariate_t, the predictive distribution of a normal sample"
LEVELS = (0.01, 0.05)


def sample(seed: int, n: int, p: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return rng.normal(size=(n, p)) @ rng.normal(size=(p, p)) + rng.normal(size=p)


@pytest.mark.outside(MAHALANOBIS)
@pytest.mark.parametrize(("seed", "n", "p"), [(1, 20, 2), (2, 30, 3), (3, 50, 5), (4, 12, 1)])
def test_the_distance_is_mahalanobis_by_the_lines_own_spread(seed: int, n: int, p: int) -> None:
    rows = sample(seed, n, p)
    held = hold(past_of(rows[1:].tolist()), None)
    assert held is not None
    inverse = np.linalg.inv(np.atleast_2d(np.cov(rows[1:], rowvar=False)))
    wanted = mahalanobis(rows[0], rows[1:].mean(axis=0), inverse) ** 2 / (1 + 1 / (n - 1))
    assert far(rows[0].tolist(), held).squared == pytest.approx(wanted)


@pytest.mark.outside(HOTELLING)
@pytest.mark.parametrize(("seed", "n", "p"), [(1, 20, 2), (2, 30, 3), (3, 50, 5), (4, 16, 4), (5, 40, 6)])
def test_a_lines_own_lots_alone_give_hotellings_f(seed: int, n: int, p: int) -> None:
    rows = sample(seed, n + 1, p)
    past, x = rows[1:], rows[0]
    held = hold(past_of(past.tolist()), None)
    assert held is not None
    off = x - past.mean(axis=0)
    t2 = n / (n + 1) * off @ np.linalg.solve(np.cov(past, rowvar=False), off)
    wanted = stats.f.sf(t2 * (n - p) / (p * (n - 1)), p, n - p)
    found = far(x.tolist(), held)
    assert (found.tail, found.method) == (pytest.approx(wanted), METHOD)


@pytest.mark.outside(STUDENT)
@pytest.mark.parametrize("n", [3, 4, 6, 12, 40])
def test_one_number_gives_students_t_with_few_lots_and_with_many(n: int) -> None:
    rows = sample(n, n + 1, 1)[:, 0]
    past, x = rows[1:], rows[0]
    held = hold(past_of(past[:, None].tolist()), None)
    assert held is not None
    t = (x - past.mean()) / (past.std(ddof=1) * math.sqrt(1 + 1 / n))
    assert far([float(x)], held).tail == pytest.approx(2 * stats.t.sf(abs(t), n - 1))


def test_few_lots_are_judged_number_by_number_and_the_smallest_tail_counts_for_each() -> None:
    held = hold(Past(1, np.zeros(3), np.zeros((3, 3))), Base(np.diag([1.0, 4.0, 9.0]), 3.5, 7, 1.0))
    assert held is not None
    found = far([2.0, 2.0, 0.0], held)
    wanted = 2 * stats.t.sf(2 / math.sqrt(2), 3.5)
    assert found.method == METHOD_EACH
    assert found.tails[0] == pytest.approx(wanted)
    assert found.tail == pytest.approx(3 * wanted)


@pytest.mark.outside(STUDENTS_T)
@pytest.mark.parametrize(("seed", "p"), [(1, 2), (2, 3), (3, 5)])
def test_the_density_is_the_multivariate_t(seed: int, p: int) -> None:
    rows = sample(seed, 30, p)
    held = hold(past_of(rows[1:].tolist()), None)
    assert held is not None
    n, v = 29, 29 - p
    shape = held.total * (1 + 1 / n) / v
    wanted = stats.multivariate_t.logpdf(rows[0], held.past.mean, shape, v)
    assert log_density(rows[:1], held)[0] == pytest.approx(wanted)


def test_the_density_number_by_number_makes_a_whole() -> None:
    held = hold(Past(2, np.zeros(1), np.ones((1, 1))), Base(np.eye(1), 3.0, 7, 1.0))
    assert held is not None
    whole, _error = integrate.quad(lambda x: math.exp(log_density(np.array([[x]]), held)[0]), -200, 200)
    assert whole == pytest.approx(1, abs=1e-4)


@pytest.mark.parametrize("p", [1, 3])
def test_leaving_each_lot_out_is_as_if_it_had_never_been_there(p: int) -> None:
    rows = sample(9, 40, p)
    base = Base(np.eye(p), 3.5, 7, 1.0)
    held = hold(past_of(rows.tolist()), base)
    assert held is not None
    found = own_squares(rows, held)
    for place in (0, 7, 39):
        without = hold(past_of(np.delete(rows, place, axis=0).tolist()), base)
        assert without is not None
        assert found[place] == pytest.approx(squares_off(rows[place : place + 1], without)[0])


def test_a_rank_counts_the_lot_itself() -> None:
    own = np.arange(1, 100, dtype=float)
    assert rank_tail(1000.0, own) == pytest.approx(1 / 100)
    assert rank_tail(0.0, own) == 1
    assert rank_tail(90.0, own) == pytest.approx(11 / 100)


def test_all_measurements_together_count_the_smallest_as_often_as_there_are() -> None:
    assert all_tails([0.004, 0.5]) == pytest.approx(0.008)
    assert all_tails([0.9, 0.8]) == 1
    with pytest.raises(ValueError, match="one tail"):
        all_tails([])


def test_shares_make_a_whole_even_where_densities_are_tiny() -> None:
    found = shares([-2000.0, -2000.0 + math.log(3)])
    assert found == (pytest.approx(0.25), pytest.approx(0.75))


def test_nothing_is_said_by_too_little() -> None:
    assert hold(past_of([[1.0]]), None) is None
    assert hold(past_of([[1.0]]), Base(np.eye(1), 1.3, 2, 1.0)) is None
    assert hold(past_of([[1.0]] * 5), None) is None  # five lots that show no spread at all


@pytest.mark.parametrize("values", [[float("nan")], [1.0, 2.0], [float("inf")]])
def test_a_lot_without_finite_numbers_is_refused(values: list[float]) -> None:
    held = hold(past_of([[1.0], [2.0], [4.0]]), None)
    assert held is not None
    with pytest.raises(ValueError, match="finite"):
        far(values, held)


# Each world: lines, lots of each line (from, to), numbers, correlation, standard deviation of a line's log spread.
WORLDS = {
    "a year's trial, one earlier lot": (8, (2, 2), 1, 0.0, 0.0),
    "lines that differ in spread": (8, (2, 2), 1, 0.0, 0.3),
    "colours, bound together": (8, (2, 2), 3, 0.8, 0.3),
    "colours, not bound": (8, (2, 2), 3, 0.0, 0.3),
    "few lots, spreads half as wide and twice as wide": (15, (2, 8), 1, 0.0, 0.4),
    "many lines, bound numbers, uneven spreads": (30, (4, 12), 3, 0.9, 0.4),
    "few lines": (5, (3, 3), 3, 0.5, 0.3),
}


def lots_of(rng: np.random.Generator, world: tuple[int, tuple[int, int], int, float, float]) -> list[np.ndarray]:
    lines, (least, most), p, rho, uneven = world
    bound = np.linalg.cholesky(np.full((p, p), rho) + (1 - rho) * np.eye(p))
    spreads = np.exp(rng.normal(0, uneven, lines))
    return [
        rng.normal(0, 5, p) + spread * rng.normal(size=(rng.integers(least, most + 1), p)) @ bound.T
        for spread in spreads
    ]


def tail_of_the_last(lines: list[np.ndarray]) -> float:
    base = base_of([past_of(rows.tolist()) for rows in lines[1:]], [0.001] * lines[0].shape[1])
    held = hold(past_of(lines[0][:-1].tolist()), base)
    assert held is not None
    return float(tails_of(lines[0][-1:], held)[0])


@pytest.mark.slow
@pytest.mark.parametrize("name", WORLDS)
def test_no_alarm_comes_more_often_than_stated(name: str) -> None:
    rng, n = np.random.default_rng(20), 3000
    tails = np.array([tail_of_the_last(lots_of(rng, WORLDS[name])) for _ in range(n)])
    for level in LEVELS:
        assert float((tails < level).mean()) <= level + 3 * math.sqrt(level * (1 - level) / n)


# Beyond what the constants of `spread.py` were chosen for: the level is missed, and README.md says by how much.
BEYOND = {
    "one line in three spreads over twice as widely as usual, or under half": (15, (2, 8), 1, 0.0, 0.7),
    "three numbers, one earlier lot, spreads more uneven than that allows": (8, (2, 2), 3, 0.8, 0.5),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", BEYOND)
def test_very_uneven_lines_miss_the_level_and_by_no_more_than_twice(name: str) -> None:
    rng, n = np.random.default_rng(77), 3000
    rate = float((np.array([tail_of_the_last(lots_of(rng, BEYOND[name])) for _ in range(n)]) < 0.01).mean())
    assert 0.01 < rate <= 0.02 + 3 * math.sqrt(0.02 * 0.98 / n)


@pytest.mark.slow
def test_three_measurements_of_which_lots_miss_some_keep_to_the_level_too() -> None:
    rng, n, alarms = np.random.default_rng(21), 2000, 0
    for _ in range(n):
        lines = lots_of(rng, (10, (2, 5), 4, 0.7, 0.3))
        given = [columns for columns in ([0], [1], [2, 3]) if rng.uniform() < 0.7] or [[0]]
        alarms += all_tails([tail_of_the_last([rows[:, each] for rows in lines]) for each in given]) < 0.01
    assert alarms / n <= 0.01 + 3 * math.sqrt(0.01 * 0.99 / n)


def test_a_wrong_tag_is_found_though_others_hang_on_wrong_lots_too() -> None:
    rng, found = np.random.default_rng(22), 0
    for _ in range(200):
        lines = lots_of(rng, (8, (2, 2), 1, 0.0, 0.0))
        lines[0][1] += 13
        lines[1][1] -= 13
        found += tail_of_the_last(lines) < 0.01
    assert found > 170


@pytest.mark.parametrize("shape", ["heavy", "skew"])
def test_ranks_keep_to_the_level_where_a_bell_curve_does_not(shape: str) -> None:
    rng = np.random.default_rng(23)
    draw = {"heavy": lambda n: rng.standard_t(2.5, size=(n, 2)), "skew": lambda n: rng.lognormal(0, 1, size=(n, 2))}
    rows, fresh = draw[shape](400), draw[shape](4000)
    held = hold(past_of(rows.tolist()), None)
    assert held is not None
    own = own_squares(rows, held)
    ranks = np.array([rank_tail(float(each), own) for each in squares_off(fresh, held)])
    by_f = float((tails_of(fresh, held) < 0.01).mean())
    # With 400 lots the level itself is known to about half of itself: the rate for one history follows Beta(4, 397).
    assert float((ranks < 0.01).mean()) <= stats.beta.ppf(0.999, 4, 397)
    assert by_f > 0.02
