"""Who may what: every address of the description x every role x two stations, on the demo season.

Each cell is asked for and taken back again, so that one season serves all of them.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import transaction
from django.test import Client, TestCase

from api.brapi.urls import ROUTES
from api.v1.acts import offered, slug_of
from fixtures_demo.telling import build
from inventory.models import Bag, Line, LineName, Lot, Membership, Operation, Shipment, Station
from inventory.queries.verifying import verify
from inventory.rules.roles import ROLES, who_may
from tests.api.asking import Program, program_of
from tests.api.paths import EMPTY_IN_THE_SEASON, PATHS, address_for, address_of, body_of, only_asks, send_example
from tests.make import House, house, received

# The right behind an act that is not called as its right is.
RIGHT = {
    **dict.fromkeys(("add line", "add cross", "add plot", "add plant", "add class", "add site", "came from"), "origin"),
    **dict.fromkeys(("rename", "merge"), "rename"),
    **dict.fromkeys(("add place", "add container", "check tare"), "places"),
    **dict.fromkeys(("add person", "change role"), "people"),
    **dict.fromkeys(("run", "size", "sort"), "clean"),
    **dict.fromkeys(("put rules in force", "withdraw rules", "regrade plan"), "rules"),
    **dict.fromkeys(("germination", "seed health", "variety purity", "purity", "set tray"), "test"),
    **dict.fromkeys(("seed weight", "size curve", "colour", "judge card", "log weather", "note stage"), "measure"),
    **dict.fromkeys(("bench sample", "keep file sample", "take file sample out", "discard file sample"), "sample"),
    **dict.fromkeys(("note sample", "amend note"), "note"),
    "tip": "move", "correct": "reverse", "correct grade": "grade", "release promise": "promise",
    "pack for sowing": "sow", "sample tag": "label", "seed limit": "limit",
}  # fmt: skip


_FOR_ANY_KEY = ("/api/v1", "/api/v1/me")  # they say what there is, and whose the key is


@contextmanager
def taken_back() -> Iterator[None]:
    """Undo what is done inside, as a test case undoes what its tests do."""
    block = transaction.atomic()
    block._from_testcase = True  # type: ignore[attr-defined]  # so that a durable act may stand inside
    with block:
        yield
        transaction.set_rollback(True)


@pytest.mark.slow
class TestMatrix(TestCase):
    """One build of the demo season beside a small station of other people."""

    @classmethod
    def setUpTestData(cls) -> None:
        build()
        cls.mine = Station.objects.get()
        cls.other: House = house("OT")
        received(cls.other, at="2023-09-20")
        people = {one.role: one.user for one in Membership.objects.filter(station=cls.mine).select_related("user")}
        cls.keys = {role: program_of(people[role]) for role in ROLES}
        cls.strangers = {role: program_of(cls.other.people[role]) for role in ROLES}
        cls.reader, cls.writer = program_of(people["records"], "read"), program_of(people["records"], "write")
        cls.marks = marks_of(cls.mine)
        cls.acts_before = Operation.objects.count()

    def test_without_a_key_or_with_one_of_the_wrong_scope_no_address_opens(self) -> None:
        opened = {}
        for path, methods in PATHS.items():
            for method in methods:
                address = address_of(path)
                alone = getattr(Client(), method)(address, content_type="application/json")
                wrong = self.writer if method == "get" or only_asks(path) else self.reader
                answer = wrong.send(address, {}, method=method) if method != "get" else self._read(wrong, address)
                if (alone.status_code, answer.status_code) != (401, 200 if path in _FOR_ANY_KEY else 403):
                    opened[f"{method} {path}"] = (alone.status_code, answer.status_code)
        assert opened == {}
        assert Operation.objects.count() == self.acts_before

    def test_everybody_of_a_station_reads_all_of_it_but_what_is_blind(self) -> None:
        refused = {}
        for role, who in self.keys.items():
            for path in set(reads()) - set(OF_ALL_STATIONS):
                answer = self._read(who, address_for(who, path))
                if answer.status_code not in (200, 404):
                    refused[f"{role} {path}"] = answer.status_code
                if answer.status_code == 404 and not path.startswith(MADE_BY_OTHERS):
                    refused[f"{role} {path}"] = 404
        assert refused == {}

    def test_nothing_of_a_station_is_read_with_a_key_of_another(self) -> None:
        told = {}
        for role, who in self.strangers.items():
            for path in reads():
                if path.startswith(SHIPPED):
                    continue
                if path in OF_ALL_STATIONS:
                    assert self._read(who, path).status_code == 403
                    continue
                address = address_for(self.keys["records"], path)
                answer = self._read(who, address)
                leaks = self.leaks_in(body_of(answer), address)
                is_found = "{name}" in path and answer.status_code == 200
                if leaks or is_found or answer.status_code not in (200, 404, 422):
                    told[f"{role} {path}"] = (answer.status_code, leaks[:5])
        assert told == {}

    def test_nothing_of_a_station_is_read_by_the_breeding_api_with_a_key_of_another(self) -> None:
        told = {}
        for route in ROUTES:
            if not route.get or route.path.startswith(SHIPPED_BRAPI):
                continue
            for address in self._breeding(route.path):
                answer = self._read(self.strangers["records"], f"/brapi/v2/{address}")
                leaks = self.leaks_in(body_of(answer), address)
                if leaks or (address != route.path and answer.status_code != 404):
                    told[address] = (answer.status_code, leaks[:5])
        assert told == {}

    def test_each_act_is_done_by_the_roles_that_may_do_it_and_by_no_other(self) -> None:
        wrong = {}
        for verb in offered():
            address = f"/api/v1/acts/{slug_of(verb)}"
            able = who_may(RIGHT.get(verb, verb))
            for role, who in self.keys.items():
                with taken_back():
                    status = send_example(who, address, PATHS[address]["post"], "post").status_code
                    is_kept = Operation.objects.count() != self.acts_before
                if (status == 403) == (role in able) or (status == 403 and is_kept):
                    wrong[f"{role}: {verb}"] = status
        assert wrong == {}

    def test_no_act_touches_what_stands_in_another_station(self) -> None:
        told = {}
        for path, method, sent in writes():
            with taken_back():
                answer = send_example(self.strangers["records"], address_of(path), sent, method)
                ours = Operation.objects.filter(station=self.mine).count()
                leaks = self.leaks_in(body_of(answer), repr(sent) + address_of(path))
            if ours != self.acts_before - 1 or leaks or answer.status_code >= 500:
                told[f"{method} {path}"] = (answer.status_code, leaks[:5])
        assert told == {}
        assert verify(self.mine).is_whole

    def leaks_in(self, body: bytes, asked: str) -> list[str]:
        """Name what is told of the station that was not in the question itself."""
        text = body.decode()
        return [mark for mark in self.marks if mark in text and mark not in asked]

    def _read(self, who: Program, address: str) -> Any:
        return who.client.get(address, headers=who.headers)

    def _breeding(self, path: str) -> Iterator[str]:
        """Fill a path with the first thing of the list that it belongs to."""
        name = re.search(r"\{(\w+)\}", path)
        if name is None:
            yield path
            return
        list_of = {match[2]: match[1] for route in ROUTES if (match := re.fullmatch(r"([^{}]+)/\{(\w+)\}", route.path))}
        rows = self._read(self.keys["records"], f"/brapi/v2/{list_of[name[1]]}?pageSize=1").json()["result"]["data"]
        yield from (path.replace(name[0], row[name[1]]) for row in rows)


# What ships with the program is the same everywhere; what people send themselves is not there on a new season.
SHIPPED = ("/api/v1/rule-sets", "/api/v1/acts", "/api/v1/figures", "/api/v1/sheet-kinds")
SHIPPED_BRAPI = (
    "serverinfo", "commoncropnames", "breedingmethods", "studytypes", "observationlevels", "variables", "traits",
    "scales", "methods", "seasons",
)  # fmt: skip
OF_ALL_STATIONS = ("/api/v1/package",)  # for whoever keeps the records of every station: here nobody
MADE_BY_OTHERS = (
    "/api/v1/sheets/",
    "/api/v1/jobs/",
    "/api/v1/webhooks/",
    "/api/v1/deliveries/",
    "/api/v1/readings/",
    "/api/v1/devices/",
    *EMPTY_IN_THE_SEASON,
)


def reads() -> list[str]:
    """Every address that is read."""
    return sorted(path for path, methods in PATHS.items() if "get" in methods)


def writes() -> list[tuple[str, str, dict[str, Any]]]:
    """Every way to write: address, method, what the description says of it."""
    return [
        (path, method, told)
        for path, methods in sorted(PATHS.items())
        for method, told in methods.items()
        if method != "get" and not only_asks(path)
    ]


def marks_of(station: Station) -> list[str]:
    """Everything by which something of a station could be told elsewhere: ids, numbers, names, accounts."""
    uids = [uid for kind in (Lot, Operation, Bag) for uid in kind.objects.filter(station=station).values_list("uid")]
    lots = Lot.objects.filter(station=station).values_list("number", flat=True)
    names = LineName.objects.filter(station=station).values_list("name", flat=True)
    lines = Line.objects.filter(station=station).values_list("uid", flat=True)
    people = Membership.objects.filter(station=station, user__username__contains="-").values_list("user__username")
    to = Shipment.objects.filter(station=station).values_list("recipient", flat=True)
    return [*(str(uid) for (uid,) in uids), *lots, *names, *map(str, lines), *(name for (name,) in people), *set(to)]
