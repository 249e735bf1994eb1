"""`manage.py plugins`: what is installed, what is on, and why something is not."""

from argparse import ArgumentParser
from collections.abc import Callable, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.conf import settings

from hilum.plugins import Plugin
from hilum.plugins.starting import SAFE_MODE, check_again, trouble
from hilum.plugins.switching import (
    CannotSwitch,
    NoSuchPlugin,
    Told,
    check_one,
    disable,
    enable,
    migrate_all,
    switch_at,
    told_plugins,
)
from hilum.plugins.template import write_template
from inventory.importing.acts import book
from inventory.importing.plugin_settings import settable, verb_of_setting
from inventory.importing.words import pairs
from inventory.management.door import (
    DONE,
    NO,
    UNUSABLE,
    Door,
    columns,
    take_person,
    the_person_who_may,
    the_station,
)
from inventory.queries.plugin_settings import told_settings

AGAIN = "Start the site again, so that all of its processes know."


class Command(Door):
    """Lists, checks and switches plugins; exit status 1 where one cannot start."""

    help = "List, check, enable or disable the plugins of installed packages, or write a new one."
    requires_system_checks = ()  # else a fault that it could end would keep it from running

    def take(self, parser: ArgumentParser) -> None:
        """Take what is to be done, and with which plugin."""
        parser.add_argument("task", choices=list(_TASKS), help="What to do.")
        parser.add_argument("slug", nargs="?", default="", help="Name of the plugin, as the list tells it.")
        parser.add_argument("words", nargs="*", metavar="field=value", help="What `set` sets.")
        take_person(parser)
        parser.add_argument("--reason", default="", help="Why; it is kept with the act of `set`.")
        parser.add_argument("--to", default=".", help="Folder into which `new` writes its package.")
        parser.add_argument("--at", action="store_true", help="Switch it at one station only, which --station names.")

    def answer(self, options: dict[str, Any]) -> int:
        """Do it, and say in full sentences what stands in the way."""
        try:
            return _TASKS[options["task"]](self, Path(settings.DATA_DIR), options)
        except CannotSwitch as why:
            self.complain(str(why))
            return UNUSABLE if isinstance(why, NoSuchPlugin) else NO

    def tell(self, options: Mapping[str, Any], answer: Mapping[str, Any], *lines: str) -> None:
        """Answer as JSON where it was asked for, else in sentences."""
        if options["json"]:
            self.say_json(answer)
        else:
            self.say(*lines)


def _list(door: Command, folder: Path, options: dict[str, Any]) -> int:
    told = told_plugins(folder)
    rows: list[tuple[str, ...]] = [(one.slug, one.version, _state(one), one.title) for one in told]
    lines = columns([("plugin", "version", "state", "what it is"), *rows]) if rows else ["No plugin is installed."]
    whys = [f"{one.slug}: {one.says}." for one in told if one.says]
    safe = [f"{SAFE_MODE} is set: no plugin is loaded."] if settings.HILUM_STARTED.is_safe_mode else []
    door.tell(options, {"plugins": [asdict(one) for one in told]}, *safe, *lines, *whys)
    return DONE


def _state(one: Told) -> str:
    return f"{one.state}, but at {', '.join(one.off_at)}" if one.off_at else one.state


def _check(door: Command, folder: Path, options: dict[str, Any]) -> int:
    if slug := options["slug"]:
        plugin = check_one(folder, slug)
        door.tell(options, {"left_out": {}}, f"The plugin {slug} {plugin.version} starts.")
        return DONE
    board = check_again(folder)
    says = [trouble(one, why).says for one, why in board.left_out.items()]
    count = len(board.on) - len(board.left_out)
    door.tell(options, {"left_out": dict(board.left_out)}, *says, f"{count} of {len(board.on)} plugins start.")
    return NO if says else DONE


def _enable(door: Command, folder: Path, options: dict[str, Any]) -> int:
    slug = _slug(options)
    if options["at"]:
        station = the_station(options).code
        switch_at(folder, slug, station, is_on=True)
        door.tell(options, {"on": slug, "at": station}, f"The plugin {slug} is on at {station}. {AGAIN}")
        return DONE
    plugin, applied = enable(folder, slug)
    tables = f" Its tables were made: {', '.join(applied)}." if applied else ""
    says = f"The plugin {slug} {plugin.version} is on.{tables} {AGAIN}"
    door.tell(options, {"on": slug, "version": plugin.version, "applied": list(applied)}, says)
    return DONE


def _disable(door: Command, folder: Path, options: dict[str, Any]) -> int:
    slug = _slug(options)
    if options["at"]:
        station = the_station(options).code
        switch_at(folder, slug, station, is_on=False)
        door.tell(options, {"off": slug, "at": station}, f"The plugin {slug} is off at {station}. {AGAIN}")
        return DONE
    disable(folder, slug)
    door.tell(options, {"off": slug}, f"The plugin {slug} is off. Tables of its own stay as they are. {AGAIN}")
    return DONE


def _migrate(door: Command, folder: Path, options: dict[str, Any]) -> int:
    says = migrate_all(folder)
    door.tell(options, {"left_out": says}, *says)
    return DONE  # the site starts without those that failed


def _set(door: Command, _folder: Path, options: dict[str, Any]) -> int:
    station, plugin = the_station(options), _settable(options)
    by = the_person_who_may(options, station, "plugins")
    booked = book(
        verb_of_setting(plugin), pairs(options["words"]), station=station, by=by, reason=options["reason"]
    )  # fmt: skip
    [act] = booked.operations
    says = f"The plugin {plugin.slug} is set at {station.code} (#{act.seq})."
    door.tell(options, {"set": plugin.slug, "at": station.code, "number": act.seq}, says)
    return DONE


def _settings(door: Command, _folder: Path, options: dict[str, Any]) -> int:
    station, plugin = the_station(options), _settable(options)
    told = told_settings(plugin, station.code)
    rows: list[tuple[str, ...]] = [(one["name"], _shown(one), one["title"]) for one in told]
    door.tell(options, {"plugin": plugin.slug, "at": station.code, "settings": told}, *columns(rows))
    return DONE


def _shown(one: Mapping[str, Any]) -> str:
    """Write what holds; of a secret that it is there."""
    return "(set, not shown)" if one["is_secret"] and one["is_set"] else str(one["value"] or "")


def _settable(options: dict[str, Any]) -> Plugin:
    """Find a plugin that is on at the station and can be set."""
    slug, station = _slug(options), the_station(options).code
    here = {one.slug: one for one in settable(station)}
    if slug not in here:
        there = f"There are: {', '.join(here)}." if here else "None can."
        raise NoSuchPlugin(f"No plugin {slug!r} that can be set is on at {station}. {there}")
    return here[slug]


def _new(door: Command, _folder: Path, options: dict[str, Any]) -> int:
    folder = write_template(_slug(options), Path(options["to"]))
    says = f"A package with tests that pass stands in {folder}. Its README.md says how it is tested and installed."
    door.tell(options, {"folder": str(folder)}, says)
    return DONE


def _slug(options: Mapping[str, Any]) -> str:
    if not options["slug"]:
        raise NoSuchPlugin(f"Name the plugin: manage.py plugins {options['task']} NAME. The list tells the names.")
    return str(options["slug"])


_TASKS: Mapping[str, Callable[[Command, Path, dict[str, Any]], int]] = {
    "list": _list, "check": _check, "enable": _enable, "disable": _disable, "migrate": _migrate, "new": _new,
    "set": _set, "settings": _settings,
}  # fmt: skip
