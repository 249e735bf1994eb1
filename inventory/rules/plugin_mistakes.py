"""What plugins have to say against an act, and what is said when one of them fails."""

from hilum.plugins.facts import MeasurementFinding
from inventory.rules.mistakes import Level, Mistake


class Vetoed(Mistake):
    """A plugin says no."""

    code = "vetoed"

    def __init__(self, plugin: str, says: str) -> None:
        super().__init__(f"{says} (The plugin {plugin} says no to this.)")


class PluginFailed(Mistake):
    """A plugin that this act needs failed; nothing is wrong with what was typed."""

    code = "plugin_failed"


class PluginOff(Mistake):
    """The plugin is switched off at this station."""

    code = "plugin_off"

    def __init__(self, plugin: str, station: str) -> None:
        super().__init__(f"The plugin {plugin} is off at {station}. Whoever runs the site may switch it on there.")


class FoundByPlugin(Mistake):
    """What a plugin found in the values of its measurement."""

    def __init__(self, found: MeasurementFinding) -> None:
        super().__init__(found.says, field=found.field)
        self.code = found.code  # type: ignore[misc]  # each finding has its own
        self.level = Level(found.level)  # type: ignore[misc]  # as the plugin says
