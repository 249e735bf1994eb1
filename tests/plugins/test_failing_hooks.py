"""A plugin that starts well and then fails in every hook: each page and door goes on, and says whose fault it is."""

from typing import Any

import pytest

from hilum.plugins import hookspecs
from tests.plugins.asked import WHOLE, Asked
from tests.plugins.site import Site

pytestmark = [pytest.mark.slow, pytest.mark.own_site]

# Every hook fails, in its own answer or in what it answers with. The veto fails for moves alone.
HOOKS = """
from decimal import Decimal
from hilum.plugins import (
    DeviceDriver, LotQuestion, MeasurementField, MeasurementKind, PaperForm, PluginJob, SheetColumn, SheetKind,
    hookimpl,
)

def fail(*_):
    raise RuntimeError("the lamp is off")

COLUMNS = (SheetColumn("lamp", ("Lamp",)), SheetColumn("watts", ("Watts",)))

@hookimpl
def lot_facts(): fail()

@hookimpl
def lot_panels(): fail()

@hookimpl
def lot_questions(): return [LotQuestion("dark", "dark", "None is dark.", fail)]

@hookimpl
def blend_forecast(): fail()

@hookimpl
def sheet_kinds(): return [SheetKind("lamps", "lamps", COLUMNS, fail, fail)]

@hookimpl
def acts(): fail()

@hookimpl
def find(): fail()

@hookimpl
def page_links(): fail()

@hookimpl
def waiting(): fail()

@hookimpl
def look_at(): fail()

@hookimpl
def check_records(): fail()

@hookimpl
def measurement_kinds(): return [MeasurementKind("lamp_test", "Lamp test", (MeasurementField("watts", "watts"),), fail)]

@hookimpl
def device_drivers(): return [DeviceDriver("lamp", "Lamp", fail)]

@hookimpl
def jobs(): return [PluginJob("lamp_report", "Lamps.", (), fail)]

@hookimpl
def paper_forms(): return [PaperForm("bill", "Bill", fail)]

@hookimpl
def veto(acts): return fail() if any(act.kind == "move" for act in acts) else ()

@hookimpl
def after_commit(): fail()
"""
ROUTES = """
from django.urls import path
from rest_framework.views import APIView

class Lamp(APIView):
    def get(self, request):
        raise RuntimeError("the lamp is off")

urlpatterns = [path("lamp", Lamp.as_view())]
"""
PAGES = """
from django.urls import path

def lamp(request):
    raise RuntimeError("the lamp is off")

urlpatterns = [path("", lamp)]
"""
ASK = """
import logging; logging.disable(logging.CRITICAL)
from io import StringIO
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from inventory.actions.telling_plugins import tell_plugins
from hilum.plugins.host import the_host
from inventory.importing.kinds import kind_named
from inventory.importing.loading import check_sheet
from inventory.rules.mistakes import Refused
before = Operation.objects.count()
said["lot"], said["lots"], said["question"] = page(f"/lots/{lot}/"), page("/lots/"), page("/lots/?that=dark")
said["home"], said["bench"], said["find"] = page("/"), page("/area/bench/"), page("/find?q=X1")
said["look"], said["page"] = page("/records/look/?part=all"), page("/x/failing/")
said["paper"] = page(f"/print/x/failing/bill.pdf?lot={lot}")
said["lot json"] = program.get(f"/api/v1/lots/{lot}")["extensions"]
said["route"] = body(program.client.get("/api/v1/x/failing/lamp", headers=program.headers))
said["measure"] = body(program.send("/api/v1/acts/lamp-test", {"lot": lot, "watts": "40"}))
said["veto"] = body(program.send("/api/v1/acts/move", {"lot": lot, "to": "A-01"}))
form = {"lot": lot, "to": "A-01", "key": "k1"}
answer = person.post("/do/move/", form)
said["veto page"] = [answer.status_code, answer.content.decode()]
said["written"] = Operation.objects.count() - before
try:
    check_sheet(b"Lamp;Watts\\nred;40\\n", "lamps.csv", kind_named("lamps"), station=Station.objects.get())
except Refused as refused:
    said["sheet"] = [str(refused), [one.code for one in refused.mistakes]]
out = StringIO()
try:
    call_command("verify", stdout=out)
except SystemExit as status:
    said["verify"] = [status.code, out.getvalue()]
try:
    the_host().read_device("lamp", "12 g")
except Exception as unread:
    said["device"] = [type(unread).__name__, str(unread)]
from api.work.duties import do_duties
job = program.send("/api/v1/jobs", {"kind": "lamp_report", "asked": {}}).json()
do_duties()
said["job"] = program.get(f"/api/v1/jobs/{job['id']}")
said["told"] = tell_plugins()
said["metered"] = program.send("/api/v1/acts/moisture", {"lot": lot, "moisture": "15.1"}).status_code
for _ in range(6):
    page(f"/lots/{lot}/")
said["suspended"] = program.get("/api/v1/plugins")["results"][0]
said["home then"] = page("/")
"""


@pytest.fixture(scope="module")
def said(site: Site) -> Any:
    site.package(
        "failing", 'hooks="failing.hooks", routes="failing.routes", pages="failing.pages"',
        hooks=HOOKS, routes=ROUTES, pages=PAGES,
    )  # fmt: skip
    done = site.run("plugins", "enable", "failing")
    assert done.returncode == 0, done.stderr
    return Asked(site).program(ASK, WHOLE)


def test_every_hook_there_is_fails_here() -> None:
    hooks = {name for name, spec in vars(hookspecs).items() if hasattr(spec, "hilum_spec")}
    assert {hook for hook in hooks if f"def {hook}(" not in HOOKS} == set()


@pytest.mark.parametrize("page", ["lot", "lots", "home", "bench", "look"])
def test_pages_go_on(said: Any, page: str) -> None:
    assert said[page][0] == 200


def test_each_says_whose_fault_it_is(said: Any) -> None:
    for page in ("lot", "home", "look"):
        assert "The plugin failing failed in" in said[page][1], page
        assert "the lamp is off" in said[page][1], page
    for page in ("page", "paper", "question"):
        assert said[page][0] == 503, page
        assert "the lamp is off" in said[page][1], page
    assert said["find"][0] in (200, 404)
    assert "failing" not in said["lot json"]


@pytest.mark.parametrize("asked", ["route", "measure", "veto"])
def test_the_api_answers_503_with_the_name_of_the_plugin(said: Any, asked: str) -> None:
    status, problem = said[asked]
    assert (status, problem["status"], problem["code"]) == (503, 503, "plugin_failed")
    assert "plugin failing" in problem["detail"]
    assert "the lamp is off" in problem["detail"]


def test_nothing_is_written_by_half(said: Any) -> None:
    assert said["written"] == 0
    status, text = said["veto page"]
    assert status == 422
    assert "manage.py plugins disable failing" in text
    assert said["whole"]
    assert said["metered"] == 201  # what the plugin says nothing to goes on


def test_a_sheet_of_it_is_refused_and_the_proof_says_no(said: Any) -> None:
    assert said["sheet"][1] == ["plugin_failed"]
    assert "the lamp is off" in said["sheet"][0]
    assert said["verify"][0] == 1
    assert "failing: The plugin failing failed in check_records" in said["verify"][1]
    assert said["told"] == 0
    assert (said["job"]["state"], "the lamp is off" in said["job"]["says"]) == ("failed", True)
    assert said["device"][0] == "ReadingUnread"
    assert "The plugin failing failed in the driver lamp" in said["device"][1]


def test_what_failed_again_and_again_is_set_aside_and_said(said: Any) -> None:
    assert said["suspended"]["state"] == "on"
    assert any("failed 5 times in lot_panels" in one for one in said["suspended"]["says"])
    assert "failed 5 times in lot_panels" in said["home then"][1]
