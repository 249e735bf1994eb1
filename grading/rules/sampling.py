"""Was the sampling enough: what a scheme asks against what was probed, drawn and worked."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Any

from grading.rules.mistakes import OutOfRange, UnknownWord
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.rounding import half_up


@dataclass(frozen=True, slots=True)
class Demands:
    """What a source asks beside the number of points; None where it says nothing.

    Attributes:
        largest_lot_kg: above it a lot counts as several [kg].
        excess_pct: by how much a lot may be larger all the same [%].
        least_drawn_g: least sample to send in [g].
        least_worked_g: least portion to work [g].
        source: title, year, clause.
    """

    largest_lot_kg: int | None = None
    excess_pct: int = 0
    least_drawn_g: int | None = None
    least_worked_g: int | None = None
    source: str = ""

    @property
    def most_kg(self) -> Decimal | None:
        """The largest lot with the excess that is let pass [kg]."""
        return None if self.largest_lot_kg is None else Decimal(self.largest_lot_kg * (100 + self.excess_pct)) / 100


@dataclass(frozen=True, slots=True)
class Scheme:
    """A sampling rule.

    Attributes:
        id: our short name.
        counts: what its size counts, in the plural; "kg" for bulk.
        what: what it asks for, in the plural.
        asked: size -> how many it asks for.
        source: title, year, clause; or that there is none.
        demands: what it asks beside.
    """

    id: str
    counts: str
    what: str
    asked: Callable[[int], int]
    source: str
    demands: Demands = Demands()


@dataclass(frozen=True, slots=True)
class Sampling:
    """What was asked and what was probed.

    Attributes:
        scheme: the rule.
        size: bags, containers or kg in the lot.
        probed, asked: points, bags or primary samples.
        lot_kg: mass of the lot [kg]; None if it is not known.
        drawn_g, worked_g: what was drawn and what was worked of it [g]; None if it is not known.
    """

    scheme: Scheme
    size: int
    probed: int
    asked: int
    lot_kg: Decimal | None = None
    drawn_g: Decimal | None = None
    worked_g: Decimal | None = None

    @property
    def is_enough(self) -> bool:
        """Whether at least as many were probed as asked."""
        return self.probed >= self.asked

    @property
    def says(self) -> str:
        """The sentence for the result: "7 of 23 bags probed; the rule asks 7." """
        if self.scheme.what == self.scheme.counts:
            return f"{self.probed} of {self.size} {self.scheme.what} probed; the rule asks {self.asked}."
        return f"{self.probed} of {self.asked} {self.scheme.what} probed."

    @property
    def cautions(self) -> tuple[str, ...]:
        """A sentence for everything in which it falls short of what the source asks."""
        asks = self.scheme.demands
        short = [] if self.is_enough else ["The sampling was short."]
        if self.lot_kg is not None and asks.most_kg is not None and self.lot_kg > asks.most_kg:
            lots = ceil(self.lot_kg / asks.most_kg)
            over = f"The lot of {self.lot_kg:,f} kg is over the largest of {asks.largest_lot_kg:,} kg"
            more = f" and {asks.excess_pct} %" if asks.excess_pct else ""
            short.append(f"{over}{more}: sample it as {lots} lots ({asks.source}).")
        for what, grams, least in (
            ("drawn", self.drawn_g, asks.least_drawn_g), ("worked", self.worked_g, asks.least_worked_g)
        ):  # fmt: skip
            if grams is not None and least is not None and grams < least:
                short.append(f"{grams:f} g were {what}; at least {least} g are asked ({asks.source}).")
        return tuple(short)

    @property
    def as_json(self) -> dict[str, Any]:
        """What was asked and probed as named values."""
        asks = self.scheme.demands
        return {
            "scheme": self.scheme.id, "counts": self.scheme.counts, "size": self.size, "what": self.scheme.what,
            "asked": self.asked, "probed": self.probed, "enough": self.is_enough, "says": self.says,
            "cautions": list(self.cautions), "source": self.scheme.source, "largest_lot_kg": asks.largest_lot_kg,
            "least_drawn_g": asks.least_drawn_g, "least_worked_g": asks.least_worked_g,
            "demands_source": asks.source,
        }  # fmt: skip


def bags_to_probe(bags: int) -> int:
    """Count the bags to probe: all of up to 6, else 5 and a tenth of the bags (nearest, half up), never over 30.

    Source: Washington Administrative Code 16-301-095 (the same numbers in 7 CFR 201.41, 76 FR 31794, 2011).
    """
    return bags if bags <= 6 else min(30, 5 + int(half_up(Fraction(bags, 10), 0)))


def bag_cores(bags: int) -> int:
    """Count the cores to take from bags: one a bag probed, and at least 5 in all (WAC 16-301-095)."""
    return max(5, bags_to_probe(bags))


def container_samples(containers: int) -> int:
    """Count primary samples from containers of 15 to 100 kg.

    Source: Cereal Seed (Scotland) Regulations 2005, SSI 2005/328, Schedule 5, paragraph 6.
    """
    if containers <= 15:
        return containers * (3 if containers <= 4 else 2 if containers <= 8 else 1)
    return 15 if containers <= 30 else 20 if containers < 60 else 30


def bulk_samples(kg: int) -> int:
    """Count primary samples from bulk or large containers; part of a step counts as a whole one (cautious reading).

    Source: Fodder Plant Seed (Scotland) Regulations 2005, SSI 2005/329, Schedule 5, paragraph 11.
    """
    if kg <= 500:
        return 5
    step, least = (300, 5) if kg <= 3000 else (500, 10) if kg <= 20000 else (700, 40)
    return max(least, ceil(kg / step))


def cargo_samples(kg: int) -> int:
    """Count primary samples from a loaded shipping container: one for each 4 t, and at least 5, evenly in time.

    Source: Canadian Grain Commission, Sampling Systems Handbook, chapter 4: 5 or more of a 20 t container.
    """
    return max(5, ceil(kg / 4000))


def _each(points: int) -> Callable[[int], int]:
    return lambda size: points * size


def _always(points: int) -> Callable[[int], int]:
    return lambda _size: points


_OURS = "a station's own practice, no source"
_TRUCKS = "Canadian Canola Growers Association, Know Your Grade: sampling, citing the Canadian Grain Commission"
_UK_BEANS = Demands(
    30_000, 5, least_drawn_g=700, source="Vegetable Seeds Regulations 1993, SI 1993/2008, Sch. 5, Part II: French bean"
)
_US_BEANS = Demands(least_worked_g=500, source="7 CFR 201.46, Table 1: purity of field bean")
_CA_GRAIN = Demands(least_drawn_g=1000, source="Canada Grain Regulations, C.R.C., c. 889, s. 7(2)(a)")
SCHEMES: Mapping[str, Scheme] = {
    scheme.id: scheme
    for scheme in (
        Scheme("bins", "bins", "points", _always(8), _OURS),
        Scheme("totes", "totes", "points", _always(10), _OURS),
        Scheme("bags", "bags", "bags", bags_to_probe, "WAC 16-301-095; 7 CFR 201.41", _US_BEANS),
        Scheme("bag-cores", "bags", "cores", bag_cores, "WAC 16-301-095", _US_BEANS),
        Scheme(
            "containers", "containers", "primary samples", container_samples, "SSI 2005/328, Sch. 5, para. 6", _UK_BEANS
        ),
        Scheme("bulk", "kg", "primary samples", bulk_samples, "SSI 2005/329, Sch. 5, para. 11", _UK_BEANS),
        Scheme("truck", "trucks", "probes", _each(8), _TRUCKS, _CA_GRAIN),
        Scheme("split-truck", "trucks", "probes", _each(10), f"{_TRUCKS}: partitioned, or with a trailer", _CA_GRAIN),
        Scheme(
            "shipping-container",
            "kg",
            "primary samples",
            cargo_samples,
            "Canadian Grain Commission, Sampling Systems Handbook, ch. 4",
            _CA_GRAIN,
        ),
    )
}


def sampling(
    scheme: str, size: int, probed: int, *, lot_kg: Decimal | None = None, drawn_g: Decimal | None = None,
    worked_g: Decimal | None = None,
) -> Sampling:  # fmt: skip
    """Compare what was probed with what the scheme asks.

    Args:
        scheme: a name of `SCHEMES`.
        size: bags, containers or kg in the lot, over 0.
        probed: points, bags or primary samples that were taken, 0 or more.
        lot_kg: mass of the lot [kg]; where the scheme counts kg, its size is that.
        drawn_g, worked_g: what was drawn, and what was worked of it [g].

    Raises:
        Refused: an unknown scheme, or numbers that no lot has.
    """
    mistakes: list[Mistake] = []
    if scheme not in SCHEMES:
        mistakes.append(UnknownWord("sampling scheme", scheme, SCHEMES, "scheme"))
    if size < 1:
        mistakes.append(OutOfRange(f"The lot has {size} parts. Say how many bags, containers or kg.", field="size"))
    if probed < 0:
        mistakes.append(OutOfRange(f"{probed} were probed. Give 0 or more.", field="probed"))
    if mistakes:
        raise Refused(mistakes)
    rule = SCHEMES[scheme]
    found = Sampling(rule, size, probed, rule.asked(size), lot_kg, drawn_g, worked_g)
    return replace(found, lot_kg=Decimal(size)) if lot_kg is None and rule.counts == "kg" else found
