"""Several people at once, as real processes on a database of their own.

SQLite lets one of them write at a time, so what it shows is that nobody is told "database is locked". That seed is
never given out twice is shown on PostgreSQL, and that the same test finds it where the code is naive.
"""

import os
import random
import signal
import time
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Any
from uuid import uuid4

import psycopg
import pytest

from tests.processes import OwnBooks, go

pytestmark = [pytest.mark.slow, pytest.mark.both_engines]
ENGINES = ["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)]
KILLS = int(os.environ.get("HILUM_KILLS", "5"))
_codes = (f"S{index}" for index in count())


@pytest.fixture(scope="module", params=ENGINES)
def books(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[OwnBooks]:
    folder = tmp_path_factory.mktemp("books")
    if request.param == "sqlite":
        yield _migrated(OwnBooks(folder))
    else:
        yield from _on_postgres(request.getfixturevalue("postgres_server"), folder)


@pytest.fixture(scope="module")
def postgres_books(postgres_server: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[OwnBooks]:
    yield from _on_postgres(postgres_server, tmp_path_factory.mktemp("books"))


def _on_postgres(server: str, folder: Path) -> Iterator[OwnBooks]:
    name = f"hilum_{uuid4().hex}"
    with psycopg.connect(f"{server}/postgres", autocommit=True) as door:
        door.execute(f"CREATE DATABASE {name}")
    yield _migrated(OwnBooks(folder, f"{server}/{name}"))
    with psycopg.connect(f"{server}/postgres", autocommit=True) as door:
        door.execute(f"DROP DATABASE {name} WITH (FORCE)")


def _migrated(books: OwnBooks) -> OwnBooks:
    said = books.manage("migrate", "--verbosity=0")
    assert said.returncode == 0, said.stderr
    return books


def _whole(books: OwnBooks, code: str) -> dict[str, Any]:
    verdict: dict[str, Any] = books.call("verdict", code=code)
    assert (verdict["differences"], verdict["chain"]) == ([], "whole")
    return verdict


def _withdraw(books: OwnBooks, people: int, how: str = "") -> tuple[int, dict[str, Any]]:
    """People take 10 kg at a time of a lot of 145 kg, 20 times in all at least; says how often they got it."""
    code = next(_codes)
    lot = books.call("set_up", code=code, lots=["145"])["lots"][0]
    each = max(3, 20 // people)
    jobs = [books.start("withdraw", code=code, lot=lot, times=each, how=how) for _who in range(people)]
    done = sum(answer["done"] for answer in go(jobs))
    verdict = books.call("verdict", code=code)
    return done, {**verdict, "left": verdict["stock"][lot]}


@pytest.mark.parametrize("people", [2, 8])
def test_people_who_take_from_one_lot_never_get_more_than_is_there(books: OwnBooks, people: int) -> None:
    done, verdict = _withdraw(books, people)
    assert (done, verdict["left"]) == (14, 5_000_000)
    assert (verdict["differences"], verdict["chain"], verdict["operations"]) == ([], "whole", 15)


@pytest.mark.postgres
@pytest.mark.parametrize("people", [2, 8])
def test_the_conditional_update_alone_holds_even_where_acts_do_not_wait_for_each_other(
    postgres_books: OwnBooks, people: int
) -> None:
    done, verdict = _withdraw(postgres_books, people, "unlocked")
    assert (done, verdict["left"], verdict["differences"]) == (14, 5_000_000, [])


@pytest.mark.postgres
@pytest.mark.parametrize("people", [2, 8])
def test_the_same_test_finds_code_that_reads_checks_and_then_saves(postgres_books: OwnBooks, people: int) -> None:
    """If this naive code passed, the tests above would prove nothing."""
    done, verdict = _withdraw(postgres_books, people, "naive")
    assert done > 14 or verdict["left"] != 145_000_000 - done * 10_000_000
    assert any("stock says" in what for what in verdict["differences"])


def test_eight_people_number_lots_without_a_gap_or_a_double(books: OwnBooks) -> None:
    code = next(_codes)
    books.call("set_up", code=code)
    answers = go([books.start("number", code=code, times=5, who=who) for who in range(8)])
    numbers = sorted(number for answer in answers for number in answer["numbers"])
    assert [number[:7] for number in numbers] == [f"24-{running:04d}" for running in range(1, 41)]
    assert _whole(books, code)["made"] == 40


def test_one_key_sent_by_eight_at_once_has_one_effect_and_one_answer(books: OwnBooks) -> None:
    code, keys = next(_codes), ["a", "b", "c"]
    books.call("set_up", code=code)
    answers = [answer["answers"] for answer in go([books.start("same_key", code=code, keys=keys) for _who in range(8)])]
    assert all(answer == answers[0] for answer in answers)
    assert sorted(_whole(books, code)["keys"]) == keys


DELIVERY = {"plots": ["ST24-N-1-1"], "net": "100", "place": "F-1", "at": "2024-09-24"}
OTHER = {**DELIVERY, "plots": ["ST24-N-2-1"], "net": "90"}
BOTH = [{"verb": "receive", "words": one} for one in (DELIVERY, OTHER)]


@pytest.mark.postgres
@pytest.mark.parametrize(
    ("address", "body", "status", "made"),
    [
        ("/api/v1/lots/receive", DELIVERY, 201, 1),
        ("/api/v1/acts/bulk", {"mode": "atomic", "items": BOTH}, 201, 2),
        ("/api/v1/acts/bulk", {"mode": "each", "items": BOTH}, 200, 2),
    ],
    ids=["receive", "all or none", "each"],
)
def test_a_request_sent_fifty_times_at_once_by_a_program_has_one_effect_and_one_answer(
    postgres_books: OwnBooks, address: str, body: dict[str, Any], status: int, made: int
) -> None:
    code = next(_codes)
    postgres_books.call("set_up", code=code)
    answers = postgres_books.call("ask_at_once", code=code, times=50, address=address, body=body, key="k")["answers"]
    assert [answer[0] for answer in answers] == [status], answers
    assert _whole(postgres_books, code)["made"] == made


def test_one_key_sent_at_once_with_other_content_has_the_effect_of_one_of_them(books: OwnBooks) -> None:
    code = next(_codes)
    books.call("set_up", code=code)
    jobs = [books.start("other_content", code=code, key="k", kg=str(100 + who)) for who in range(4)]
    said = [answer["said"] for answer in go(jobs)]
    assert said.count("done") == 1
    assert all("used before with other content" in words for words in said if words != "done")
    assert _whole(books, code)["made"] == 1


def test_one_number_given_to_two_deliveries_at_once_is_made_once(books: OwnBooks) -> None:
    code = next(_codes)
    books.call("set_up", code=code)
    said = [
        answer["said"] for answer in go([books.start("make_number", code=code, lot="24-0016-5") for _who in "1234"])
    ]
    assert said.count("done") == 1
    assert all("already in the books" in words for words in said if words != "done")
    assert _whole(books, code)["made"] == 1


def test_people_who_bag_one_lot_at_once_never_fill_the_same_bag(books: OwnBooks) -> None:
    code = next(_codes)
    lot = books.call("set_up", code=code, lots=["100"])["lots"][0]
    go([books.start("bag", code=code, lot=lot, times=4) for _who in range(4)])
    assert sorted(_whole(books, code)["bags"]) == [[bag, 1_000_000] for bag in range(1, 17)]


def test_acts_that_cross_each_others_lots_all_get_through(books: OwnBooks) -> None:
    code = next(_codes)
    lots = books.call("set_up", code=code, lots=["500", "600", "700"])["lots"]
    orders = [lots, lots[::-1], [lots[1], lots[0], lots[2]], [lots[2], lots[0], lots[1]]]
    answers = go([books.start("cross", code=code, lots=order, times=2, who=who) for who, order in enumerate(orders)])
    assert [answer["done"] for answer in answers] == [2, 2, 2, 2]
    stock = _whole(books, code)["stock"]
    assert [stock[lot] for lot in lots] == [492_000_000, 592_000_000, 692_000_000]


def test_what_was_acknowledged_survives_a_process_that_is_killed(books: OwnBooks) -> None:
    """HILUM_KILLS sets how often; each time the books are whole, and a key that is sent again has no second effect."""
    code, dice, acknowledged = next(_codes), random.Random(20250601), 0  # noqa: S311 - chooses moments, guards nothing
    books.call("set_up", code=code)
    for _kill in range(KILLS):
        acknowledged = _killed_after(books, code, acknowledged, dice.randint(2, 25), dice.uniform(0, 0.03))
        keys = _whole(books, code)["keys"]
        assert set(keys) >= {f"k{index}" for index in range(acknowledged)}
        assert len(keys) - acknowledged in (0, 1)  # one may have been committed and not yet said
        last_two = [f"k{max(acknowledged - 1, 0)}", f"k{acknowledged}"]
        assert books.call("again", code=code, keys=last_two)["acts"] == 2
        acknowledged += 1
        assert sorted(_whole(books, code)["keys"]) == sorted(f"k{index}" for index in range(acknowledged))


def _killed_after(books: OwnBooks, code: str, since: int, acts: int, pause: float) -> int:
    """Let a process work until it has said this many keys and a moment more [s], then kill it; count what it said."""
    job = books.start("work_until_killed", code=code, since=since)
    assert job.stdin is not None
    assert job.stdout is not None
    assert job.stdout.readline() == "ready\n"
    job.stdin.write("go\n")
    job.stdin.flush()
    said = [job.stdout.readline() for _act in range(acts)]
    time.sleep(pause)
    job.send_signal(signal.SIGKILL)
    rest = job.communicate()[0].splitlines(keepends=True)
    whole = [line for line in [*said, *rest] if line.startswith("k") and line.endswith("\n")]
    assert [line.strip() for line in whole] == [f"k{since + index}" for index in range(len(whole))]
    return since + len(whole)
