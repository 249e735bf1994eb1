"""Takes plugins in, asks them, and goes on without the one that fails.

pluggy keeps the contract (names and arguments of hooks), but lets the first exception stop all that follow. So each
plugin is called on its own here: what it raises is logged and named, and the others' answers stand.
"""

import logging
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, is_dataclass
from functools import cache
from importlib import import_module
from importlib.metadata import entry_points
from typing import Any, TypeVar

import pluggy
from django.conf import settings

from hilum.plugins import hookspecs
from hilum.plugins.facts import (
    ActOffer,
    ActSheetKind,
    Difference,
    Found,
    LookAt,
    LotQuestion,
    PageLink,
    Panel,
    SheetKind,
    Waiting,
)

logger = logging.getLogger("hilum.plugins")
GROUP = "hilum.plugins"  # entry points of installed packages
T = TypeVar("T")


@dataclass(frozen=True)
class Trouble:
    """A plugin that was left out, or whose answer was, and why."""

    plugin: str
    says: str


class Host:
    """The plugins of one site.

    Args:
        sources: (name, loader) of each plugin; a loader returns the module or object that carries the hooks.
        raising: let a plugin's exception through, for test runs.
    """

    def __init__(self, sources: Iterable[tuple[str, Callable[[], object]]], *, raising: bool = False) -> None:
        self._manager = pluggy.PluginManager("hilum")
        self._manager.add_hookspecs(hookspecs)
        self._raising = raising
        self._quarantined: list[Trouble] = []
        for name, load in sources:
            self._take_in(name, load)

    def names(self) -> tuple[str, ...]:
        """Name the plugins that were taken in, in the order in which they are asked."""
        return tuple(name for name, plugin in self._manager.list_name_plugin() if plugin is not None)

    def quarantined(self) -> tuple[Trouble, ...]:
        """Name the plugins that were left out."""
        return tuple(self._quarantined)

    def lot_facts(self, lot_numbers: Sequence[str], station: str, person: str = "") -> dict[str, dict[str, str]]:
        """Gather the facts of many lots; where two plugins name the same fact, the later one's stands."""
        gathered: dict[str, dict[str, str]] = {number: {} for number in lot_numbers}
        answers, _ = self._ask("lot_facts", _facts, lot_numbers=tuple(lot_numbers), station=station, person=person)
        for answer in answers:
            for number, facts in answer.items():
                gathered.setdefault(number, {}).update(facts)
        return gathered

    def lot_panels(self, lot_number: str, station: str, person: str = "") -> tuple[Panel, ...]:
        """Gather the boxes of one lot's page; a plugin that failed gets a box that says so."""
        asked = {"lot_number": lot_number, "station": station, "person": person}
        answers, troubles = self._ask("lot_panels", _all_of(Panel), **asked)
        failed = (Panel(trouble.plugin, (("Not shown", trouble.says),)) for trouble in troubles)
        return (*(panel for answer in answers for panel in answer), *failed)

    def lot_questions(self) -> tuple[LotQuestion, ...]:
        """Gather the questions of the list of lots; of two with one name the first stands."""
        answers, _ = self._ask("lot_questions", _all_of(LotQuestion))
        questions: dict[str, LotQuestion] = {}
        for question in (question for answer in answers for question in answer):
            if questions.setdefault(question.name, question) is not question:
                logger.error("Two plugins bring the question %r; the first one's stands.", question.name)
        return tuple(questions.values())

    def blend_forecast(self, parts: Sequence[tuple[str, int]], station: str, person: str = "") -> tuple[Panel, ...]:
        """Gather what is foretold of a blend; a plugin that failed gets a box that says so, and the blend goes on."""
        answers, troubles = self._ask(
            "blend_forecast", _all_of(Panel), parts=tuple(parts), station=station, person=person
        )  # fmt: skip
        failed = (Panel(trouble.plugin, (("Not foretold", trouble.says),)) for trouble in troubles)
        return (*(panel for answer in answers for panel in answer), *failed)

    def sheet_kinds(self) -> tuple[SheetKind | ActSheetKind, ...]:
        """Gather the kinds of sheet; of two with one name the first stands."""
        answers, _ = self._ask("sheet_kinds", _sheet_kinds)
        kinds: dict[str, SheetKind | ActSheetKind] = {}
        for kind in (kind for answer in answers for kind in answer):
            if kinds.setdefault(kind.name, kind) is not kind:
                logger.error("Two plugins bring the sheet kind %r; the first one's stands.", kind.name)
        return tuple(kinds.values())

    def acts(self) -> tuple[ActOffer, ...]:
        """Gather the acts that can be booked from typed words; of two with one verb the first stands."""
        answers, _ = self._ask("acts", _offers)
        offers: dict[str, ActOffer] = {}
        for offer in (offer for answer in answers for offer in answer):
            if offers.setdefault(offer.verb, offer) is not offer:
                logger.error("Two plugins offer the act %r; the first one's stands.", offer.verb)
        return tuple(offers.values())

    def find(self, typed: str, station: str) -> Found | None:
        """Ask for a thing that was typed or scanned; of several answers the first stands."""
        answers, _ = self._ask("find", _one_or_none(Found), typed=typed, station=station)
        return next((answer for answer in answers if answer is not None), None)

    def page_links(self) -> tuple[PageLink, ...]:
        """Gather the pages that stand under the three words of every page."""
        answers, _ = self._ask("page_links", _all_of(PageLink))
        return tuple(link for answer in answers for link in answer)

    def waiting(self, station: str) -> tuple[Waiting, ...]:
        """Gather what waits; a plugin that failed is itself something that waits for the records desk."""
        answers, troubles = self._ask("waiting", _all_of(Waiting), station=station)
        failed = (Waiting("breeding", trouble.says, "/") for trouble in troubles)
        return (*(item for answer in answers for item in answer), *failed)

    def look_at(self, station: str, person: str = "") -> tuple[LookAt, ...]:
        """Gather what looks wrong or is missing; a plugin that failed is itself something to look at."""
        answers, troubles = self._ask("look_at", _all_of(LookAt), station=station, person=person)
        failed = (LookAt("A plugin failed", trouble.says, "/") for trouble in troubles)
        return (*(item for answer in answers for item in answer), *failed)

    def check_records(self, station: str) -> tuple[Difference, ...]:
        """Gather what plugins find in their records; one that could not look is itself a difference."""
        answers, troubles = self._ask("check_records", _all_of(Difference), station=station)
        unchecked = (Difference("plugin_failed", trouble.plugin, trouble.says) for trouble in troubles)
        return (*(difference for answer in answers for difference in answer), *unchecked)

    def _take_in(self, name: str, load: Callable[[], object]) -> None:
        try:
            plugin = load()
            self._manager.register(plugin, name)
        except (Exception, SystemExit) as error:
            self._leave_out(name, f"it could not be loaded ({_words(error)})")
            return
        for fault in self._faults(plugin):
            self._leave_out(name, fault)
            return

    def _faults(self, plugin: object) -> Iterator[str]:
        for caller in self._manager.get_hookcallers(plugin) or ():
            if not caller.has_spec():
                yield f"there is no hook named {caller.name}; hilum/plugins/README.md lists those there are"
            elif any(impl.plugin is plugin and (impl.hookwrapper or impl.wrapper) for impl in caller.get_hookimpls()):
                yield f"it wraps the hook {caller.name}, and answers of others are not for a plugin to change"

    def _leave_out(self, name: str, why: str) -> None:
        if self._manager.has_plugin(name):
            self._manager.unregister(name=name)
        trouble = Trouble(name, f"The plugin {name} was left out: {why}.")
        self._quarantined.append(trouble)
        logger.error(trouble.says)

    def _ask(self, hook: str, read: Callable[[Any], T], **offered: object) -> tuple[list[T], list[Trouble]]:
        answers: list[T] = []
        troubles: list[Trouble] = []
        for impl in getattr(self._manager.hook, hook).get_hookimpls():
            try:
                answers.append(read(impl.function(*(offered[name] for name in impl.argnames))))
            except Exception as error:
                if self._raising:
                    raise
                says = f"The plugin {impl.plugin_name} failed in {hook} ({_words(error)}); its answer is left out."
                troubles.append(Trouble(impl.plugin_name, says))
                logger.exception(says)
        return answers, troubles


@cache
def the_host() -> Host:
    """Return the host of this site, with our own plugins first; built at the first call."""
    return Host([*_own(settings.HILUM_PLUGINS), *_installed()], raising=settings.HILUM_PLUGINS_RAISE)


def _own(modules: Sequence[str]) -> Iterator[tuple[str, Callable[[], object]]]:
    for module in modules:
        yield module, lambda module=module: import_module(module)  # type: ignore[misc]


def _installed() -> Iterator[tuple[str, Callable[[], object]]]:
    for point in sorted(entry_points(group=GROUP), key=lambda point: point.name):
        yield point.name, point.load


def _facts(answer: Mapping[str, Mapping[str, str]]) -> dict[str, dict[str, str]]:
    return {str(number): {str(name): str(text) for name, text in facts.items()} for number, facts in answer.items()}


def _all_of(promised: type[T]) -> Callable[[Iterable[T]], tuple[T, ...]]:
    def read(answer: Iterable[T]) -> tuple[T, ...]:
        items = tuple(answer)
        for item in items:
            if not isinstance(item, promised):
                raise TypeError(f"a {type(item).__name__} where a {promised.__name__} is promised")
        return items

    return read


def _one_or_none(promised: type[T]) -> Callable[[T | None], T | None]:
    def read(answer: T | None) -> T | None:
        if answer is not None and not isinstance(answer, promised):
            raise TypeError(f"a {type(answer).__name__} where a {promised.__name__} is promised")
        return answer

    return read


def _sheet_kinds(answer: Iterable[SheetKind | ActSheetKind]) -> tuple[SheetKind | ActSheetKind, ...]:
    items = tuple(answer)
    for item in items:
        if not isinstance(item, SheetKind | ActSheetKind):
            raise TypeError(f"a {type(item).__name__} where a SheetKind is promised")
    return items


def _offers(answer: Iterable[ActOffer]) -> tuple[ActOffer, ...]:
    offers = _all_of(ActOffer)(answer)
    for offer in offers:
        if not is_dataclass(offer.words):
            raise TypeError(f"the words of {offer.verb!r} are no dataclass")
    return offers


def _words(error: BaseException) -> str:
    return f"{type(error).__name__}: {error}"
