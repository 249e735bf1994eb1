"""Set what a plugin can be set to at a station; secrets are kept apart, and no act tells one."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User

from hilum.plugins import MeasurementField, Plugin
from hilum.plugins.settings_schema import Setting, SettingValue, settings_in, text_of
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk
from inventory.actions.origin import entered
from inventory.actions.plugin_measuring import read_values
from inventory.actions.posting import post
from inventory.actions.reader import Reader
from inventory.models import PluginSecrets, PluginSettings, Station
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted

HIDDEN = "(not shown)"  # stands in the books where a secret was set


class NothingToSet(Mistake):
    """No setting was named."""

    code = "nothing_to_set"

    def __init__(self, names: list[str]) -> None:
        super().__init__(f"Say what to set, for example {names[0]}={names[0].upper()}. There are: {', '.join(names)}.")


class NoSuchSetting(Mistake):
    """The plugin has no setting of this name."""

    code = "no_such_setting"

    def __init__(self, name: str, known: list[str]) -> None:
        super().__init__(f"There is no setting {quoted(name)}. There are: {', '.join(known)}.", field=name)


class NotWhole(Mistake):
    """A number with a fraction where whole ones are taken."""

    code = "not_whole"

    def __init__(self, setting: Setting, value: Decimal) -> None:
        super().__init__(f"{setting.title} is {value:f}. Give a whole number, such as {value:.0f}.", field=setting.name)


def field_of(setting: Setting) -> MeasurementField:
    """Give a setting as a field that people type into."""
    is_text = setting.reads in ("string", "boolean")
    choices = ("yes", "no") if setting.reads == "boolean" else setting.choices
    return MeasurementField(
        setting.name, setting.title, "text" if is_text else "number", least=setting.least, most=setting.most,
        required=False, choices=choices, example="" if setting.default is None else text_of(setting.default),
    )  # fmt: skip


@action("plugins")
def set_plugin(
    plugin: Plugin, typed: Mapping[str, Any], *, station: Station, by: User, key: str = "", reason: str = "",
    now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Set some of what a plugin can be set to; what is not named stays as it is.

    Args:
        typed: name -> value as people type it.

    Raises:
        Refused: a name is not known, or a value is not of the kind that the plugin reads.
    """
    reader = Reader(Desk(station, now))
    known = {one.name: one for one in settings_in(plugin.settings_schema)}
    values = _read(reader, known, typed)
    at = reader.when(None)
    record = {
        "record": "plugin", "name": plugin.slug,
        "settings": {name: HIDDEN if known[name].is_secret else text_of(value) for name, value in values.items()},
    }  # fmt: skip
    draft = entered(reader, record, by=by, at=at, key=key, reason=reason)
    for model, is_secret in ((PluginSettings, False), (PluginSecrets, True)):
        _keep(model, plugin, station, {n: text_of(v) for n, v in values.items() if known[n].is_secret is is_secret})
    return Booked((post(draft),))


def _keep(
    model: type[PluginSettings] | type[PluginSecrets], plugin: Plugin, station: Station, texts: Mapping[str, str]
) -> None:
    if texts:
        row, _made = model.objects.select_for_update().get_or_create(station=station, plugin=plugin.slug)
        row.texts = {**row.texts, **texts}
        row.save(update_fields=["texts"])


def _read(reader: Reader, known: Mapping[str, Setting], typed: Mapping[str, Any]) -> dict[str, SettingValue]:
    reader.add(*(NoSuchSetting(name, list(known)) for name in typed if name not in known))
    named = {name: value for name, value in typed.items() if name in known and value not in (None, "")}
    texts = {name: ("yes" if value else "no") if isinstance(value, bool) else value for name, value in named.items()}
    read, mistakes = read_values([field_of(known[name]) for name in texts], texts)
    reader.add(*mistakes)
    if not typed or (not named and not reader.mistakes):
        reader.add(NothingToSet(list(known)))
    return {name: _value(reader, known[name], value) for name, value in read.items()}


def _value(reader: Reader, setting: Setting, value: Any) -> SettingValue:
    if setting.reads == "boolean":
        return bool(value == "yes")
    if setting.reads == "integer":
        if value % 1:
            reader.add(NotWhole(setting, value))
        return int(value)
    found: SettingValue = value
    return found
