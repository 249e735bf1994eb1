"""The second process that starts the site with some plugins: `python -m hilum.plugins.child start|plan|migrate LABEL`.

Its last line on stdout is one JSON object: why it failed, and which migrations it would apply or has applied.
"""

import json
import sys
from collections.abc import Iterator
from importlib import import_module
from io import StringIO
from typing import Any

from hilum.plugins.installed import LeftOut, in_words
from hilum.plugins.plugin import Plugin


def main(task: str, label: str) -> int:
    """Do one task and say what came of it."""
    said: list[str] = []
    doing = _DOING["start"]
    try:
        why = _start()
        doing = _DOING[task]
        if not why and task == "plan":
            why = _not_migrated(label)
            said = _planned(label)
        if not why and task == "migrate":
            said = _planned(label)
            if said:
                _migrate(label)
    except LeftOut as left_out:
        why = str(left_out)
    except (Exception, SystemExit) as error:
        why = f"{doing} ({in_words(error)})"
    print(json.dumps({"why": why, "said": said}))  # noqa: T201 - what the parent reads
    return 1 if why else 0


_DOING = {
    "start": "the site does not start with it",
    "plan": "its migrations cannot be planned",
    "migrate": "its migrations failed",
}


def _start() -> str:
    import django  # noqa: PLC0415 - reads the settings, and with them the plugins

    django.setup()
    from django.conf import settings  # noqa: PLC0415 - as above

    plugins: tuple[Plugin, ...] = settings.HILUM_STARTED.plugins
    return next((why for plugin in plugins for why in _faults(plugin)), "") or _failed_checks()


def _faults(plugin: Plugin) -> Iterator[str]:
    from hilum.plugins.host import Host  # noqa: PLC0415 - the apps stand now
    from hilum.plugins.mounting import views_of  # noqa: PLC0415 - as above
    from hilum.plugins.tables import faults_of_tables  # noqa: PLC0415 - as above

    yield from faults_of_tables(plugin)
    if plugin.hooks:
        for trouble in Host([(plugin.slug, lambda: import_module(plugin.hooks))]).quarantined():
            yield trouble.says.partition(": ")[2].rstrip(".")
    for module in filter(None, (plugin.routes, plugin.pages)):
        if not isinstance(getattr(import_module(module), "urlpatterns", None), list):
            yield f"{module} has no list urlpatterns"
    if plugin.routes and not all(hasattr(view, "cls") for view in views_of(plugin.routes)):
        yield f"{plugin.routes} has views that are none of the REST framework, so that no key would be asked for"
    elif plugin.routes and (open_ := [name for view in views_of(plugin.routes) if (name := _left_open(view))]):
        yield f"{plugin.routes} has {open_[0]}, which leaves out permissions of the site"


def _left_open(view: Any) -> str:
    """Name a view that does not ask for all that the site asks for: a key, its scope, whether the plugin is on."""
    from rest_framework.settings import api_settings  # noqa: PLC0415 - the apps stand now

    is_kept = set(api_settings.DEFAULT_PERMISSION_CLASSES) <= set(view.cls.permission_classes)
    return "" if is_kept else str(view.cls.__name__)


def _failed_checks() -> str:
    from django.core import checks  # noqa: PLC0415 - the apps stand now

    # What is wrong with the server's own settings is no plugin's fault.
    found = [one for one in checks.run_checks() if one.level >= checks.ERROR and not str(one.id).startswith("hilum.E")]
    return f"Django's checks find {found[0].id}: {found[0].msg}" if found else ""


def _planned(label: str) -> list[str]:
    from django.db import connection  # noqa: PLC0415 - the settings stand now
    from django.db.migrations.executor import MigrationExecutor  # noqa: PLC0415 - as above

    executor = MigrationExecutor(connection)
    leaves = [node for node in executor.loader.graph.leaf_nodes() if not label or node[0] == label]
    return [f"{step.app_label}.{step.name}" for step, _backwards in executor.migration_plan(leaves)]


def _not_migrated(label: str) -> str:
    """Say that models have changes that no migration of the plugin makes."""
    from django.core.management import call_command  # noqa: PLC0415 - the apps stand now

    try:
        call_command("makemigrations", label, check_changes=True, dry_run=True, stdout=StringIO(), stderr=StringIO())
    except SystemExit:
        return "its models have changes for which it brings no migration"
    return ""


def _migrate(label: str) -> None:
    from django.core.management import call_command  # noqa: PLC0415 - the apps stand now

    call_command("migrate", label, interactive=False, verbosity=0)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
