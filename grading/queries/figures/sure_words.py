"""What the figures on sureness read and write alike: counts that fit, levels, chances and shares in per cent."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from grading.queries.figures.given import given
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import field_words

MOST_G, MOST_PIECES = 1_000_000, 1_000_000_000
LEAST_G = "0.001"
HEAVIEST_SEED = 1_000  # grams of a hundred
JEFFREYS = "Brown, Cai & DasGupta (2001) Statist. Sci. 16:101-133: Jeffreys' Beta(k + 1/2, n - k + 1/2)"
PICKING_ALONE = "Picking chance alone, of a sample that was fairly drawn: advice, never a verdict."


class MoreThanLookedAt(Mistake):
    """More was found than was looked at."""

    code = "more_than_looked_at"

    def __init__(self, field: str, found: Decimal, of: Decimal, unit: str = "") -> None:
        said = unit and f" {unit}"
        says = f"{field_words(field)} is {found:f}{said}, more than the {of:f}{said} that were looked at."
        super().__init__(f"{says} Check both.", field=field)


class OutOfOrder(Mistake):
    """Two numbers of which the second must be the larger."""

    code = "out_of_order"


@dataclass(frozen=True, slots=True)
class Picked:
    """What was picked of a portion, and the pieces that it stands for."""

    defect_g: Decimal
    portion_g: Decimal
    seed_weight: Decimal

    @property
    def n(self) -> float:
        """Pieces in the portion, as many as seeds of this weight [1]."""
        return float(self.portion_g * 100 / self.seed_weight)

    @property
    def found(self) -> float:
        """Pieces found [1]."""
        return float(self.defect_g * 100 / self.seed_weight)

    @property
    def pct(self) -> str:
        """Share by weight [%]."""
        return f"{float(self.defect_g / self.portion_g) * 100:.4f}"

    @property
    def formula(self) -> str:
        """The number of pieces with its numbers."""
        return f"{self.portion_g:f} g / ({self.seed_weight:f} g / 100) = {self.n:.1f} pieces"


def read_level(words: Gathering, typed: Any, field: str = "level_pct", most: str = "99.99") -> Decimal | None:
    """Read a level or a wanted chance in per cent, 50 to almost 100."""
    return words.number(typed, field, unit="%", least=50, most=most, example="95")


def read_counted(words: Gathering, found: Any, of: Any, fields: tuple[str, str] = ("found", "of")) -> tuple[Any, Any]:
    """Read pieces found and looked at; both None unless they fit."""
    some = words.whole(found, fields[0], most=MOST_PIECES, example="3")
    all_ = words.whole(of, fields[1], least=1, most=MOST_PIECES)
    if some is None or all_ is None:
        return None, None
    if some > all_:
        words.add(MoreThanLookedAt(fields[0], Decimal(some), Decimal(all_)))
        return None, None
    return some, all_


def read_grams(words: Gathering, found: Any, of: Any, fields: tuple[str, str] = ("defect_g", "portion_g")) -> Any:
    """Read what was found and its portion in grams; both None unless they fit."""
    some = words.number(found, fields[0], unit="g", least=0, most=MOST_G, example="8.2")
    all_ = words.number(of, fields[1], unit="g", least=LEAST_G, most=MOST_G, example="500")
    if some is None or all_ is None:
        return None, None
    if some > all_:
        words.add(MoreThanLookedAt(fields[0], some, all_, "g"))
        return None, None
    return some, all_


def read_picked(words: Gathering, defect: Any, portion: Any, seed_weight: Any) -> Picked:
    """Read a picked portion; refuses with all that was gathered before where something is wrong."""
    some, all_ = read_grams(words, defect, portion)
    each = words.number(
        seed_weight, "seed_weight_g_per_100", unit="g", least=LEAST_G, most=HEAVIEST_SEED, example="18.2"
    )  # fmt: skip
    words.finish()
    return Picked(given(some), given(all_), given(each))


def share_of(pct: Decimal | None) -> float:
    """Turn a per cent that was read into a share [1]."""
    return float(given(pct) / 100)


def pct(share: float, places: int = 4) -> str:
    """Write a share in per cent."""
    return f"{share * 100:.{places}f}"
