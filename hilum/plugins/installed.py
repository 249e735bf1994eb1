"""Which packages that are installed beside the site bring a plugin; nothing of them is loaded to find that out."""

from dataclasses import dataclass
from importlib.metadata import EntryPoint, entry_points

from hilum.plugins.plugin import Plugin, faults_of

GROUP = "hilum.plugins"  # entry points of packages


class LeftOut(Exception):  # noqa: N818 - an answer with its reason, not a fault of ours
    """A plugin that cannot be taken in; the text is half a sentence that says why."""


@dataclass(frozen=True)
class Installed:
    """A plugin that a package brings."""

    slug: str
    package: str  # name of the distribution
    version: str  # of the distribution
    point: EntryPoint

    def load(self) -> Plugin:
        """Read what the plugin says of itself.

        Raises:
            LeftOut: it cannot be read, or does not fit this site.
        """
        try:
            plugin = self.point.load()
        except (Exception, SystemExit) as error:
            raise LeftOut(f"it could not be loaded ({in_words(error)})") from error
        for fault in faults_of(plugin, self.slug):
            raise LeftOut(fault)
        found: Plugin = plugin
        return found


def installed() -> list[Installed]:
    """List the plugins of all installed packages, by slug and package (reads the folders of packages)."""
    found = {
        (point.name, package): Installed(point.name, package, point.dist.version if point.dist else "", point)
        for point in entry_points(group=GROUP)
        for package in [point.dist.name if point.dist else ""]
    }
    return [found[key] for key in sorted(found)]


def in_words(error: BaseException) -> str:
    """Write an exception in one line."""
    says = str(error).strip().splitlines()
    return f"{type(error).__name__}: {says[0][:300]}" if says else type(error).__name__
