"""What lies on the bench: samples that wait for a portion, blind ones like all others, and what was graded last."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef

from grading.models import Portion, Sample
from grading.queries.finding import standing_portions, standing_samples
from inventory.models import Station

MOST = 200


@dataclass(frozen=True)
class OnBench:
    """A sample that waits; nothing of it tells a blind one from another.

    Attributes:
        since: when it was drawn, or laid out again.
    """

    number: str
    class_name: str
    since: datetime


def waiting_samples(station: Station, most: int = MOST) -> list[OnBench]:
    """List samples without a portion, the one that waits longest first (1 query)."""
    graded = standing_portions(station).filter(sample=OuterRef("pk"))
    rows = standing_samples(station).filter(~Exists(graded)).select_related(
        "operation", "lot__standing__market_class", "lot__standing__line"
    )  # fmt: skip
    return [
        OnBench(row.number, _class_of(row), row.operation.at)
        for row in rows.order_by("operation__at", "operation__seq")[:most]
    ]


def last_graded(station: Station, most: int = 20) -> list[Portion]:
    """Give the newest portions in the books, the newest first (1 query)."""
    return list(standing_portions(station).order_by("-operation__at", "-operation__seq")[:most])


def _class_of(sample: Sample) -> str:
    standing = getattr(sample.lot, "standing", None)
    return standing.market_class.name if standing and standing.market_class else ""
