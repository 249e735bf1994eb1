"""The spread within lines: pooled as a textbook does where all is well, and held where a line is odd."""

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from grading.stats.spread import WIDEST, base_of, held_variances, past_of, shrink_by

HUBER = "Huber, Robust estimation of a location parameter, Ann. Math. Statist. 35 (1964), proposal 2, with scipy.stats"
SHRINK = "Schäfer, Strimmer, Stat. Appl. Genet. Mol. Biol. 4 (2005) 32, target D: sum Var(r) / sum r² (from memory)"


def expected(df: float) -> tuple[float, float]:
    """Cut and mean of min(chi²/df, cut), by quadrature."""
    cut = stats.chi2.isf(WIDEST, df) / df
    below, _error = integrate.quad(lambda x: x / df * stats.chi2.pdf(x, df), 0, cut * df)
    return cut, below + cut * WIDEST


def test_a_past_sums_up_as_numpy_does() -> None:
    rows = np.random.default_rng(1).normal(size=(7, 3))
    past = past_of(rows.tolist())
    assert past.n == 7
    assert np.allclose(past.mean, rows.mean(axis=0))
    assert np.allclose(past.squares / 6, np.cov(rows, rowvar=False))


@pytest.mark.parametrize("rows", [[], [[1.0, float("nan")]], [[1.0, float("inf")]]])
def test_a_past_of_nothing_or_of_no_numbers_is_refused(rows: list[list[float]]) -> None:
    with pytest.raises(ValueError, match="finite"):
        past_of(rows)


@pytest.mark.outside(HUBER)
@pytest.mark.parametrize("seed", range(8))
def test_the_held_variance_is_the_root_of_its_equation(seed: int) -> None:
    rng = np.random.default_rng(seed)
    df = rng.integers(1, 9, size=12).astype(float)
    variances = rng.chisquare(df)[:, None] / df[:, None] * rng.uniform(0.5, 2)
    cuts = [expected(each) for each in df]

    def misses(log_s2: float) -> float:
        held = np.minimum(variances[:, 0] / np.exp(log_s2), [cut for cut, _mean in cuts])
        return float(df @ held - df @ [mean for _cut, mean in cuts])

    root = np.exp(optimize.brentq(misses, -8, 8))
    assert held_variances(variances, df)[0] == pytest.approx(root, rel=1e-4)  # sixty rounds of a fixed point


def test_even_lines_give_a_variance_that_is_right_on_average() -> None:
    rng = np.random.default_rng(5)
    df = np.full(12, 2.0)
    found = [held_variances(rng.chisquare(2, size=(12, 1)) / 2, df)[0] for _ in range(2000)]
    assert np.mean(found) == pytest.approx(1, abs=0.06)  # a scale is unbiased only for many lines


@pytest.mark.parametrize("odd", [1, 2])
def test_a_line_or_two_with_swapped_lots_hardly_widen_the_spread(odd: int) -> None:
    rng = np.random.default_rng(6)
    lines = [past_of(rng.normal(0, 1, size=(2, 1)).tolist()) for _ in range(7)]
    swapped = [past_of([[0.0], [40.0]])] * odd
    even, held = base_of(lines, [0.01]), base_of([*lines[odd:], *swapped], [0.01])
    pooled = sum(float(past.squares[0, 0]) for past in [*lines[odd:], *swapped]) / 7
    assert even is not None and held is not None
    assert held.covariance[0, 0] < 12 * even.covariance[0, 0] < pooled


def test_a_spread_below_what_can_be_measured_is_not_believed() -> None:
    base = base_of([past_of([[1.0], [1.0]])] * 5, [0.3])
    assert base is not None
    assert base.covariance[0, 0] == pytest.approx(0.09)


def test_lines_with_one_lot_say_nothing_of_the_spread() -> None:
    assert base_of([past_of([[1.0]]), past_of([[2.0]])], [0.1]) is None
    base = base_of([past_of([[1.0]]), past_of([[2.0], [2.5]])], [0.1])
    assert base is not None
    assert base.lines == 1


@pytest.mark.outside(SHRINK)
@pytest.mark.parametrize(
    ("r", "df", "wanted"),
    [
        (((1, 0.5), (0.5, 1)), 10, 0.5625 / 10 / 0.25),
        (((1, 0.9), (0.9, 1)), 4, 0.0361 / 4 / 0.81),
        (((1, 0.1), (0.1, 1)), 5, 1.0),
        (((1, 0.6, 0.3), (0.6, 1, -0.2), (0.3, -0.2, 1)), 20, (0.4096 + 0.8281 + 0.9216) / 20 / 0.49),
        (((1, 0), (0, 1)), 50, 1.0),
    ],
)
def test_correlations_are_drawn_to_none_as_the_formula_says(r, df, wanted) -> None:
    assert shrink_by(np.array(r, dtype=float), df) == pytest.approx(wanted)


def test_many_lots_keep_their_correlations() -> None:
    rng = np.random.default_rng(3)
    r = np.array([[1, 0.8], [0.8, 1]])
    lines = [past_of(rng.multivariate_normal([0, 0], r, size=20).tolist()) for _ in range(60)]
    base = base_of(lines, [0.01, 0.01])
    assert base is not None
    assert base.shrinkage < 0.01
    assert base.covariance[0, 1] / np.sqrt(base.covariance[0, 0] * base.covariance[1, 1]) == pytest.approx(
        0.8, abs=0.03
    )
