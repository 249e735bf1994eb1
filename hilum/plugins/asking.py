"""Takes plugins in and asks each on its own, so that one that fails costs its own answer and no other's.

pluggy keeps the contract (names and arguments of hooks), but lets the first exception stop all that follow. So each
plugin is called on its own here: what it raises is logged and named, and the others' answers stand.
"""

import logging
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any, TypeVar

import pluggy

from hilum.plugins import hookspecs
from hilum.plugins.books import books
from hilum.plugins.facts import Trouble
from hilum.plugins.installed import in_words
from hilum.plugins.suspending import Suspending

logger = logging.getLogger("hilum.plugins")
T = TypeVar("T")
Source = tuple[str, Callable[[], object]]


class Asking:
    """Plugins that were taken in.

    Args:
        sources: (name, loader) of each plugin; a loader returns the module or object that carries the hooks.
        raising: let a plugin's exception through, for test runs.
        left_out: those that the site started without.
        off_at: plugin -> codes of the stations at which it is off.
        own: names of our own plugins, which are never set aside: their faults are ours to mend, and grades are needed.
    """

    def __init__(
        self,
        sources: Iterable[Source],
        *,
        raising: bool = False,
        left_out: Sequence[Trouble] = (),
        off_at: Mapping[str, Collection[str]] | None = None,
        own: Collection[str] = (),
    ) -> None:
        self._manager = pluggy.PluginManager("hilum")
        self._manager.add_hookspecs(hookspecs)
        self._raising, self._off_at, self._own = raising, off_at or {}, own
        self._quarantined: list[Trouble] = list(left_out)
        self._suspending = Suspending()
        for name, load in sources:
            self._take_in(name, load)

    def names(self) -> tuple[str, ...]:
        """Name the plugins that were taken in, in the order in which they are asked."""
        return tuple(name for name, plugin in self._manager.list_name_plugin() if plugin is not None)

    def quarantined(self) -> tuple[Trouble, ...]:
        """Name the plugins that were left out."""
        return tuple(self._quarantined)

    def suspended(self) -> tuple[Trouble, ...]:
        """Name the hooks of plugins that are not asked any more, because they failed again and again."""
        return self._suspending.troubles()

    def leave_out(self, name: str, why: str) -> None:
        """Ask a plugin no more, and say why."""
        if self._manager.has_plugin(name):
            self._manager.unregister(name=name)
        trouble = Trouble(name, f"The plugin {name} was left out: {why}.")
        self._quarantined.append(trouble)
        logger.error(trouble.says)

    def troubles(self, station: str = "") -> tuple[Trouble, ...]:
        """Name all that is left out or set aside, for whoever looks after the site, or one station of it."""
        return tuple(one for one in (*self.quarantined(), *self.suspended()) if self.is_on(one.plugin, station))

    @contextmanager
    def with_plugin(self, name: str, plugin: object, off_at: Collection[str] = ()) -> Iterator[None]:
        """Take a plugin in for a while, for tests; one that cannot be taken in raises a ValueError."""
        before, self._off_at = self._off_at, {**self._off_at, name: off_at}
        self._take_in(name, lambda: plugin)
        if not self._manager.has_plugin(name):
            raise ValueError(self._quarantined.pop().says)
        try:
            yield
        finally:
            self._manager.unregister(name=name)
            self._off_at = before

    def is_on(self, plugin: str, station: str) -> bool:
        """Say whether a plugin is asked at a station."""
        return station not in self._off_at.get(plugin, ())

    def plugins_with(self, hook: str) -> tuple[str, ...]:
        """Name the plugins that answer a hook."""
        return tuple(str(impl.plugin_name) for impl in getattr(self._manager.hook, hook).get_hookimpls())

    def _ask(
        self, hook: str, read: Callable[[Any], T], *, only: str = "", **offered: object
    ) -> tuple[list[T], list[Trouble]]:
        answers, troubles = self._ask_each(hook, read, only=only, **offered)
        return [answer for _plugin, answer in answers], troubles

    def _ask_each(
        self, hook: str, read: Callable[[Any], T], *, only: str = "", **offered: object
    ) -> tuple[list[tuple[str, T]], list[Trouble]]:
        answers: list[tuple[str, T]] = []
        troubles: list[Trouble] = []
        for impl in getattr(self._manager.hook, hook).get_hookimpls():
            name = impl.plugin_name
            if only not in ("", name) or not self.is_on(name, str(offered.get("station", ""))):
                continue
            if trouble := self._suspending.of(name, hook):
                troubles.append(trouble)
                continue
            try:
                given = _with_settings(name, offered) if "settings" in impl.argnames else offered
                answers.append((name, read(impl.function(*(given[one] for one in impl.argnames)))))
            except Exception as error:
                if self._raising:
                    raise
                troubles.append(self._failed(name, hook, error))
        return answers, troubles

    def _failed(self, name: str, hook: str, error: Exception) -> Trouble:
        says = f"The plugin {name} failed in {hook} ({in_words(error)}); its answer is left out."
        logger.exception(says)
        if name not in self._own and hook not in hookspecs.NEVER_SET_ASIDE:
            self._suspending.note(name, hook)
        return Trouble(name, says)

    def _take_in(self, name: str, load: Callable[[], object]) -> None:
        try:
            plugin = load()
            self._manager.register(plugin, name)
        except (Exception, SystemExit) as error:
            self.leave_out(name, f"it could not be loaded ({in_words(error)})")
            return
        for fault in self._faults(plugin):
            self.leave_out(name, fault)
            return

    def _faults(self, plugin: object) -> Iterator[str]:
        for caller in self._manager.get_hookcallers(plugin) or ():
            if not caller.has_spec():
                yield f"there is no hook named {caller.name}; hilum/plugins/README.md lists those there are"
            elif any(impl.plugin is plugin and (impl.hookwrapper or impl.wrapper) for impl in caller.get_hookimpls()):
                yield f"it wraps the hook {caller.name}, and answers of others are not for a plugin to change"


def _with_settings(plugin: str, offered: Mapping[str, object]) -> Mapping[str, object]:
    return {**offered, "settings": books().settings(plugin, str(offered.get("station", "")))}
