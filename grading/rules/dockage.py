"""Dockage: what is sieved and picked off the uncleaned sample before anything is graded."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from grading.rules.mistakes import DockageHeavierThanGross, NoPortion, PortionHeavierThanCleaned
from grading.rules.rounding import read_as
from inventory.rules.mistakes import Mistake


@dataclass(frozen=True, slots=True)
class Dockage:
    """Dockage of one sample.

    Attributes:
        share: dockage by gross, exact [1].
        read_pct: as reported, % of the gross weight.
        cleaned_g: gross less dockage [g].
    """

    share: Fraction
    read_pct: Decimal
    cleaned_g: Decimal


def dockage(gross_g: Decimal, dockage_g: Decimal, written: str = "0.1") -> Dockage:
    """Report dockage on the gross weight.

    Args:
        gross_g: the uncleaned sample, over 0 [g].
        dockage_g: what was taken off, less than gross [g].
        written: the precision as a written step; "0.1" reads to the nearest tenth.

    Raises:
        DockageHeavierThanGross: nothing would be left.

    Ties go up: the guide says "to the nearest 0.1%" and no more, so we take the half-up rule of Schedule 3, s. 1.

    Source: Canadian Grain Commission, Official Grain Grading Guide, 19 Beans, "Determination of dockage": assessed on
        the gross weight of the sample and recorded to the nearest 0.1 %.
    """
    if not 0 <= dockage_g < gross_g:
        raise DockageHeavierThanGross(gross_g, dockage_g)
    share = Fraction(dockage_g) / Fraction(gross_g)
    return Dockage(share, read_as(share * 100, written), gross_g - dockage_g)


def portion_mistakes(portion_g: Decimal, gross_g: Decimal | None, dockage_g: Decimal | None) -> list[Mistake]:
    """Check that the portion can have come out of the sample.

    Args:
        portion_g: what was picked through [g].
        gross_g: the uncleaned sample, if there was dockage [g].
        dockage_g: what was taken off [g].
    """
    if portion_g == 0:
        return [NoPortion()]
    if gross_g is None or dockage_g is None:
        return []
    if dockage_g >= gross_g:
        return [DockageHeavierThanGross(gross_g, dockage_g)]
    if portion_g > gross_g - dockage_g:
        return [PortionHeavierThanCleaned(portion_g, gross_g, dockage_g)]
    return []
