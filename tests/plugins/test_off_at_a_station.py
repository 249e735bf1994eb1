"""A plugin that is off at one station and on at another: what each hook brings is seen at the other alone."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.http import Http404, HttpRequest, HttpResponse
from django.test import Client, RequestFactory
from rest_framework.test import APIRequestFactory
from rest_framework.views import APIView

from api.models import Token
from api.plugins.permission import OffHere, PluginIsOn
from api.tokens import make_token
from hilum.plugins import (
    ActOffer,
    DeviceDriver,
    Difference,
    Found,
    LookAt,
    LotQuestion,
    MeasurementKind,
    PageLink,
    Panel,
    PaperForm,
    Plugin,
    PluginJob,
    SheetKind,
    Veto,
    Waiting,
    WorkedOut,
    hookspecs,
)
from hilum.plugins.books import books
from inventory.actions.telling_plugins import tell_plugins
from inventory.models import Membership
from inventory.pages import plugin_pages
from inventory.rules.mistakes import Mistake, Refused
from tests.api.asking import Program
from tests.inventory.lamp import lamp, soak_kind
from tests.make import House, house, received

pytestmark = pytest.mark.django_db
OFF, ON = "OF", "ON"
WORD = "glimmer"  # stands in whatever the plugin brings, and nowhere else


class Door:
    """One station as its people and programs reach it; each way answers with a text."""

    def __init__(self, plant: House) -> None:
        self.plant, self.lots = plant, (received(plant), received(plant))
        self.lot, self.code = self.lots[0].number, plant.station.code
        now = datetime.now(UTC)
        self.program = Program(make_token(plant.records, scopes=["read", "write"], days=None, now=now))
        self.person = Client()
        self.person.force_login(plant.records)

    def page(self, address: str) -> str:
        answer = self.person.get(address.format(lot=self.lot, other=self.lots[1].number))
        return f"{answer.status_code} {answer.headers.get('Location', '')} {answer.content.decode(errors='replace')}"

    def api(self, address: str, body: Mapping[str, Any] | None = None) -> str:
        address = address.format(lot=self.lot)
        if body is None:
            answer = self.program.client.get(address, headers=self.program.headers)
        else:
            answer = self.program.send(
                address, {k: v.format(lot=self.lot) if isinstance(v, str) else v for k, v in body.items()}
            )
        return f"{answer.status_code} {answer.content.decode()}"

    def command(self, *words: str) -> str:
        out = StringIO()
        with suppress(SystemExit):
            call_command(*words, station=self.code, stdout=out, stderr=out)
        return out.getvalue()


@dataclass(frozen=True)
class Words:
    """What the act of the plugin takes."""

    lot: Any = None


HEARD: list[str] = []


def no(*_: object, **__: object) -> Any:
    raise Refused([Mistake("Nothing is done in this test.")])


def worked_out(_values: Mapping[str, Any]) -> WorkedOut:
    return WorkedOut()


def hear(acts: Sequence[object], station: str) -> None:
    HEARD.extend(f"{WORD} {station}" for _act in acts)


def told(door: Door) -> str:
    HEARD.clear()
    tell_plugins()
    return " ".join(one for one in HEARD if one.endswith(door.code))


MEASURES = MeasurementKind(WORD, WORD, soak_kind().fields, worked_out)
# hook -> what the plugin answers, and every way on which a station could meet it.
HOOKS: dict[str, tuple[Callable[..., Any], tuple[Callable[[Door], str], ...]]] = {
    "lot_facts": (
        lambda lot_numbers: {number: {"last_grade": WORD} for number in lot_numbers},
        (lambda at: at.page("/lots/"), lambda at: at.api("/api/v1/lots/{lot}")),
    ),
    "lot_panels": (lambda: (Panel(WORD, ()),), (lambda at: at.page("/lots/{lot}/"),)),
    "lot_questions": (
        lambda: (LotQuestion("lit", WORD, "None is.", lambda *_: {}),),
        (lambda at: at.page("/lots/"), lambda at: at.page("/lots/?that=lit")),
    ),
    "blend_forecast": (
        lambda: (Panel(WORD, ()),),
        (lambda at: at.page("/do/blend/?parts.1.lot={lot}&parts.1.mass=1&parts.2.lot={other}&parts.2.mass=1"),),
    ),
    "sheet_kinds": (
        lambda: (SheetKind(WORD, WORD, (), no, no),),
        (lambda at: at.command("sheet"), lambda at: at.page("/records/sheets/")),
    ),
    "acts": (
        lambda: (ActOffer(WORD, Words, no),),
        (
            lambda at: at.page("/do/"), lambda at: at.api("/api/v1/acts"), lambda at: at.command("book"),
        ),
    ),
    "find": (lambda typed: Found("lamp", typed, f"/{WORD}/"), (lambda at: at.page("/find?q=LMP77"),)),
    "page_links": (lambda: (PageLink("bench", WORD, "/bench/"),), (lambda at: at.page("/area/bench/"),)),
    "waiting": (lambda: (Waiting("floor", WORD, "/"),), (lambda at: at.page("/area/floor/"),)),
    "check_records": (lambda: (Difference("dark", "x", f"{WORD}."),), (lambda at: at.command("verify"),)),
    "look_at": (lambda: (LookAt(WORD, "X.", "/"),), (lambda at: at.page("/records/look/?part=all"),)),
    "measurement_kinds": (
        lambda: (MEASURES,),
        (lambda at: at.page("/do/"), lambda at: at.api("/api/v1/acts"), lambda at: at.command("sheet")),
    ),
    "device_drivers": (
        lambda: (DeviceDriver(WORD, "Lamp", no),),
        (lambda at: at.api("/api/v1/devices", {"code": "lamp", "driver": "other"}),),
    ),
    "paper_forms": (lambda: (PaperForm("bill", WORD, no),), (lambda at: at.page("/lots/{lot}/"),)),
    "jobs": (
        lambda: (PluginJob(WORD, "Lights.", (), no),),
        (lambda at: at.api("/api/v1/jobs", {"kind": "other", "asked": {}}),),
    ),
    "veto": (
        lambda: (Veto(f"A {WORD} stands in the way."),),
        (lambda at: at.api("/api/v1/acts/move", {"lot": "{lot}", "to": "A-01"}),),
    ),
    "after_commit": (hear, (told,)),
}  # fmt: skip


@contextmanager
def two_doors(hook: str) -> Iterator[tuple[Door, Door]]:
    off, on = Door(house(OFF)), Door(house(ON))
    with lamp((OFF,), **{hook: HOOKS[hook][0]}):
        yield off, on


def test_every_hook_is_tried_here() -> None:
    assert set(HOOKS) == {name for name, spec in vars(hookspecs).items() if hasattr(spec, "hilum_spec")}


@pytest.mark.parametrize("hook", HOOKS)
def test_what_a_hook_brings_is_seen_only_where_the_plugin_is_on(hook: str) -> None:
    with two_doors(hook) as (off, on):
        for ask in HOOKS[hook][1]:
            assert WORD in ask(on)
            assert WORD not in ask(off)


@pytest.mark.parametrize(
    ("hook", "address"),
    [
        ("acts", f"/do/{WORD}/"),
        ("measurement_kinds", f"/do/{WORD}/"),
        ("sheet_kinds", f"/records/sheets/empty/{WORD}.xlsx"),
        ("paper_forms", "/print/x/lamp/bill.pdf?lot={lot}"),
    ],
)
def test_an_address_of_it_is_as_if_it_were_not_there(hook: str, address: str) -> None:
    with two_doors(hook) as (off, on):
        assert off.page(address).startswith("404 ")
        assert not on.page(address).startswith("404 ")


@pytest.mark.parametrize("hook", ["acts", "measurement_kinds"])
def test_programs_and_commands_cannot_book_its_acts(hook: str) -> None:
    with two_doors(hook) as (off, on):
        booked = [at.api(f"/api/v1/acts/{WORD}", {"lot": "{lot}", "dry": "10", "wet": "20"}) for at in (off, on)]
        assert booked[0].startswith("404 ")
        assert not booked[1].startswith("404 ")
        said = [at.command("book", WORD, "lot=1", f"--by=records-{at.code}".lower()) for at in (off, on)]
        assert "is no act" in said[0]
        assert "is no act" not in said[1]


def test_what_it_measured_before_is_still_read() -> None:
    off = Door(house(OFF))
    words = {"lot": off.lot, "dry": "10", "wet": "20"}
    with lamp(measurement_kinds=lambda: (MEASURES,)):
        act = off.program.post(f"/api/v1/acts/{WORD}", words)["operations"][0]
    with lamp((OFF,), measurement_kinds=lambda: (MEASURES,)):
        [measured] = books().measurements(OFF, WORD)
        assert (measured.operation, measured.values["wet"]) == (act["uid"], Decimal(20))
        assert off.page(f"/booked/{act['number']}/").startswith("200 ")


def test_its_own_pages_and_routes_answer_404_where_it_is_off() -> None:
    off, on = Door(house(OFF)), Door(house(ON))
    page = plugin_pages._guarded(Plugin(slug="lamp", title="Lamp", version="1", api=">=1,<2"))(_lit)
    with lamp((OFF,)):
        assert page(_asked(on)).content == WORD.encode()
        with pytest.raises(Http404, match="There is no page at this address"):
            page(_asked(off))
        assert PluginIsOn().has_permission(_asked_by_program(on), APIView())
        with pytest.raises(OffHere, match="There is nothing to GET at /api/v1/x/lamp/glow"):
            PluginIsOn().has_permission(_asked_by_program(off), APIView())


def test_its_routes_go_by_the_station_of_the_key_where_an_account_works_at_two() -> None:
    off, on = Door(house(OFF)), Door(house(ON))
    Membership.objects.create(station=off.plant.station, user=on.plant.records, role="records")
    Membership.objects.create(station=on.plant.station, user=off.plant.records, role="records")
    with lamp((OFF,)):
        assert PluginIsOn().has_permission(_asked_by_program(on), APIView())
    with lamp((ON,)), pytest.raises(OffHere):
        PluginIsOn().has_permission(_asked_by_program(on), APIView())


def _lit(_request: HttpRequest) -> HttpResponse:
    return HttpResponse(WORD)


def _asked(door: Door) -> HttpRequest:
    request = RequestFactory().get("/x/lamp/")
    request.user = door.plant.records
    return request


def _asked_by_program(door: Door) -> Any:
    request = APIRequestFactory().get("/api/v1/x/lamp/glow")
    request.user = door.plant.records
    request.auth = Token.objects.get(user=door.plant.records)
    return request
