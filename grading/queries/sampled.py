"""What was probed of a lot against what its scheme asked, as it was written down with the sample."""

from decimal import Decimal

from grading.models import Sample
from grading.rules.sampling import SCHEMES, Sampling
from inventory.rules.mass import MG_PER_G

NOT_SAID = "How the sample was drawn was not given: nothing says whether that was enough."


def sampling_of(sample: Sample, worked_g: Decimal | None = None) -> Sampling | None:
    """Give a sample's sampling.

    Args:
        sample: as it stands in the books; what its scheme asked is what was kept with it.
        worked_g: weight of the portion [g].

    Returns:
        None where it was not written down how many were probed, or the scheme is no longer known.
    """
    scheme = SCHEMES.get(sample.scheme)
    if scheme is None or sample.points_probed is None:
        return None
    lot_kg = Decimal(sample.size) if scheme.counts == "kg" else None
    drawn_g = Decimal(sample.drawn_mg) / MG_PER_G if sample.drawn_mg else None
    return Sampling(scheme, sample.size, sample.points_probed, sample.points_asked, lot_kg, drawn_g, worked_g)


def sampling_notes(sample: Sample, sampling: Sampling | None) -> list[str]:
    """Say what was probed and what the rule asks, and everything that was short."""
    if sample.points_probed is None:
        return [f"How many points were probed was not written down; the rule asks {sample.points_asked}."]
    short = ("The sampling was short.",) if sample.points_probed < sample.points_asked else ()
    cautions = short if sampling is None else sampling.cautions
    by = f" ({sampling.scheme.id}: {sampling.scheme.source})" if sampling else ""
    said = f"{sample.points_probed} {sampling.scheme.what if sampling else 'points'} probed"
    return [" ".join((f"{said}; the rule asks {sample.points_asked}{by}.", *cautions))]


def sampling_line(sample: Sample) -> str:
    """Say it on one short line, for a lot's page."""
    if sample.points_probed is None:
        return f"points not written down; the rule asks {sample.points_asked}"
    scheme = SCHEMES.get(sample.scheme)
    what = scheme.what if scheme else "points"
    short = ": short" if sample.points_probed < sample.points_asked else ""
    return f"{sample.points_probed} {what} probed; the rule asks {sample.points_asked}{short}"
