"""Varieties of beans told apart by shape: how often a right label is called wrong, and a wrong one found."""

import math

import numpy as np
import pytest

from grading.stats.likeness import log_density, own_squares, rank_tail, squares_off, tails_of
from grading.stats.spread import past_of
from tests.grading.stats.dry_beans import SOURCE, Beans, halves, held, lots, ranks, read

# Variety: seeds, mean of the minor axis [pixels], its coefficient of variation [%].
PUBLISHED = {
    "Barbunya": (1322, 240.309, 8.256),
    "Bombay": (522, 374.353, 6.224),
    "Cali": (1630, 236.371, 6.206),
    "Dermason": (3546, 165.657, 7.576),
    "Horoz": (1928, 184.171, 7.320),
    "Seker": (2027, 201.910, 5.420),
    "Sira": (2636, 190.800, 4.799),
}
NAMES = tuple(PUBLISHED)
LEVELS = (0.01, 0.05)
LOT = 50


@pytest.fixture(scope="module")
def beans() -> Beans:
    return read()


@pytest.mark.outside(SOURCE)
@pytest.mark.parametrize("name", NAMES)
def test_the_seeds_of_a_variety_are_all_there(beans: Beans, name: str) -> None:
    assert (beans.variety == name).sum() == PUBLISHED[name][0]


@pytest.mark.outside(SOURCE)
@pytest.mark.parametrize("name", NAMES)
def test_a_past_has_the_mean_and_the_spread_of_its_variety(beans: Beans, name: str) -> None:
    _seeds, mean, cv = PUBLISHED[name]
    past = past_of(beans.minor[beans.variety == name][:, None].tolist())
    found = math.sqrt(float(past.squares[0, 0]) / past.df)
    assert float(past.mean[0]) == pytest.approx(mean, abs=5e-4)
    assert found / float(past.mean[0]) * 100 == pytest.approx(cv, abs=5e-4)


@pytest.mark.outside(SOURCE)
@pytest.mark.parametrize("name", NAMES)
def test_lots_of_the_published_width_are_told_from_all_but_the_varieties_as_wide(name: str) -> None:
    # Lots of 50 seeds by the published mean and spread alone; Barbunya and Cali, Horoz and Sira are within 4 %.
    rng = np.random.default_rng(3)

    def drawn(variety: str, n: int) -> np.ndarray:
        _seeds, mean, cv = PUBLISHED[variety]
        return np.log(rng.normal(mean, mean * cv / 100, size=(n, LOT)).mean(axis=1))[:, None]

    by = held({variety: drawn(variety, 8) for variety in NAMES}, least=[1e-6])
    lot = drawn(name, 200)
    found = {other: float((tails_of(lot, by[other]) < 0.01).mean()) for other in NAMES}
    assert found.pop(name) < 0.05
    told = {other for other, share in found.items() if share > 0.9}
    mean = PUBLISHED[name][1]
    assert told == {other for other in found if abs(math.log(PUBLISHED[other][1] / mean)) > 0.04}


def test_single_seeds_keep_to_the_level_by_ranks_though_not_by_the_f_tail(beans: Beans) -> None:
    past_seeds, kept_out = halves(len(beans.variety), np.random.default_rng(1))
    past, fresh = lots(beans, past_seeds, 1), lots(beans, kept_out, 1)
    by = held(past)
    rank = np.concatenate([ranks(fresh[name], past[name], by[name]) for name in NAMES])
    f = np.concatenate([tails_of(fresh[name], by[name]) for name in NAMES])
    for level in LEVELS:
        # Two halves of some 6,800: the rates of both waver, each by the binomial.
        assert float((rank < level).mean()) <= level + 3 * math.sqrt(2 * level * (1 - level) / len(rank))
    assert float((f < 0.01).mean()) > 0.02  # why ranks are used where there are many: shapes are no bell curves


def test_ranks_of_many_are_those_of_each(beans: Beans) -> None:
    past = lots(beans, halves(len(beans.variety), np.random.default_rng(1))[0], 1)
    by, rows = held(past)["Sira"], past["Seker"][:5]
    own = own_squares(past["Sira"], by)
    assert ranks(rows, past["Sira"], by) == pytest.approx([rank_tail(float(t2), own) for t2 in squares_off(rows, by)])


def test_nine_seeds_in_ten_are_given_their_variety(beans: Beans) -> None:
    table = confusion(beans, 1)
    assert table.sum() == 6806
    assert np.trace(table) / table.sum() > 0.89
    off = table - np.diag(np.diag(table))
    assert {NAMES[place] for place in np.unravel_index(off.argmax(), off.shape)} == {"Dermason", "Sira"}


@pytest.mark.parametrize("few", [None, 3])
def test_lots_keep_to_the_level_and_wrong_labels_are_found(beans: Beans, few: int | None) -> None:
    right, wrong = labelled(beans, few)
    for level in LEVELS:
        assert float((right < level).mean()) <= level + 3 * math.sqrt(2 * level * (1 - level) / len(right))
    assert float((wrong < 0.01).mean()) > (0.99 if few is None else 0.9)


def test_every_lot_of_fifty_seeds_is_given_its_variety(beans: Beans) -> None:
    table = confusion(beans, LOT)
    assert np.trace(table) == table.sum() > 100


def confusion(beans: Beans, size: int) -> np.ndarray:
    """Rows: the variety of seeds or lots kept out; columns: the one whose density is highest there."""
    past_seeds, kept_out = halves(len(beans.variety), np.random.default_rng(1))
    by, fresh = held(lots(beans, past_seeds, size)), lots(beans, kept_out, size)
    table = np.zeros((len(NAMES), len(NAMES)), dtype=int)
    for row, name in enumerate(NAMES):
        best = np.array([log_density(fresh[name], by[other]) for other in NAMES]).argmax(axis=0)
        table[row] = np.bincount(best, minlength=len(NAMES))
    return table


def labelled(beans: Beans, few: int | None) -> tuple[np.ndarray, np.ndarray]:
    """Tails of lots kept out under their own variety's label and under each other one, over twenty splits."""
    rng, right, wrong = np.random.default_rng(2), [], []
    for _split in range(20):
        past_seeds, kept_out = halves(len(beans.variety), rng)
        by = held({name: rows[:few] for name, rows in lots(beans, past_seeds, LOT).items()})
        fresh = lots(beans, kept_out, LOT)
        for name in NAMES:
            for other in NAMES:
                (right if other == name else wrong).append(tails_of(fresh[name], by[other]))
    return np.concatenate(right), np.concatenate(wrong)
