"""What a process of its own does to books of its own: `python -m tests.jobs NAME WORDS`, started by `processes.py`."""

import hashlib
import io
import json
import sys
import threading
import time
from base64 import b64encode
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from typing import Any
from unittest import mock

import django

django.setup()

from django.contrib.auth.models import User  # noqa: E402 - models come after setup()
from django.db import connection, transaction  # noqa: E402
from django.test import Client  # noqa: E402
from PIL import Image  # noqa: E402

from api.feed.following import acts_after  # noqa: E402
from api.tokens import make_token  # noqa: E402
from grading.actions.picturing import Pictured, attach_photo  # noqa: E402
from grading.actions.sampling import Sampled, take_sample  # noqa: E402
from grading.models import PhotoBytes  # noqa: E402
from inventory.actions import desk, stocking  # noqa: E402
from inventory.actions.bagging import Bagging, bag_off  # noqa: E402
from inventory.actions.receiving import Delivery, receive  # noqa: E402
from inventory.actions.running import Out, Run, book_runs  # noqa: E402
from inventory.actions.writing_off import WriteOff, write_off  # noqa: E402
from inventory.models import Command, Lot, Operation, Standing, Station, Stock  # noqa: E402
from inventory.queries.verifying import verify  # noqa: E402
from inventory.rules.mistakes import Refused  # noqa: E402
from tests.make import NOW, house, received  # noqa: E402

ANSWERS = dict.fromkeys(("already_in", "field_differs", "fed_before"), "a test")


def set_up(code: str = "ST", lots: list[str] | None = None) -> dict[str, Any]:
    """A station with lots of these kilograms."""
    plant = house(code)
    return {"lots": [received(plant, kg).number for kg in lots or []]}


def photograph(code: str, lot: str) -> str:
    """Draw a sample and attach a photograph of its pan; its hash."""
    station = Station.objects.get(code=code)
    bench = _person("bench", station)
    out = io.BytesIO()
    Image.effect_noise((60, 40), 90).convert("RGB").save(out, "JPEG")
    take_sample(Sampled(number="G01", lot=lot, mass="1", at="2024-10-01"), station=station, by=bench, now=NOW)
    asked = Pictured(sample="G01", content=b64encode(out.getvalue()).decode(), width=60, height=40)
    attach_photo(asked, station=station, by=bench, now=NOW)
    return PhotoBytes.objects.get().sha256


def photographs() -> list[str]:
    """The hash of each photograph as it stands, worked out anew."""
    return [hashlib.sha256(one.content).hexdigest() for one in PhotoBytes.objects.order_by("pk")]


def withdraw(code: str, lot: str, times: int, how: str = "") -> dict[str, int]:
    """Write off 10 kg of a lot, many times; count what went through and what was refused."""
    station = Station.objects.get(code=code)
    done = refused = 0
    with _without(how):
        for _time in range(times):
            try:
                _take_ten(station, lot)
                done += 1
            except Refused:
                refused += 1
    return {"done": done, "refused": refused}


def _take_ten(station: Station, lot: str) -> None:
    asked = WriteOff(lot=lot, mass="10")
    write_off(asked, station=station, by=_person("records", station), reason="a test", now=NOW, answers=ANSWERS)


@contextmanager
def _without(how: str) -> Iterator[None]:
    """Take guards away: "unlocked" lets acts upon one lot plan at once, "naive" also reads, checks and then saves."""
    with ExitStack() as changed:
        if how:
            changed.enter_context(mock.patch.object(desk, "lock_lots", lambda _lots: None))
        if how == "naive":
            changed.enter_context(mock.patch.object(stocking, "_change", _read_check_save))
        yield


def _read_check_save(pk: int, key: Any, mg: int) -> None:
    """How it is often written: between reading and saving, somebody else reads the same."""
    stock = Stock.objects.get(pk=pk)
    if stock.mg + mg < 0:
        raise stocking._not_enough(key, stock.mg, -mg)
    time.sleep(0.02)
    Stock.objects.filter(pk=pk).update(mg=stock.mg + mg)


def number(code: str, times: int, who: int) -> dict[str, Any]:
    """Receive lots one by one and give their numbers; every third time an act is refused half-way."""
    station, numbers = Station.objects.get(code=code), []
    for time_ in range(times):
        delivery = Delivery(plots=("ST24-N-1-1",), net=str(100 + who), place="F-1", at="2024-09-24")
        if time_ % 3 == 2:
            _fail_after_numbering(station, delivery)
        booked = receive(delivery, station=station, by=_person("intake", station), now=NOW, answers=ANSWERS)
        numbers += [lot.number for lot in booked.lots]
    return {"numbers": numbers}


def _fail_after_numbering(station: Station, delivery: Delivery) -> None:
    try:
        with mock.patch("inventory.actions.posting.restock", side_effect=ZeroDivisionError):
            receive(delivery, station=station, by=_person("intake", station), now=NOW, answers=ANSWERS)
    except ZeroDivisionError:
        return


def same_key(code: str, keys: list[str]) -> dict[str, Any]:
    """Send the same deliveries under the same keys as everybody else."""
    station, answers = Station.objects.get(code=code), {}
    for key in keys:
        delivery = Delivery(plots=("ST24-N-1-1",), net="100", place="F-1", at="2024-09-24")
        by = _person("intake", station)
        booked = receive(delivery, station=station, by=by, now=NOW, answers=ANSWERS, key=key)
        answers[key] = [[act.seq, str(act.uid)] for act in booked.operations]
    return {"answers": answers}


def ask_at_once(code: str, times: int, address: str, body: dict[str, Any], key: str) -> dict[str, Any]:
    """Send one request so many times at once, each by a thread with a connection of its own; the different answers."""
    records = _person("records", Station.objects.get(code=code))
    secret = make_token(records, scopes=("read", "write"), days=None, now=NOW)
    headers, start = {"Authorization": f"Bearer {secret}", "Idempotency-Key": key}, threading.Barrier(times)

    def send(_who: int) -> tuple[int, str]:
        client = Client(SERVER_NAME="127.0.0.1", raise_request_exception=False)
        start.wait()
        answer = client.post(address, json.dumps(body), content_type="application/json", headers=headers)
        connection.close()
        return answer.status_code, answer.content.decode()

    with ThreadPoolExecutor(times) as threads:
        return {"answers": sorted(set(threads.map(send, range(times))))}


def other_content(code: str, key: str, kg: str) -> dict[str, str]:
    """Send a key with content of one's own."""
    station = Station.objects.get(code=code)
    delivery = Delivery(plots=("ST24-N-1-1",), net=kg, place="F-1", at="2024-09-24")
    try:
        receive(delivery, station=station, by=_person("intake", station), now=NOW, answers=ANSWERS, key=key)
    except Refused as refused:
        return {"said": str(refused)}
    return {"said": "done"}


def bag(code: str, lot: str, times: int) -> dict[str, int]:
    """Bag off one bag at a time."""
    station = Station.objects.get(code=code)
    for _time in range(times):
        bag_off(Bagging(lot=lot, count=1, bag_mass="1"), station=station, by=_person("intake", station), now=NOW)
    return {"done": times}


def make_number(code: str, lot: str) -> dict[str, str]:
    """Receive under a number of the label's."""
    station = Station.objects.get(code=code)
    delivery = Delivery(plots=("ST24-N-1-1",), net="100", place="F-1", at="2024-09-24", lot=lot)
    try:
        receive(delivery, station=station, by=_person("intake", station), now=NOW, answers=ANSWERS)
    except Refused as refused:
        return {"said": str(refused)}
    return {"said": "done"}


def cross(code: str, lots: list[str], times: int, who: int) -> dict[str, int]:
    """Take from lots in this order, in one transaction each time, as a blend of them does."""
    station = Station.objects.get(code=code)
    for time_ in range(times):
        runs = [
            Run(number=f"X{who}-{time_}-{index}", machines="air-screen", feed_lot=lot, feed="1", outs=(Out(mass="1"),))
            for index, lot in enumerate(lots)
        ]
        book_runs(runs, station=station, by=_person("line", station), answers=ANSWERS)
    return {"done": times}


def work_until_killed(code: str, since: int) -> None:
    """Receive and say the key on a line of its own after each commit, until somebody kills this process."""
    station = Station.objects.get(code=code)
    for index in range(since, since + 100_000):
        _receive_keyed(station, f"k{index}")
        sys.stdout.write(f"k{index}\n")
        sys.stdout.flush()


def again(code: str, keys: list[str]) -> dict[str, Any]:
    """Send keys again, as somebody does whose answer never came."""
    station = Station.objects.get(code=code)
    for key in keys:
        _receive_keyed(station, key)
    return {"acts": Operation.objects.filter(key__in=keys).count()}


def _receive_keyed(station: Station, key: str) -> None:
    delivery = Delivery(plots=("ST24-N-1-1",), net="100", place="F-1", at="2024-09-24")
    receive(delivery, station=station, by=_person("intake", station), now=NOW, answers=ANSWERS, key=key)


def take_late(code: str, lot: str) -> dict[str, int]:
    """Write seed off, and stand still between the first row that the act writes and its place in the chain."""
    station = Station.objects.get(code=code)

    def stand_still(_drafts: Any) -> None:
        sys.stdout.write("under way\n")
        sys.stdout.flush()
        sys.stdin.readline()

    asked, by = WriteOff(lot=lot, mass="10"), _person("records", station)
    with mock.patch("inventory.actions.posting.guard_widths", side_effect=stand_still):
        booked = write_off(
            asked, station=station, by=by, reason="a test", now=NOW, answers=ANSWERS, key="slow"
        )  # fmt: skip
    return {"seq": booked.operations[0].seq}


def follow(code: str, after: int, naive_after: int) -> dict[str, Any]:
    """Read what is new behind two marks: the feed's, and the key of a row that each act writes first."""
    station = Station.objects.get(code=code)
    acts = acts_after(station, after, 100)
    naive = list(Command.objects.filter(station=station, pk__gt=naive_after).order_by("pk").values_list("pk", "key"))
    return {"feed": [act.seq for act in acts], "naive": [list(row) for row in naive]}


def follow_to(code: str, last: int) -> dict[str, Any]:
    """Ask the feed over and over, each time behind the last number that was told, until one was told."""
    station, told = Station.objects.get(code=code), [0]
    end = time.monotonic() + 60
    while told[-1] < last and time.monotonic() < end:
        told += [act.seq for act in acts_after(station, told[-1], 3)]
    return {"feed": told[1:]}


def verdict(code: str) -> dict[str, Any]:
    """How the books stand."""
    station = Station.objects.get(code=code)
    found = verify(station)
    stock = {lot.number: sum(row.mg for row in lot.stock.all()) for lot in Lot.objects.filter(station=station)}
    acts = Operation.objects.filter(station=station)
    return {
        "differences": found.differences, "chain": found.chain, "operations": found.operations, "stock": stock,
        "keys": list(acts.exclude(key="").values_list("key", flat=True)),
        "made": Standing.objects.filter(station=station, made_by__isnull=False).count(),
        "bags": list(Stock.objects.filter(station=station, bag_no__gt=0).values_list("bag_no", "mg")),
    }  # fmt: skip


def _person(role: str, station: Station) -> User:
    return User.objects.get(username=f"{role}-{station.code}".lower())


JOBS: dict[str, Callable[..., Any]] = {
    job.__name__: job
    for job in (
        set_up, withdraw, number, same_key, other_content, bag, make_number, cross, work_until_killed, again, verdict,
        ask_at_once, take_late, follow, follow_to, photograph, photographs,
    )
}  # fmt: skip


def main() -> None:
    """Say that we are ready, wait to be let go, do the job, answer as JSON."""
    name, words = sys.argv[1], json.loads(sys.argv[2])
    with transaction.atomic():
        Station.objects.exists()  # the connection is open before anybody starts
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdin.readline()
    sys.stdout.write(json.dumps(JOBS[name](**words)))


if __name__ == "__main__":
    main()
