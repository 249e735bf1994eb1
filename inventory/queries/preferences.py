"""How a person works: the language of the pages and the unit of mass, and the ones in use for this request."""

from contextvars import ContextVar
from dataclasses import dataclass

from inventory.models import Preference

LANGUAGES = {"en": "English", "fr": "français", "es": "español"}
UNITS = ("kg", "lb")


@dataclass(frozen=True)
class Manner:
    """How this request's pages are written."""

    language: str = "en"
    unit: str = "kg"


_in_use: ContextVar[Manner] = ContextVar("manner of this request", default=Manner())  # noqa: B039 - frozen


def manner_of(kept: Preference | None) -> Manner:
    """Give the language and unit of what a person set; those of everybody where they set nothing."""
    return Manner(kept.language, kept.unit) if kept else Manner()


def manner_in_use() -> Manner:
    """Give the manner of the request under way; kilograms and English outside of one."""
    return _in_use.get()


def use_manner(manner: Manner) -> None:
    """Write the pages of this request so."""
    _in_use.set(manner)
