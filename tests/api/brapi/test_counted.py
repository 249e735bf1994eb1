"""A page of a long book of transactions: it holds what all of them told at once would, and reads its own acts alone."""

from array import array
from typing import Any

import pytest
from django.db import OperationalError

from api.brapi import counted as module
from api.brapi.counted import Counted, counted
from api.brapi.transactions import InOrder, told_acts
from inventory.models import Operation
from tests.api.brapi.asking import Client, client_of
from tests.api.brapi.test_seed import done
from tests.make import House, cleaned, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    plant = house()
    raw = received(plant)
    cleaned(plant, raw, "798", "741.2")
    first, second = received(plant, "100", plot="ST24-N-2-1"), received(plant, "200", plot="ST24-N-2-2")
    parts = [{"lot": first.number, "loose": "100"}, {"lot": second.number, "loose": "200"}]
    done(plant, "blend", {"parts": parts, "place": "A-01"})
    done(plant, "note", {"plot": "ST24-N-1-1", "variable": "standing", "value": "2"})
    other = received(plant, "50", plot="ST24-N-1-2")
    done(plant, "move", {"lot": other.number, "to": "A-01"})
    return plant


@pytest.fixture
def who(plant: House) -> Client:
    return client_of(plant)


def told_at_once(plant: House) -> list[dict[str, Any]]:
    return told_acts(Operation.objects.filter(station=plant.station))


@pytest.mark.parametrize("size", [1, 2, 3, 5, 100])
def test_pages_one_after_another_are_all_transactions_in_the_order_of_the_chain(plant: House, size: int) -> None:
    whole, rows = told_at_once(plant), InOrder(plant.station)
    paged = [row for start in range(0, len(whole) + size, size) for row in rows[start : start + size]]
    assert paged == whole and len(rows) == len(whole) > 7
    assert rows[3] == whole[3]


def test_what_is_booked_later_is_counted_too_and_nothing_of_another_station(plant: House, who: Client) -> None:
    before = who.get("seedlots/transactions")["metadata"]["pagination"]["totalCount"]
    received(plant, "5", plot="ST24-N-1-2")
    received(house("OT"), "10", plot="ST24-N-1-1")
    answer = who.get("seedlots/transactions")
    assert answer["metadata"]["pagination"]["totalCount"] == before + 1 == len(answer["result"]["data"])


def test_books_that_are_others_than_those_counted_are_counted_anew(plant: House) -> None:
    module._KNOWN[plant.station.pk] = Counted(array("q", [1, 2]), array("q", [5, 9]), 3, "of other books")
    assert counted(plant.station).total == len(told_at_once(plant))


def test_a_count_that_breaks_off_counts_nothing_twice(plant: House, monkeypatch: pytest.MonkeyPatch) -> None:
    counted(plant.station)
    for _time in range(2):
        received(plant, "5", plot="ST24-N-1-2")
    in_act, answers = module._transactions_in, iter([1])

    def breaks(_entries: Any) -> int:
        if (count := next(answers, None)) is None:
            raise OperationalError("the server closed the connection")
        return count

    monkeypatch.setattr(module, "_transactions_in", breaks)
    with pytest.raises(OperationalError):
        counted(plant.station)
    monkeypatch.setattr(module, "_transactions_in", in_act)
    assert counted(plant.station).total == len(told_at_once(plant))


def test_a_late_page_asks_no_more_and_reads_its_own_acts_alone(
    plant: House, who: Client, django_assert_max_num_queries: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    total = who.get("seedlots/transactions?pageSize=1")["metadata"]["pagination"]["totalCount"]
    read: list[int] = []
    monkeypatch.setattr("api.brapi.transactions.movements_of", lambda rows: read.append(1) or module.movements_of(rows))
    for page in (0, total - 1):
        read.clear()
        with django_assert_max_num_queries(15):
            assert len(who.rows(f"seedlots/transactions?pageSize=1&page={page}")) == 1
        assert len(read) == 1
    assert who.rows(f"seedlots/transactions?page={total}&pageSize=1") == []


def test_filters_find_what_they_find_among_all(plant: House, who: Client) -> None:
    whole = told_at_once(plant)
    run = next(row["externalReferences"][0] for row in whole if row["additionalInfo"]["movementType"] == "clean")
    lot = next(row["toSeedLotDbId"] for row in whole if row["toSeedLotDbId"])
    line = next(row for row in who.rows("seedlots") if row["seedLotDbId"] == lot)["contentMixture"][0]["germplasmDbId"]
    lots = {row["seedLotDbId"] for row in who.rows(f"seedlots?germplasmDbId={line}")}

    def ids(words: str) -> list[str]:
        return [row["transactionDbId"] for row in who.rows(f"seedlots/transactions?{words}")]

    def those(fits: Any) -> list[str]:
        return [row["transactionDbId"] for row in whole if fits(row)]

    assert ids(f"germplasmDbId={line}") == those(lambda row: lots & {row["fromSeedLotDbId"], row["toSeedLotDbId"]})
    assert ids(f"externalReferenceId={run['referenceId']}") == those(lambda row: run in row["externalReferences"])
    assert ids(f"externalReferenceId={whole[0]['externalReferences'][0]['referenceId']}") == those(
        lambda row: row["externalReferences"] == whole[0]["externalReferences"]
    )
    assert ids(f"transactionDbId={whole[2]['transactionDbId']}") == [whole[2]["transactionDbId"]]
    assert ids("externalReferenceSource=process-run") == those(lambda row: run in row["externalReferences"])
    assert ids("programDbId=nowhere") == []
