"""How likely the lot itself is of each grade: its limits are held all at once, not one by one.

The factors of one portion hang together: a piece that lies in one dish does not lie in another, and totals are sums
of dishes. How they do is taken from a Dirichlet law over the dishes and the sound rest (Jeffreys: half a piece for
each), drawn with a fixed seed. Each limit keeps its own exact chance, the one that is printed beside it: a factor is
within in the draws that lie lowest for it, in as many of them as its chance says (a copula by ranks). The dishes alone
would not do: their half pieces add up in a total, which would then be less likely than its own line says.

The chance to be within all limits of a grade lies between two bounds that need no such law (Fréchet): at most the
least single chance, at least 1 less the sum of all chances to be beyond. Where these leave no doubt nothing is drawn
and the lower one is given; where they do, the draws' answer is kept between them. So no grade is likelier than its
tightest limit.

numpy is imported inside the functions, because a web process must start without it.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

METHOD = "each limit by its own Beta, all together by seeded Dirichlet draws within Fréchet's bounds"
DRAWS, SEED = 4_000, 889
NO_DOUBT = 0.0005  # between the bounds; less than a tenth of the last digit that is said


@dataclass(frozen=True, slots=True)
class Dish:
    """What lay in a dish: its share of its basis [1], and the pieces that the basis stands for [1]."""

    share: float
    n: float


@dataclass(frozen=True, slots=True)
class Held:
    """A factor that is held to limits.

    Attributes:
        dishes: names of the dishes it sums; one, if it is a dish.
        limits: grade -> a share [1]; a grade that is not named sets none.
        within: grade -> chance to be within that limit alone [1].
    """

    dishes: tuple[str, ...]
    limits: Mapping[str, float]
    within: Mapping[str, float]


@dataclass(frozen=True)
class GradeChances:
    """Works out the chances of a portion's lot to be of each grade.

    Attributes:
        factors: all that are held to limits.
        dishes: name -> what lay in it; those that only one factor names as well.
    """

    factors: Sequence[Held]
    dishes: Mapping[str, Dish]

    def within_all(self, grade: str) -> float:
        """Give the chance to be within every limit of one grade [1]; 1 where it sets none."""
        held = sorted((one for one in self.factors if grade in one.limits), key=lambda one: one.within[grade])
        if not held:
            return 1.0
        most, least = held[0].within[grade], max(0.0, 1 - sum(1 - one.within[grade] for one in held))
        if most - least < NO_DOUBT:
            return least
        first, *others = (self._drawn_within(one, grade) for one in held)
        another_beyond: Any = False
        for other in others:
            another_beyond |= ~other
        return min(most, max(least, most - float((first & another_beyond).mean())))

    def of_each(self, best_first: Sequence[str]) -> dict[str, float]:
        """Give the chance that the lot is of each grade: within all its limits, and of no better grade.

        Args:
            best_first: the grades that are possible, in the order in which they win.

        Returns:
            Grade -> chance [1]; they sum to 1 with that of being of none, which stands under "".
        """
        chances, so_far = {}, 0.0
        for place, grade in enumerate(best_first):
            at_least = max(so_far, self._within_one_of(best_first[: place + 1]))
            chances[grade], so_far = at_least - so_far, at_least
        return {**chances, "": 1 - so_far}

    def _within_one_of(self, grades: Sequence[str]) -> float:
        """The chance to be within all limits of at least one; on a ladder that is the last one's chance."""
        last = self.within_all(grades[-1])
        if all(self._is_wider(grades[-1], grade) for grade in grades[:-1]):
            return last
        found: Any = False
        for grade in grades:
            row: Any = True
            for one in self.factors:
                row = row & self._drawn_within(one, grade) if grade in one.limits else row
            found = found | row
        return max(last, float(found.mean()) if hasattr(found, "mean") else 1.0)

    def _is_wider(self, grade: str, than: str) -> bool:
        """Whether what is within all limits of one grade is always within those of another."""
        return all(
            than in one.limits and one.limits[than] <= limit
            for one in self.factors
            if (limit := one.limits.get(grade)) is not None
        )

    def _drawn_within(self, factor: Held, grade: str) -> Any:
        """Of each draw, whether a factor is within a grade's limit: the lowest draws, as many as its chance says."""
        import numpy as np  # noqa: PLC0415 - a web process starts without numpy

        values = sum(self._draws[dish] for dish in factor.dishes)
        within = math.floor(factor.within[grade] * DRAWS + 0.5)
        if within in (0, DRAWS):
            return np.full(DRAWS, bool(within))
        return values <= np.partition(values, within - 1)[within - 1]

    @cached_property
    def _draws(self) -> dict[str, Any]:
        """Dish -> drawn shares of the lot; dishes on one basis together, those on another apart."""
        import numpy as np  # noqa: PLC0415 - a web process starts without numpy

        drawn: dict[str, Any] = {}
        for place, n in enumerate(dict.fromkeys(dish.n for dish in self.dishes.values())):
            names = [name for name, dish in self.dishes.items() if dish.n == n]
            found = np.array([self.dishes[name].share * n for name in names])
            shapes = np.append(found, max(0.0, n - found.sum())) + 0.5
            gammas = _gammas(shapes, _deviates(len(shapes), place))
            drawn |= dict(zip(names, gammas[:-1] / gammas.sum(axis=0), strict=True))
        return drawn


def _gammas(shapes: Any, deviates: Any) -> Any:
    """Turn normal deviates into gamma ones, near enough for their ranks (Wilson & Hilferty, 1931)."""
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    shapes = shapes[:, None].astype(np.float32)
    cubed = 1 - 1 / (9 * shapes) + deviates / (3 * np.sqrt(shapes))
    return shapes * np.maximum(cubed, 0) ** 3


@lru_cache(maxsize=64)
def _deviates(rows: int, place: int) -> Any:
    """The same normal deviates for every portion: a row for each dish and the sound rest."""
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    return np.random.default_rng((SEED, place)).standard_normal((rows, DRAWS), dtype=np.float32)
