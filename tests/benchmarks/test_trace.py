"""The lots that tracing is timed on."""

import pytest

from benchmarks.trace import fill
from inventory.models import Link, Lot
from inventory.queries.walking import walk

pytestmark = pytest.mark.django_db


def test_the_timed_lineage_is_rich_in_blends_and_has_no_circle() -> None:
    fill(1_400)
    links = Link.objects.count() / Lot.objects.count()
    assert 1.1 < links < 1.45
    reached = walk([8 * 1_400])
    assert len({row.node for row in reached.rows}) > 14
    assert all(row.other is None or row.other < row.node for row in reached.rows)
