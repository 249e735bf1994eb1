"""No page asks the books more often at 10,000 lots than at 100, and none more than thirty times.

How long they take is measured by hand, since a test's clock would fail on a busy machine: `HILUM_SECONDS=yes bin/test
tests/test_many_lots.py -s` prints the seconds of each at 10,000 lots in store. On one core all were near one second at
most but the piece of "Look at these" that judges every lot that was measured: three to four, after its page.
"""

import os
import time
from collections.abc import Iterator

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.queries.lot_questions import lot_questions
from tests.make import house
from tests.many import add_lots, number_of

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
FEW, MANY = 100, 10_000
MOST_QUERIES = 30
LOT = number_of(8)
PAGES = (
    "/", "/area/floor/", "/area/bench/", "/area/breeding/", "/lots/", f"/lots/{LOT}/", f"/trace/{LOT}/", "/changes/",
    "/floor/wet/", "/floor/today/", "/floor/places/", "/floor/moves/", "/floor/holds/", "/floor/still-out/",
    "/floor/shipments/", "/floor/count/?place=W-8", "/of/place/W-8/", "/print/", "/recall/",
    "/line/", "/line/order/", "/line/losses/", "/line/bagging/", "/do/receive/", "/do/blend/?parts.2.lot=",
    "/lines/", "/of/line/W-8/", "/season/W-8/",
    "/records/", "/records/look/", "/records/look/?part=all", "/records/lines/", "/records/lists/", "/records/loads/",
    "/bench/samples/", "/bench/file-samples/", "/bench/tests/", "/bench/graders/", "/bench/recleaning/", "/bench/pan/",
    "/bench/papers/",
)  # fmt: skip


def pages() -> Iterator[str]:
    yield from PAGES
    yield from (f"/lots/?that={question.name}" for question in lot_questions(""))


def asked(client: Client) -> dict[str, int]:
    found = {}
    for page in pages():
        begun = time.process_time()
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(page)
        assert answer.status_code == 200, page
        found[page] = len(queries)
        if os.environ.get("HILUM_SECONDS"):
            print(f"{time.process_time() - begun:6.2f} s {len(queries):3} {page}")  # noqa: T201 - asked for
    return found


def test_ten_thousand_lots_cost_no_more_queries_than_a_hundred(client: Client) -> None:
    plant = house()
    client.force_login(plant.records)
    add_lots(plant, 0, FEW)
    few = asked(client)
    add_lots(plant, FEW, MANY)
    many = asked(client)
    assert many == few
    assert {page: times for page, times in many.items() if times > MOST_QUERIES} == {}
