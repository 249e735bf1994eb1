"""What plugins are set to at a station."""

from collections.abc import Mapping
from typing import Any

from django.conf import settings

from hilum.plugins import Plugin
from hilum.plugins.settings_schema import NOTHING, SettingValue, frozen, settings_in, text_of
from inventory.models import PluginSecrets, PluginSettings

_KEPT_IN = (PluginSettings, PluginSecrets)


def settings_of(slug: str, station: str) -> Mapping[str, SettingValue]:
    """Give what holds at a station, secrets among it, for the plugin itself (2 queries; none without a schema)."""
    plugins: tuple[Plugin, ...] = settings.HILUM_STARTED.plugins
    plugin = next((one for one in plugins if one.slug == slug), None)
    if plugin is None or not plugin.settings_schema:
        return NOTHING
    found, plain, secret = settings_in(plugin.settings_schema), *(_texts(one, slug, station) for one in _KEPT_IN)
    right = {one.name: secret if one.is_secret else plain for one in found}  # a schema may make a secret of one later
    return frozen(found, {name: kept[name] for name, kept in right.items() if name in kept})


def plain_settings(plugin: Plugin, station: str) -> Mapping[str, SettingValue]:
    """Give what holds at a station, without secrets (1 query)."""
    plain = tuple(one for one in settings_in(plugin.settings_schema) if not one.is_secret)
    return frozen(plain, _texts(PluginSettings, plugin.slug, station))


def told_settings(plugin: Plugin, station: str) -> list[dict[str, Any]]:
    """Tell of everything that can be set what it is and what holds; of a secret only whether it is set (2 queries)."""
    plain, secrets = plain_settings(plugin, station), _texts(PluginSecrets, plugin.slug, station)
    return [
        {
            "name": one.name, "title": one.title, "description": one.description, "type": one.reads,
            "value": text_of(plain[one.name]) if one.name in plain else None,
            "is_secret": one.is_secret, "is_set": one.name in (secrets if one.is_secret else plain),
        }
        for one in settings_in(plugin.settings_schema)
    ]  # fmt: skip


def _texts(model: type[PluginSettings] | type[PluginSecrets], slug: str, station: str) -> Mapping[str, Any]:
    row = model.objects.filter(plugin=slug, station__code=station).first()
    return row.texts if row else {}
