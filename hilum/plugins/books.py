"""What a plugin may ask of the books and have done in them, by numbers and names as people type them.

The site stands above this folder; it names what answers here in the setting `HILUM_BOOKS`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol, cast

from django.conf import settings
from django.utils.module_loading import import_string

from hilum.plugins.facts import ActDone, Measurement
from hilum.plugins.settings_schema import SettingValue


@dataclass(frozen=True)
class LotSeen:
    """A lot as it stands now."""

    number: str
    uid: str
    line: str  # "" for a blend of several
    market_class: str
    crop_year: int | None
    opening_mg: int
    left_mg: int
    is_treated: bool
    is_held: bool
    keys: Mapping[str, int]  # "station" and "lot": primary keys, for foreign keys


@dataclass(frozen=True)
class Who:
    """Who asks, and where."""

    person: str  # name of the account
    station: str  # code
    role: str  # "" where the account may only read


@dataclass(frozen=True)
class Wrong:
    """One thing that stands in the way of an act."""

    code: str
    field: str
    says: str
    is_question: bool  # it goes through with a reason under its code in `answers`


class NotBooked(Exception):  # noqa: N818 - an answer, not a fault
    """An act that was not done, with everything that stands in its way."""

    def __init__(self, wrong: Sequence[Wrong]) -> None:
        super().__init__(" ".join(one.says for one in wrong))
        self.wrong = tuple(wrong)


@dataclass(frozen=True)
class Done:
    """What an act wrote."""

    operations: tuple[str, ...]  # uids
    lots: tuple[str, ...]  # numbers of the lots that were made


class Books(Protocol):
    """The books of the stations."""

    def who(self, request: Any) -> Who:
        """Say who sends a request of a page or of the API, and at which station they work."""

    def lots(self, station: str, numbers: Sequence[str] | None = None) -> tuple[LotSeen, ...]:
        """Give lots that stand in the books, by number; all where none are named. Unknown ones are left out."""

    def measurements(self, station: str, kind: str, lots: Sequence[str] | None = None) -> tuple[Measurement, ...]:
        """Give measurements of one kind that were not taken back, the newest first."""

    def acts(self, station: str, *, after: int = 0, most: int = 500) -> tuple[ActDone, ...]:
        """Give acts behind a number of the station's chain, in their order."""

    def settings(self, plugin: str, station: str) -> Mapping[str, SettingValue]:
        """Give what a plugin is set to at a station, by name; what was not set and has no default is left out."""

    def book(
        self, verb: str, words: Mapping[str, Any], *, station: str, person: str, key: str = "", reason: str = "",
        answers: Mapping[str, str] | None = None, plugin: str = "",
    ) -> Done:  # fmt: skip
        """Do any act of the site from its words, as `manage.py book` does; the person's rights hold.

        Args:
            plugin: slug of the one that books, which the act then names in its facts.

        Raises:
            NotBooked: everything that stands in the way.
        """


@cache
def books() -> Books:
    """Give the books of this site."""
    return cast("Books", import_string(settings.HILUM_BOOKS)())
