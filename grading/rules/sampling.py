"""Was the sampling enough: what a scheme asks against what was probed."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from grading.rules.mistakes import OutOfRange, UnknownWord
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.rounding import half_up


@dataclass(frozen=True, slots=True)
class Scheme:
    """A sampling rule.

    Attributes:
        id: our short name.
        counts: what its size counts, in the plural; "kg" for bulk.
        what: what it asks for, in the plural.
        asked: size -> how many it asks for.
        source: title, year, clause; or that there is none.
    """

    id: str
    counts: str
    what: str
    asked: Callable[[int], int]
    source: str


@dataclass(frozen=True, slots=True)
class Sampling:
    """What was asked and what was probed."""

    scheme: Scheme
    size: int
    probed: int
    asked: int

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


def _always(points: int) -> Callable[[int], int]:
    return lambda _size: points


_OURS = "a station's own practice, no source"
SCHEMES: Mapping[str, Scheme] = {
    scheme.id: scheme
    for scheme in (
        Scheme("bins", "bins", "points", _always(8), _OURS),
        Scheme("totes", "totes", "points", _always(10), _OURS),
        Scheme("bags", "bags", "bags", bags_to_probe, "WAC 16-301-095; 7 CFR 201.41"),
        Scheme("bag-cores", "bags", "cores", bag_cores, "WAC 16-301-095"),
        Scheme("containers", "containers", "primary samples", container_samples, "SSI 2005/328, Sch. 5, para. 6"),
        Scheme("bulk", "kg", "primary samples", bulk_samples, "SSI 2005/329, Sch. 5, para. 11"),
    )
}


def sampling(scheme: str, size: int, probed: int) -> Sampling:
    """Compare what was probed with what the scheme asks.

    Args:
        scheme: a name of `SCHEMES`.
        size: bags, containers or kg in the lot, over 0.
        probed: points, bags or primary samples that were taken, 0 or more.

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
    return Sampling(rule, size, probed, rule.asked(size))
