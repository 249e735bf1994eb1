"""Plugins that are broken in every way: none is switched on, none keeps the site from starting, each is named."""

import json
import os
from collections.abc import Iterator
from typing import Any

import pytest

from hilum.plugins.switched import Board, Switched, read_board, write_board
from hilum.plugins.switching import CannotSwitch, NoSuchPlugin, disable, enable, migrate_all, switch_at, told_plugins
from tests.plugins.asked import WHOLE, Asked
from tests.plugins.site import Site

pytestmark = [pytest.mark.slow, pytest.mark.own_site]

APP = """
from django.apps import AppConfig

class Config(AppConfig):
    name = "{name}"
    label = "px_{name}"
    default_auto_field = "django.db.models.BigAutoField"
"""
TABLE = """
from django.db import models

class Note(models.Model):
    {field}
"""
OPEN_DOOR = """
from django.urls import path
from rest_framework.views import APIView

class Lamp(APIView):
    permission_classes = []

urlpatterns = [path("", Lamp.as_view())]
"""
MIGRATION = """
from django.db import migrations, models

def fail(*_):
    raise RuntimeError("the lamp is off")

class Migration(migrations.Migration):
    dependencies = [{dependencies}]
    operations = [{operations}]
"""
MAKE = (
    'migrations.CreateModel("Note", [("id", models.BigAutoField(auto_created=True, primary_key=True, '
    'serialize=False, verbose_name="ID")), ("text", models.TextField())])'
)
MISSING = "import no_such_module"
PANEL = """
from hilum.plugins import Panel, hookimpl

@hookimpl
def lot_panels(lot_number):
    return [Panel("Bright", ())]
"""


def with_app(site: Site, name: str, **files: str) -> None:
    site.package(name, f'app="{name}.apps.Config"', apps=APP.format(name=name), **files)


def note(field: str = "text = models.TextField()") -> str:
    return TABLE.format(field=field)


@pytest.fixture(scope="module")
def broken(site: Site) -> Iterator[Site]:
    """A site beside which every kind of broken package lies, and a good one."""
    site.package("bright", 'hooks="bright.hooks"', hooks=PANEL)
    site.package("too_new", 'slug="too-new", title="", version="1", api=">=99"')
    site.package("unread", __init__=MISSING)
    site.package("twin_a", slug="twin", plugin='slug="twin", title="", version="1", api=">=1"')
    site.package("twin_b", slug="twin", plugin='slug="twin", title="", version="1", api=">=1"')
    site.package("bad_apps", 'app="bad_apps.apps.Config"', apps=MISSING)
    with_app(site, "bad_models", models=MISSING)
    with_app(site, "bad_table", models=note('stock = models.ForeignKey("inventory.Stock", on_delete=models.CASCADE)'))
    with_app(site, "unmigrated", models=note())
    with_app(
        site, "bad_migration", models=note(),
        migrations__0001_initial=MIGRATION.format(dependencies="", operations=f"{MAKE}, migrations.RunPython(fail)"),
    )  # fmt: skip
    site.package("bad_label", 'app="bad_label"', models=note())
    site.package("bad_urls", 'routes="bad_urls.urls"', urls=MISSING)
    site.package(
        "no_key", 'routes="no_key.urls"', urls="from django.urls import path\nurlpatterns = [path('', lambda r: None)]"
    )
    site.package("open_door", 'routes="open_door.urls"', urls=OPEN_DOOR)
    site.package("bad_hook", 'hooks="bad_hook.hooks"', hooks=PANEL.replace("lot_panels(lot_number)", "lot_lamps()"))
    beside = {
        "HILUM_DATA": str(site.data), "PYTHONPATH": str(site.packages), "DJANGO_SETTINGS_MODULE": "hilum.settings",
    }  # fmt: skip
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(site.packages))
        for name, value in beside.items():
            patch.setenv(name, value)
        patch.delenv("DATABASE_URL", raising=False)
        yield site


@pytest.mark.parametrize(
    ("slug", "why"),
    [
        ("too-new", "it is written for the plugin interface >=99; here is 1."),
        ("unread", "it could not be loaded (ModuleNotFoundError: No module named 'no_such_module')"),
        ("twin", "twin-a and twin-b both bring a plugin 'twin'"),
        ("bad-apps", "the site does not start with it (ModuleNotFoundError: No module named 'no_such_module')"),
        ("bad-models", "the site does not start with it (ModuleNotFoundError: No module named 'no_such_module')"),
        ("bad-table", "Note.stock points at inventory.Stock, which may change"),
        ("unmigrated", "it has models and no migrations"),
        ("bad-migration", "its migrations failed (RuntimeError: the lamp is off)"),
        ("bad-label", "its app has the label bad_label; it must be px_bad_label"),
        ("bad-urls", "No module named 'no_such_module'"),
        ("no-key", "so that no key would be asked for"),
        ("open-door", "open_door.urls has Lamp, which leaves out permissions of the site"),
        ("bad-hook", "there is no hook named lot_lamps"),
    ],
)
def test_a_broken_plugin_is_not_switched_on_and_says_why(broken: Site, slug: str, why: str) -> None:
    with pytest.raises(CannotSwitch) as stopped:
        enable(broken.data, slug)
    assert why in str(stopped.value)
    assert read_board(broken.data).of(slug) is None


def test_the_list_names_what_cannot_be_read_and_twins(broken: Site) -> None:
    told = {(one.slug, one.package): one for one in told_plugins(broken.data)}
    assert told["unread", "unread"].says.startswith("it could not be loaded")
    assert told["twin", "twin-a"].says == "twin-b brings a plugin of the same name"
    assert told["bright", "bright"].state == "off"


def test_a_plugin_that_is_not_there_is_said_with_the_nearest(broken: Site) -> None:
    with pytest.raises(NoSuchPlugin, match=r"Did you mean bright\?"):
        enable(broken.data, "brigt")
    with pytest.raises(NoSuchPlugin, match="'bright' is not on"):
        disable(broken.data, "bright")


def test_a_migration_that_fails_after_an_update_leaves_the_plugin_out(broken: Site) -> None:
    operations = f"{MAKE}"
    with_app(
        broken, "ages", models=note(),
        migrations__0001_initial=MIGRATION.format(dependencies="", operations=operations),
    )  # fmt: skip
    assert enable(broken.data, "ages")[1] == ("px_ages.0001_initial",)
    second = MIGRATION.format(dependencies='("px_ages", "0001_initial")', operations="migrations.RunPython(fail)")
    with_app(broken, "ages", migrations__0002_second=second)
    [says] = [one for one in migrate_all(broken.data) if "ages" in one]
    assert says == "The plugin ages was left out: its migrations failed (RuntimeError: the lamp is off)."
    assert read_board(broken.data).left_out["ages"]
    disable(broken.data, "ages")


def test_one_that_passes_its_trial_and_fails_at_the_start_does_not_stop_a_command(broken: Site) -> None:
    ready = """
    def ready(self):
        import os
        if not os.environ.get("HILUM_TRIED_PLUGINS"):
            raise RuntimeError("the lamp is off")
"""
    broken.package("moody", 'app="moody.apps.Config"', apps=APP.format(name="moody") + ready)
    enable(broken.data, "moody")
    done = broken.run("plugins", "list", "--json")
    assert done.returncode == 0
    assert "did not start with its plugins (RuntimeError: the lamp is off)" in done.stderr
    assert [one["state"] for one in json.loads(done.stdout)["plugins"] if one["slug"] == "moody"] == ["on"]
    assert read_board(broken.data).stamp == ""
    disable(broken.data, "moody")


# What a site says of itself; the site is started for it.
SAYS = """
from io import StringIO
from django.core.management import call_command
from hilum.plugins.host import the_host
out = StringIO()
call_command("check", stdout=out, stderr=out)
said["check"] = out.getvalue()
said["names"] = the_host().names()[1:]
said["plugins"] = {one["plugin"]: one for one in program.get("/api/v1/plugins")["results"]}
said["home"], said["lot"] = page("/"), page(f"/lots/{lot}/")
out = StringIO()
call_command("watch", stdout=out)
said["watch"] = out.getvalue()
"""


@pytest.fixture(scope="module")
def left_out(broken: Site) -> Any:
    """What a site says that was switched on with a good plugin, and three that broke afterwards."""
    asked = Asked(broken)
    on = [Switched(slug, slug) for slug in ("bad-models", "bright", "bad-urls", "too-new", "gone")]
    write_board(broken.data, Board(tuple(on)))
    return asked, asked.program(SAYS, WHOLE)


def test_the_site_starts_without_those_that_fail(left_out: Any) -> None:
    _asked, said = left_out
    assert said["names"] == ["bright"]
    assert said["whole"]
    assert "Bright" in said["lot"][1]
    assert {slug: one["state"] for slug, one in said["plugins"].items()} == {
        "bright": "on", "bad-models": "left out", "bad-urls": "left out", "too-new": "left out", "gone": "left out",
    }  # fmt: skip


@pytest.mark.parametrize("slug", ["bad-models", "bad-urls", "too-new", "gone"])
def test_each_that_was_left_out_is_named_wherever_one_looks(left_out: Any, slug: str) -> None:
    _asked, said = left_out
    words = f"The plugin {slug} was left out: "
    assert said["plugins"][slug]["says"][0].startswith(words)
    for where in ("check", "watch"):
        assert words in said[where], where
    assert words in said["home"][1]


def test_what_was_found_is_kept_until_something_changes(left_out: Any, broken: Site) -> None:
    asked, _said = left_out
    before = (broken.data / "plugins.json").stat().st_mtime_ns
    assert asked.program("") == {}
    assert (broken.data / "plugins.json").stat().st_mtime_ns == before
    (broken.packages / "bad_urls" / "urls.py").write_text("urlpatterns = []\n")
    assert broken.json("plugins", "list")["plugins"]  # this start tries anew
    assert read_board(broken.data).left_out.keys() == {"bad-models", "too-new", "gone"}


def test_a_plugin_may_be_off_at_one_station(left_out: Any, broken: Site) -> None:
    asked, _said = left_out
    switch_at(broken.data, "bright", "ST", is_on=False)
    said = asked.program('said["lot"] = page(f"/lots/{lot}/")')
    assert "Bright" not in said["lot"][1]
    switch_at(broken.data, "bright", "ST", is_on=True)
    assert read_board(broken.data).of("bright") == Switched("bright", "bright")


def test_a_board_that_cannot_be_read_switches_all_off_and_says_so(broken: Site) -> None:
    file = broken.data / "plugins.json"
    kept = file.read_text()
    file.write_text(kept[:40])
    said = broken.program(
        "from hilum.plugins.host import the_host\n"
        "print(json.dumps([the_host().names(), [one.says for one in the_host().quarantined()]]))"
    )
    assert said[0] == ["grading.plugin"]
    assert "cannot be read" in said[1][0]
    file.write_text(kept)
    assert json.loads(kept)["on"]
    assert os.environ["HILUM_DATA"] == str(broken.data)
