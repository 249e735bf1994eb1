"""The Dry Bean data: 13,611 single seeds of seven varieties, by camera; lengths are pixels, and none was weighed.

Koklu, Ozkan, "Multiclass classification of dry beans using computer vision and machine learning techniques", Computers
and Electronics in Agriculture 174 (2020) 105507, doi:10.1016/j.compag.2020.105507. The file is not ours to hand on: it
is read where DRY_BEAN_CSV names it, or from data/dry_bean in a folder beside this project.
"""

import csv
import hashlib
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from grading.stats.likeness import Held, hold, own_squares, squares_off
from grading.stats.spread import base_of, past_of

FILE = "Dry_Bean_Dataset.csv"
SHA256 = "41457e55bb07426ecf613c95b9429660e2c4c43ecf4673d8b5c7a69ac88055ef"
SOURCE = "Koklu, Ozkan, Comput. Electron. Agric. 174 (2020) 105507: the Dry Bean data, pixels"
LEAST = (1e-6,) * 3


@dataclass(frozen=True)
class Beans:
    """Seeds.

    Attributes:
        variety: of each seed, shape (n,).
        minor: minor axis [pixels], shape (n,).
        shape: ln of both axes and the roundness 4 pi area / perimeter², shape (n, 3).
    """

    variety: np.ndarray
    minor: np.ndarray
    shape: np.ndarray


def read() -> Beans:
    """Read the seeds, or skip the test where they are not."""
    path = _path()
    if path is None or hashlib.sha256(path.read_bytes()).hexdigest() != SHA256:
        pytest.skip(f"the Dry Bean data is not here: name a whole {FILE} (UCI 602) in DRY_BEAN_CSV")
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    major, minor, roundness = (
        np.array([float(row[name]) for row in rows]) for name in ("MajorAxisLength", "MinorAxisLength", "roundness")
    )
    variety = np.array([row["Class"].capitalize() for row in rows])
    return Beans(variety, minor, np.column_stack([np.log(major), np.log(minor), roundness]))


def _path() -> Path | None:
    named = os.environ.get("DRY_BEAN_CSV")
    beside = sorted(Path(__file__).parents[4].glob(f"*/data/dry_bean/{FILE}"))
    found = [path for path in ([Path(named)] if named else beside) if path.is_file()]
    return found[0] if found else None


def halves(n: int, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Two halves of n seeds, by chance."""
    order = rng.permutation(n)
    return order[: n // 2], order[n // 2 :]


def lots(beans: Beans, seeds: np.ndarray, size: int) -> dict[str, np.ndarray]:
    """Means of so many seeds of each variety, in the order given; what is left over is left out."""
    made = {}
    for name in sorted(set(beans.variety)):
        shape = beans.shape[seeds[beans.variety[seeds] == name]]
        whole = len(shape) // size
        made[name] = shape[: whole * size].reshape(whole, size, 3).mean(axis=1)
    return made


def held(past: dict[str, np.ndarray], least: Sequence[float] = LEAST) -> dict[str, Held]:
    """Each variety's past as a lot is judged by it."""
    sums = {name: past_of(rows.tolist()) for name, rows in past.items()}
    found = {}
    for name, own in sums.items():
        it = hold(own, base_of([other for also, other in sums.items() if also != name], least))
        assert it is not None
        found[name] = it
    return found


def ranks(rows: np.ndarray, past: np.ndarray, by: Held) -> np.ndarray:
    """`rank_tail` of many rows at once."""
    own = np.sort(own_squares(past, by))
    below = np.searchsorted(own, squares_off(rows, by), side="left")
    return (1 + len(own) - below) / (1 + len(own))
