"""Every hook there is: its signature, and one sentence that is its promise.

Hooks receive names and numbers as people type them and answer with the frozen values of `facts.py`, never with
database objects. `settings` is what the plugin is set to at the station. A hook may take fewer arguments than are
offered here; it may not take others.
"""

from collections.abc import Mapping, Sequence

import pluggy

from hilum.plugins.facts import (
    ActAhead,
    ActDone,
    ActOffer,
    ActSheetKind,
    DeviceDriver,
    Difference,
    Found,
    LookAt,
    LotQuestion,
    MeasurementKind,
    PageLink,
    Panel,
    PaperForm,
    PluginJob,
    SheetKind,
    Veto,
    Waiting,
)
from hilum.plugins.settings_schema import SettingValue

hookspec = pluggy.HookspecMarker("hilum")
# A plugin that may say no is asked until it is switched off: acts must not go through because it failed too often.
NEVER_SET_ASIDE = ("veto",)


@hookspec
def lot_facts(  # type: ignore[empty-body]
    lot_numbers: Sequence[str], station: str, person: str, settings: Mapping[str, SettingValue]
) -> Mapping[str, Mapping[str, str]]:
    """Tell a person ("" where nobody is known) of many lots: lot number -> name of the fact (`last_grade`) -> text."""


@hookspec
def lot_panels(lot_number: str, station: str, person: str, settings: Mapping[str, SettingValue]) -> Sequence[Panel]:  # type: ignore[empty-body]
    """Give the boxes this plugin shows on one lot's page to a person ("" where nobody is known), in their order."""


@hookspec
def lot_questions() -> Sequence[LotQuestion]:  # type: ignore[empty-body]
    """Name the questions that this plugin answers on the list of lots, in their order."""


@hookspec
def blend_forecast(  # type: ignore[empty-body]
    parts: Sequence[tuple[str, int]], station: str, person: str, settings: Mapping[str, SettingValue]
) -> Sequence[Panel]:
    """Foretell what a blend would be before it is made, from the lots that go in and the mass of each in milligrams."""


@hookspec
def sheet_kinds() -> Sequence[SheetKind | ActSheetKind]:  # type: ignore[empty-body]
    """Name the kinds of sheet this plugin can load."""


@hookspec
def acts() -> Sequence[ActOffer]:  # type: ignore[empty-body]
    """Name the acts this plugin lets people book from typed words."""


@hookspec
def find(typed: str, station: str, settings: Mapping[str, SettingValue]) -> Found | None:
    """Find a thing of this plugin's own that was typed or scanned; None where it is none of them."""


@hookspec
def page_links() -> Sequence[PageLink]:  # type: ignore[empty-body]
    """Name this plugin's pages under the three words of every page: Floor, Bench, Breeding."""


@hookspec
def waiting(station: str, settings: Mapping[str, SettingValue]) -> Sequence[Waiting]:  # type: ignore[empty-body]
    """Name what waits for somebody at a station, for the home page."""


@hookspec
def check_records(station: str, settings: Mapping[str, SettingValue]) -> Sequence[Difference]:  # type: ignore[empty-body]
    """Prove this plugin's own records of one station, for `verify`; an empty answer means that they agree."""


@hookspec
def look_at(station: str, person: str, settings: Mapping[str, SettingValue]) -> Sequence[LookAt]:  # type: ignore[empty-body]
    """Name what looks wrong or is missing in this plugin's records, for the daily list of the data manager."""


@hookspec
def measurement_kinds() -> Sequence[MeasurementKind]:  # type: ignore[empty-body]
    """Name the ways to measure a lot that this plugin brings, each with its calculation."""


@hookspec
def device_drivers() -> Sequence[DeviceDriver]:  # type: ignore[empty-body]
    """Name the kinds of device whose texts this plugin reads."""


@hookspec
def paper_forms() -> Sequence[PaperForm]:  # type: ignore[empty-body]
    """Name the reports and forms that this plugin writes about a lot."""


@hookspec
def jobs() -> Sequence[PluginJob]:  # type: ignore[empty-body]
    """Name the long work that this plugin does in the worker."""


@hookspec
def veto(acts: Sequence[ActAhead], station: str, settings: Mapping[str, SettingValue]) -> Sequence[Veto]:  # type: ignore[empty-body]
    """Say no to acts that are about to be written, within their transaction; an empty answer lets them through."""


@hookspec
def after_commit(acts: Sequence[ActDone], station: str, settings: Mapping[str, SettingValue]) -> None:
    """Hear of acts that are written, in their order, at least once each; `manage.py work` tells of them."""
