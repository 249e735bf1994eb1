"""What stands on sample tags: number, class and code, and nothing that tells a grader whose it is."""

from collections.abc import Sequence

from django.utils.translation import gettext

from grading.models import Sample
from inventory.models import Label, Station
from inventory.papers.labels import SampleTag
from inventory.queries.label_texts import copy_words
from inventory.rules.label_codes import LabelKind, label_code


def sample_tags(station: Station, rows: Sequence[Label]) -> list[SampleTag]:
    """Read the tags that were printed, in their order (1 query)."""
    numbers = [row.name for row in rows if row.what == "sample"]
    samples = Sample.objects.filter(station=station, number__in=numbers).order_by("take")
    known = {one.number: one for one in samples.select_related("lot__standing__market_class")}
    return [_tag(known[row.name], row.copy) for row in rows if row.what == "sample"]


def _tag(sample: Sample, copy: int) -> SampleTag:
    market_class = sample.lot.standing.market_class
    return SampleTag(
        number=sample.number,
        digits=label_code(LabelKind.SAMPLE, sample.pk),
        market_class=market_class.name if market_class else "",
        stub=gettext("file sample"),
        copy=copy_words(copy),
    )
