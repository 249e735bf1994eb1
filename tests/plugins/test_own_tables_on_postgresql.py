"""A plugin with tables of its own on PostgreSQL: made, used and kept; a migration that fails leaves nothing."""

import shutil
from pathlib import Path
from typing import Any

import psycopg
import pytest

from tests.plugins.asked import WHOLE, Asked
from tests.plugins.site import Site

pytestmark = [pytest.mark.slow, pytest.mark.own_site]

MODELS = """
from django.db import models

class Lamp(models.Model):
    name = models.CharField(max_length=40)
"""
APPS = """
from django.apps import AppConfig

class LampConfig(AppConfig):
    name = "half_way"
    label = "px_half_way"
    default_auto_field = "django.db.models.BigAutoField"
"""
# It makes its table, and fails before its migration is through.
HALF_WAY = """
from django.db import migrations, models

def fail(apps, schema_editor):
    apps.get_model("px_half_way", "Lamp").objects.create(name="red")
    raise RuntimeError("the lamp is off")

class Migration(migrations.Migration):
    initial = True
    dependencies = []
    operations = [
        migrations.CreateModel(
            name="Lamp",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=40)),
            ],
        ),
        migrations.RunPython(fail),
    ]
"""


@pytest.fixture(scope="module")
def site(wheels: Path, postgres_server: str, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Give a site of this module's own whose books stand on PostgreSQL."""
    folder = tmp_path_factory.mktemp("site")
    with psycopg.connect(f"{postgres_server}/postgres", autocommit=True) as door:
        door.execute("CREATE DATABASE plugins_tables")
    site = Site(
        folder / "data", Path(shutil.copytree(wheels, folder / "packages")), f"{postgres_server}/plugins_tables"
    )
    site.migrate()
    yield site
    with psycopg.connect(f"{postgres_server}/postgres", autocommit=True) as door:
        door.execute("DROP DATABASE plugins_tables WITH (FORCE)")


def tables(site: Site) -> dict[str, int]:
    """Count the rows of every table of a plugin."""
    with psycopg.connect(site.database) as door:
        found = door.execute("SELECT tablename FROM pg_tables WHERE tablename LIKE 'px\\_%'").fetchall()
        counts = [door.execute(f'SELECT count(*) FROM "{name}"').fetchone() for (name,) in found]
    return {name: count[0] for (name,), count in zip(found, counts, strict=True) if count}


def test_its_tables_are_made_used_and_kept_when_it_is_switched_off(site: Site) -> None:
    asked = Asked(site)
    done = site.run("plugins", "enable", "soaking-test")
    assert "Its tables were made: px_soaking_test.0001_initial." in done.stdout, done.stderr
    said = asked.program(
        """
        words = {"lot": lot, "dry": "100", "soaked": "140"}
        said["act"] = body(program.send("/api/v1/acts/soaking-test", words, "one"))[0]
        said["route"] = program.get("/api/v1/x/soaking-test/soaks")["results"]
        """,
        WHOLE,
    )
    assert said == {"act": 201, "route": [{"lot": asked.lot, "coefficient": "140.0"}], "whole": True}
    kept = {"px_soaking_test_heard": 0, "px_soaking_test_soak": 1}
    assert tables(site) == kept
    assert site.run("plugins", "disable", "soaking-test").returncode == 0
    assert tables(site) == kept


def test_a_migration_that_fails_half_way_leaves_nothing_and_the_site_starts(site: Site) -> None:
    before = tables(site)
    files = {"apps": APPS, "models": MODELS, "migrations__0001_initial": HALF_WAY}
    site.package("half_way", 'app="half_way.apps.LampConfig"', **files)
    done = site.run("plugins", "enable", "half-way")
    assert done.returncode == 1
    assert "was not switched on: its migrations failed (RuntimeError: the lamp is off)" in done.stderr
    assert tables(site) == before
    states = {one["slug"]: one["state"] for one in site.json("plugins", "list")["plugins"]}  # the site starts
    assert states["half-way"] == "off"
