"""The kinds of sheet that are the inventory's own, and how any kind is found."""

from hilum.plugins import SheetKind
from hilum.plugins.host import the_host
from inventory.importing.kinds import intake, notes, plots, runs, weather
from inventory.importing.kinds.kind import Kind
from inventory.importing.kinds.plain import kind_of_plugin
from inventory.importing.measurements import sheet_kinds_of_measurements
from inventory.importing.words import UnknownWord

OWN: tuple[Kind, ...] = (intake.KIND, runs.KIND, plots.KIND, weather.KIND, notes.KIND)


def all_kinds(station: str = "") -> dict[str, Kind]:
    """Name every kind of sheet that can be loaded at a station, or at any: our own first, then those of plugins."""
    kinds = {kind.name: kind for kind in OWN}
    for brought in the_host().sheet_kinds(station):
        if isinstance(brought, SheetKind):
            kinds.setdefault(brought.name, kind_of_plugin(brought))
        elif isinstance(brought.acts, Kind):
            kinds.setdefault(brought.name, brought.acts)
    for brought in sheet_kinds_of_measurements(station):
        kinds.setdefault(brought.name, kind_of_plugin(brought))
    return kinds


def kind_named(typed: str, station: str = "") -> Kind:
    """Find a kind of sheet, our own or a plugin's that is on at the station.

    Raises:
        UnknownWord: there is none, with the nearest.
    """
    kinds = all_kinds(station)
    kind = kinds.get(typed.strip().casefold())
    if kind is None:
        raise UnknownWord("kind of sheet", typed, list(kinds), field="kind")
    return kind
