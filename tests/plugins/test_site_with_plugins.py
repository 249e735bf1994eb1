"""A site with plugins of installed wheels: each test reads one run of it."""

import re
from typing import Any

import pytest

from tests.plugins.asked import WHOLE, Asked
from tests.plugins.site import Site

pytestmark = [pytest.mark.slow, pytest.mark.own_site]


@pytest.fixture(scope="module")
def asked(site: Site) -> Asked:
    return Asked(site)


@pytest.fixture(scope="module")
def before(asked: Asked) -> Any:
    """What the core says before any plugin is on."""
    return asked.program(CORE)


# The core's own payloads, without what plugins add.
CORE = """
lot_said = program.get(f"/api/v1/lots/{lot}"); lot_said.pop("extensions")
said["lot"] = {name: value for name, value in lot_said.items() if name != "operations"}
said["lots"] = program.get("/api/v1/lots")["results"]
said["acts"] = sorted(one["verb"] for one in program.get("/api/v1/acts")["results"])
said["openapi"] = [text in person.get("/api/openapi.yaml").content for text in (b"x-plugin", b"/api/v1/plugins")]
said["plugins"] = program.get("/api/v1/plugins")
said["route"] = program.client.get("/api/v1/x/soaking-test/soaks", headers=program.headers).status_code
"""


def test_a_plugin_that_is_installed_and_not_enabled_does_nothing(site: Site, before: Any) -> None:
    [told] = [one for one in site.json("plugins", "list")["plugins"] if one["slug"] == "soaking-test"]
    assert (told["state"], told["version"], told["title"]) == ("off", "1.2.0", "Soaking test")
    assert (before["plugins"]["results"], before["openapi"], before["route"]) == ([], [False, True], 404)
    assert "soaking test" not in before["acts"]


@pytest.fixture(scope="module")
def enabled(asked: Asked, before: Any) -> Any:
    """What the site says with the plugin on."""
    done = asked.site.run("plugins", "enable", "soaking-test")
    assert done.returncode == 0, done.stderr
    assert "The plugin soaking-test 1.2.0 is on. Its tables were made: px_soaking_test.0001_initial." in done.stdout
    return asked.program(
        """
        words = {"lot": lot, "dry": "100", "soaked": "140"}
        said["act"] = body(program.send("/api/v1/acts/soaking-test", words, "one"))
        said["question"] = body(program.send("/api/v1/acts/soaking-test", {**words, "soaked": "90"}))
        said["lot"] = program.get(f"/api/v1/lots/{lot}")["extensions"]
        said["route"] = program.get("/api/v1/x/soaking-test/soaks")
        said["unknown key"] = program.client.get("/api/v1/x/soaking-test/soaks").status_code
        said["plugins"] = program.get("/api/v1/plugins")["results"]
        import yaml
        paths = yaml.safe_load(person.get("/api/openapi.yaml").content)["paths"]
        said["described"] = {path: one for path, one in paths.items() if "soaking" in path}
        said["page"], said["form"] = page("/x/soaking-test/"), page("/do/soaking-test/")
        said["stranger"] = Client().get("/x/soaking-test/").status_code
        said["bench"], said["lot page"] = page("/area/bench/"), page(f"/lots/{lot}/")
        paper = person.get(f"/print/x/soaking-test/report.pdf?lot={lot}")
        no_paper = person.get(f"/print/x/soaking-test/none.pdf?lot={lot}")
        said["paper"] = [paper.status_code, paper.content[:5].decode(), no_paper.status_code]
        said["veto"] = body(program.send("/api/v1/acts/sow", {"lot": lot, "plots": ["ST24-N-1-2"], "mass": "1"}))
        from inventory.actions.telling_plugins import tell_plugins
        from soaking_test.models import Heard
        said["told"] = [tell_plugins(), tell_plugins(), sorted(Heard.objects.values_list("number", flat=True))]
        """,
        WHOLE,
    )


def test_its_measurement_is_an_act_with_its_calculation(enabled: Any, asked: Asked) -> None:
    status, booked = enabled["act"]
    assert (status, booked["operations"][0]["kind"]) == (201, "measure")
    assert enabled["lot"]["soaking-test"] == {"hydration": "140.0 %"}
    status, problem = enabled["question"]
    assert (status, problem["code"], problem["errors"][0]["pointer"]) == (409, "lighter", "/soaked")


def test_its_table_and_its_route_stand(enabled: Any, asked: Asked) -> None:
    assert enabled["route"] == {"results": [{"lot": asked.lot, "coefficient": "140.0"}]}
    assert enabled["unknown key"] == 401
    assert [one["state"] for one in enabled["plugins"]] == ["on"]


def test_its_addresses_are_described_under_its_name(enabled: Any) -> None:
    route = enabled["described"]["/api/v1/x/soaking-test/soaks"]["get"]
    assert (route["tags"], route["x-plugin"]) == (["x-soaking-test"], "soaking-test")
    assert "/api/v1/acts/soaking-test" in enabled["described"]


def test_its_pages_and_its_paper_open_for_people_who_are_signed_in(enabled: Any, asked: Asked) -> None:
    assert enabled["page"][0] == 200
    assert f">{asked.lot}</a> 140.0 %" in enabled["page"][1]
    assert enabled["stranger"] == 302
    assert re.search(r"Soaked seed\b(?:(?!<input).)*\[g\]", enabled["form"][1], re.DOTALL)  # its own word, and its unit
    assert 'href="/x/soaking-test/">Soaking tests' in enabled["bench"][1]
    assert "hydration coefficient" in enabled["lot page"][1]
    assert "Soaking report" in enabled["lot page"][1]
    assert enabled["paper"] == [200, "%PDF-", 404]


def test_its_no_refuses_an_act_in_its_words(enabled: Any, asked: Asked) -> None:
    status, problem = enabled["veto"]
    assert (status, problem["code"]) == (422, "vetoed")
    assert problem["detail"].startswith(f"{asked.lot} took up water to 140.0 % only; scarify it")
    assert "The plugin soaking-test says no" in problem["detail"]


def test_it_hears_of_every_act_once_it_is_written(enabled: Any) -> None:
    assert enabled["told"] == [2, 0, [1, 2]]
    assert enabled["whole"]


def test_removing_it_leaves_the_cores_payloads_as_they_were(enabled: Any, before: Any, asked: Asked) -> None:
    safe = asked.program(CORE, HILUM_WITHOUT_PLUGINS="1")
    assert safe.pop("plugins")["safe_mode"]
    assert asked.site.run("plugins", "disable", "soaking-test").returncode == 0
    after = asked.program(CORE, WHOLE)
    assert after.pop("whole")
    assert after == before
    saved = asked.site.run("backup", str(asked.site.data / "off.zip"))
    assert saved.returncode == 0
    assert "the tables of plugins that are off: px_soaking_test_heard, px_soaking_test_soak." in saved.stderr
    assert safe == {name: value for name, value in before.items() if name != "plugins"}


DRIVE = """
from decimal import Decimal
from bench_balance.hooks import DRIVER
from hilum.plugins import DeviceReading
from hilum.plugins.host import the_host
from hilum.plugins.testing import assert_driver_conforms
samples = {
    "  842.0 kg": ("842.0", "kg", True), "842,0 kg": ("842.0", "kg", True),
    "ST,GS,+  12.42 lb": ("12.42", "lb", True), "US,NT,-   0.05 g": ("-0.05", "g", False),
}
expected = {
    text: [DeviceReading("mass", Decimal(value), unit, is_stable)]
    for text, (value, unit, is_stable) in samples.items()
}
assert_driver_conforms(DRIVER, expected, unread=["842.0", "842.0 oz", "ST,GS,+ 12.42 kg 13 kg", "1,234.5 g"])
read = the_host().read_device("bench-balance", "ST,GS,+  12.42 lb")
print(json.dumps([list(the_host().device_drivers()), [[str(one.value), one.unit] for one in read]]))
"""


def test_a_driver_reads_what_its_device_sends(site: Site) -> None:
    assert site.run("plugins", "enable", "bench-balance").returncode == 0
    assert site.program(DRIVE) == [["bench-balance"], [["12.42", "lb"]]]
    assert site.run("plugins", "disable", "bench-balance").returncode == 0
