"""Setting a plugin as every door offers it: an act by its verb, with a field for each thing that can be set."""

from collections.abc import Iterator
from functools import lru_cache, partial
from typing import Any

from django.conf import settings

from hilum.plugins import Plugin
from hilum.plugins.host import the_host
from hilum.plugins.settings_schema import settings_in, text_of
from inventory.actions.acting import Booked
from inventory.actions.plugin_settings import field_of, set_plugin
from inventory.importing.measurements import given, words_of_fields
from inventory.models import Station
from inventory.queries.plugin_settings import plain_settings

MOST_PLUGINS = 100


def settable(station: str = "") -> Iterator[Plugin]:
    """Name the plugins that are on at a station, or at any, and can be set."""
    plugins: tuple[Plugin, ...] = settings.HILUM_STARTED.plugins
    return (one for one in plugins if one.settings_schema and the_host().is_on(one.slug, station))


def verb_of_setting(plugin: Plugin) -> str:
    """Give the verb under which a plugin is set: "set soaking test"."""
    return f"set {plugin.slug.replace('-', ' ')}"


@lru_cache(MOST_PLUGINS)
def _words(slug: str, title: str, fields: tuple[Any, ...]) -> type[Any]:
    return words_of_fields(f"set_{slug.replace('-', '_')}", f"Set {title}", fields)


def words_of_settings(plugin: Plugin) -> type[Any]:
    """Make the dataclass of the typed words of what a plugin can be set to."""
    found = settings_in(plugin.settings_schema)
    return _words(plugin.slug, plugin.title, tuple(field_of(one) for one in found))


def book_settings(plugin: Plugin) -> Any:
    """Give the action that sets a plugin from its typed words."""
    return partial(_book, plugin)


def _book(plugin: Plugin, words: Any, *, answers: Any = None, **asked: Any) -> Booked:  # noqa: ARG001 - it asks nothing
    return set_plugin(plugin, given(words), **asked)


def secrets_of(plugin: Plugin) -> tuple[str, ...]:
    """Name the settings that are secrets."""
    return tuple(one.name for one in settings_in(plugin.settings_schema) if one.is_secret)


def first_typed(plugin: Plugin, station: Station) -> dict[str, str]:
    """Fill a fresh form with what holds now; secrets are not shown."""
    return {name: text_of(value) for name, value in plain_settings(plugin, station.code).items()}
