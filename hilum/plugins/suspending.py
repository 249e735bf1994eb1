"""Sets a hook of a plugin aside once it has failed again and again: it costs time, and fills the log."""

from collections import deque
from collections.abc import Callable
from time import monotonic

from hilum.plugins.facts import Trouble

MOST = 5  # failures
WITHIN = 600.0  # seconds


class Suspending:
    """Counts failures of each hook of each plugin, for the life of the process.

    Args:
        clock: seconds that only grow.
    """

    def __init__(self, clock: Callable[[], float] = monotonic) -> None:
        self._clock = clock
        self._failed: dict[tuple[str, str], deque[float]] = {}
        self._suspended: dict[tuple[str, str], Trouble] = {}

    def note(self, plugin: str, hook: str) -> None:
        """Count one failure."""
        times = self._failed.setdefault((plugin, hook), deque(maxlen=MOST))
        times.append(self._clock())
        if len(times) == MOST and times[-1] - times[0] <= WITHIN:
            self._suspended[plugin, hook] = Trouble(
                plugin,
                f"The plugin {plugin} failed {MOST} times in {hook} within {WITHIN / 60:.0f} minutes; it is not asked "
                "for that again until the site is started anew.",
            )

    def of(self, plugin: str, hook: str) -> Trouble | None:
        """Say why a hook of a plugin is not asked; None where it is."""
        return self._suspended.get((plugin, hook))

    def troubles(self) -> tuple[Trouble, ...]:
        """Name all that is set aside."""
        return tuple(self._suspended.values())
