"""The host: a typed caller for every hook, which says what a failing plugin costs there."""

import logging
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from importlib import import_module

from django.conf import settings

from hilum.plugins.answers import (
    all_of,
    facts_of_lots,
    jobs,
    measurement_kinds,
    nothing,
    offers_of_acts,
    one_or_none,
    sheet_kinds,
)
from hilum.plugins.asking import Asking
from hilum.plugins.driving import DriverFailed, ReadingUnread, parsed
from hilum.plugins.facts import (
    ActAhead,
    ActDone,
    ActOffer,
    ActSheetKind,
    DeviceDriver,
    DeviceReading,
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
    Trouble,
    Veto,
    Waiting,
)
from hilum.plugins.starting import Started

logger = logging.getLogger("hilum.plugins")
__all__ = ["Host", "ReadingUnread", "Trouble", "VetoUnanswered", "the_host"]


class VetoUnanswered(Exception):  # noqa: N818 - an answer that is missing
    """A plugin that may say no to an act gave no answer: nothing is written, for it might have said no."""

    def __init__(self, trouble: Trouble) -> None:
        super().__init__(
            f"The plugin {trouble.plugin} must be asked before this is written, and it failed. Nothing was written. "
            f"Try again; if it stays so, switch it off: manage.py plugins disable {trouble.plugin}. {trouble.says}"
        )
        self.plugin = trouble.plugin


class Host(Asking):
    """The plugins of one site.

    A plugin that is off at a station is not asked there; where no station is named, every plugin is.
    """

    def lot_facts(self, lot_numbers: Sequence[str], station: str, person: str = "") -> dict[str, dict[str, str]]:
        """Gather the facts of many lots; where two plugins name the same fact, the later one's stands."""
        gathered: dict[str, dict[str, str]] = {number: {} for number in lot_numbers}
        answers, _ = self._ask(
            "lot_facts", facts_of_lots, lot_numbers=tuple(lot_numbers), station=station, person=person
        )
        for answer in answers:
            for number, facts in answer.items():
                gathered.setdefault(number, {}).update(facts)
        return gathered

    def lot_panels(self, lot_number: str, station: str, person: str = "") -> tuple[Panel, ...]:
        """Gather the boxes of one lot's page; a plugin that failed gets a box that says so."""
        asked = {"lot_number": lot_number, "station": station, "person": person}
        answers, troubles = self._ask("lot_panels", all_of(Panel), **asked)
        failed = (Panel(trouble.plugin, (("Not shown", trouble.says),)) for trouble in troubles)
        return (*(panel for answer in answers for panel in answer), *failed)

    def lot_questions(self, station: str = "") -> tuple[LotQuestion, ...]:
        """Gather the questions of the list of lots; of two with one name the first stands."""
        answers, _ = self._ask("lot_questions", all_of(LotQuestion), station=station)
        questions: dict[str, LotQuestion] = {}
        for question in (question for answer in answers for question in answer):
            if questions.setdefault(question.name, question) is not question:
                logger.error("Two plugins bring the question %r; the first one's stands.", question.name)
        return tuple(questions.values())

    def blend_forecast(self, parts: Sequence[tuple[str, int]], station: str, person: str = "") -> tuple[Panel, ...]:
        """Gather what is foretold of a blend; a plugin that failed gets a box that says so, and the blend goes on."""
        answers, troubles = self._ask(
            "blend_forecast", all_of(Panel), parts=tuple(parts), station=station, person=person
        )  # fmt: skip
        failed = (Panel(trouble.plugin, (("Not foretold", trouble.says),)) for trouble in troubles)
        return (*(panel for answer in answers for panel in answer), *failed)

    def sheet_kinds(self, station: str = "") -> tuple[SheetKind | ActSheetKind, ...]:
        """Gather the kinds of sheet; of two with one name the first stands."""
        answers, _ = self._ask("sheet_kinds", sheet_kinds, station=station)
        kinds: dict[str, SheetKind | ActSheetKind] = {}
        for kind in (kind for answer in answers for kind in answer):
            if kinds.setdefault(kind.name, kind) is not kind:
                logger.error("Two plugins bring the sheet kind %r; the first one's stands.", kind.name)
        return tuple(kinds.values())

    def acts(self, station: str = "") -> tuple[ActOffer, ...]:
        """Gather the acts that can be booked from typed words; of two with one verb the first stands."""
        answers, _ = self._ask("acts", offers_of_acts, station=station)
        offers: dict[str, ActOffer] = {}
        for offer in (offer for answer in answers for offer in answer):
            if offers.setdefault(offer.verb, offer) is not offer:
                logger.error("Two plugins offer the act %r; the first one's stands.", offer.verb)
        return tuple(offers.values())

    def find(self, typed: str, station: str) -> Found | None:
        """Ask for a thing that was typed or scanned; of several answers the first stands."""
        answers, _ = self._ask("find", one_or_none(Found), typed=typed, station=station)
        return next((answer for answer in answers if answer is not None), None)

    def page_links(self, station: str = "") -> tuple[PageLink, ...]:
        """Gather the pages that stand under the three words of every page."""
        answers, _ = self._ask("page_links", all_of(PageLink), station=station)
        return tuple(link for answer in answers for link in answer)

    def waiting(self, station: str) -> tuple[Waiting, ...]:
        """Gather what waits; a plugin that failed is itself something that waits for the records desk."""
        answers, troubles = self._ask("waiting", all_of(Waiting), station=station)
        failed = (Waiting("breeding", trouble.says, "/") for trouble in troubles)
        return (*(item for answer in answers for item in answer), *failed)

    def look_at(self, station: str, person: str = "") -> tuple[LookAt, ...]:
        """Gather what looks wrong or is missing; a plugin that failed is itself something to look at."""
        answers, troubles = self._ask("look_at", all_of(LookAt), station=station, person=person)
        failed = (LookAt("A plugin failed", trouble.says, "/") for trouble in troubles)
        return (*(item for answer in answers for item in answer), *failed)

    def check_records(self, station: str) -> tuple[Difference, ...]:
        """Gather what plugins find in their records; one that could not look is itself a difference."""
        answers, troubles = self._ask("check_records", all_of(Difference), station=station)
        unchecked = (Difference("plugin_failed", trouble.plugin, trouble.says) for trouble in troubles)
        return (*(difference for answer in answers for difference in answer), *unchecked)

    def facts_by_plugin(self, lot_number: str, station: str, person: str = "") -> dict[str, dict[str, str]]:
        """Gather the facts of one lot, those of each plugin by its name."""
        answers, _ = self._ask_each(
            "lot_facts", facts_of_lots, lot_numbers=(lot_number,), station=station, person=person
        )  # fmt: skip
        return {plugin: answer[lot_number] for plugin, answer in answers if answer.get(lot_number)}

    def measurement_kinds(self, station: str = "") -> dict[str, tuple[str, MeasurementKind]]:
        """Gather the ways to measure a lot: name -> plugin and kind; of two with one name the first stands."""
        answers, _ = self._ask_each("measurement_kinds", measurement_kinds, station=station)
        kinds: dict[str, tuple[str, MeasurementKind]] = {}
        here = [(plugin, kind) for plugin, answer in answers for kind in answer]
        for plugin, kind in here:
            is_first = kinds.setdefault(kind.name, (plugin, kind))[1] is kind
            if not is_first:
                logger.error("Two plugins bring the measurement %r; the first one's stands.", kind.name)
        return kinds

    def device_drivers(self, station: str = "") -> dict[str, tuple[str, DeviceDriver]]:
        """Gather the drivers: name -> plugin and driver; of two with one name the first stands."""
        answers, _ = self._ask_each("device_drivers", all_of(DeviceDriver), station=station)
        drivers: dict[str, tuple[str, DeviceDriver]] = {}
        here = [(plugin, driver) for plugin, answer in answers for driver in answer]
        for plugin, driver in here:
            if drivers.setdefault(driver.name, (plugin, driver))[1] is not driver:
                logger.error("Two plugins bring the driver %r; the first one's stands.", driver.name)
        return drivers

    def read_device(self, driver: str, text: str, station: str = "") -> tuple[DeviceReading, ...]:
        """Read what a device sent.

        Args:
            driver: its name.
            text: as it was sent; whoever asks has kept it already.

        Raises:
            KeyError: there is no such driver here.
            ReadingUnread: the driver cannot read it, failed, or took too long; nothing of it may be believed.
        """
        plugin, found = self.device_drivers(station)[driver]
        if trouble := self._suspending.of(plugin, f"the driver {driver}"):
            raise ReadingUnread(trouble.says)
        try:
            return parsed(found, text)
        except DriverFailed as failed:
            raise ReadingUnread(self._failed(plugin, f"the driver {driver}", failed).says) from failed

    def jobs(self, station: str = "") -> dict[str, tuple[str, PluginJob]]:
        """Gather the long work: name -> plugin and job; of two with one name the first stands."""
        answers, _ = self._ask_each("jobs", jobs, station=station)
        found: dict[str, tuple[str, PluginJob]] = {}
        for plugin, job in ((plugin, job) for plugin, answer in answers for job in answer):
            if found.setdefault(job.name, (plugin, job))[1] is not job:
                logger.error("Two plugins bring the job %r; the first one's stands.", job.name)
        return found

    def paper_forms(self, station: str) -> dict[str, PaperForm]:
        """Gather the reports and forms: plugin and name, with a slash between them -> form."""
        answers, _ = self._ask_each("paper_forms", all_of(PaperForm), station=station)
        return {f"{plugin}/{form.name}": form for plugin, forms in answers for form in forms}

    def veto(self, acts: Sequence[ActAhead], station: str) -> tuple[tuple[str, Veto], ...]:
        """Gather every no to acts that are about to be written, each with its plugin.

        Raises:
            VetoUnanswered: a plugin failed; it might have said no.
        """
        answers, troubles = self._ask_each("veto", all_of(Veto), acts=tuple(acts), station=station)
        if troubles:
            raise VetoUnanswered(troubles[0])
        return tuple((plugin, veto) for plugin, vetoes in answers for veto in vetoes)

    def after_commit(self, acts: Sequence[ActDone], station: str, *, only: str = "") -> tuple[Trouble, ...]:
        """Tell of acts that are written, all plugins or only one; whoever failed hears of them again."""
        _, troubles = self._ask("after_commit", nothing, only=only, acts=tuple(acts), station=station)
        return tuple(troubles)


@cache
def the_host() -> Host:
    """Return the host of this site, with our own plugins first; built at the first call."""
    started: Started = settings.HILUM_STARTED
    theirs = [(plugin.slug, plugin.hooks) for plugin in started.plugins if plugin.hooks]
    return Host(
        [*_loaders((module, module) for module in settings.HILUM_PLUGINS), *_loaders(theirs)],
        raising=settings.HILUM_PLUGINS_RAISE,
        left_out=started.left_out,
        off_at=started.off_at,
        own=settings.HILUM_PLUGINS,
    )


def _loaders(modules: Iterable[tuple[str, str]]) -> Iterator[tuple[str, Callable[[], object]]]:
    for name, module in modules:
        yield name, lambda module=module: import_module(module)  # type: ignore[misc]
