"""The feed never skips an act, however acts overlap; a feed by a key that is given before the commit does.

Two real processes on PostgreSQL: one act is under way while another begins later and is committed first.
"""

from pathlib import Path
from subprocess import Popen

import pytest

from tests.processes import OwnBooks, go

pytestmark = [pytest.mark.slow, pytest.mark.postgres, pytest.mark.both_engines]


@pytest.fixture
def books(postgres_url: str, tmp_path: Path) -> OwnBooks:
    books = OwnBooks(tmp_path, postgres_url)
    said = books.manage("migrate", "--verbosity=0")
    assert said.returncode == 0, said.stderr
    return books


def begun(books: OwnBooks, lot: str) -> "Popen[str]":
    """Start an act and let it go on until it stands still, with its first row written and nothing committed."""
    slow = books.start("take_late", code="ST", lot=lot)
    assert slow.stdin is not None and slow.stdout is not None
    assert slow.stdout.readline() == "ready\n"
    slow.stdin.write("go\n")
    slow.stdin.flush()
    assert slow.stdout.readline() == "under way\n"
    return slow


def test_an_act_that_began_first_and_is_committed_last_is_told_and_a_feed_by_keys_loses_it(books: OwnBooks) -> None:
    lot = books.call("set_up", code="ST", lots=["100"])["lots"][0]
    slow = begun(books, lot)
    books.call("same_key", code="ST", keys=["quick"])
    first = books.call("follow", code="ST", after=1, naive_after=0)
    assert (first["feed"], [key for _pk, key in first["naive"]]) == ([2], ["quick"])
    assert slow.communicate("\n", timeout=60)[0] == '{"seq": 3}'
    then = books.call("follow", code="ST", after=2, naive_after=first["naive"][-1][0])
    assert then["feed"] == [3]
    assert then["naive"] == [], "the naive feed lost nothing, so this test shows nothing"

    jobs = [books.start("same_key", code="ST", keys=[f"{who}-{time}" for time in range(8)]) for who in range(2)]
    told = go([*jobs, books.start("follow_to", code="ST", last=19)])[-1]["feed"]
    assert told == list(range(1, 20)), "each act once, in the order of its number, while others go on"
