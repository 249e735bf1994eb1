"""What a kind of sheet can tell: its fields, and how people head them in three languages."""

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, lru_cache

from inventory.rules.mass import read_unit
from inventory.rules.reading import plain, unaccented

HELP_SHEET = "Help"  # the worksheet of a template that explains it
WET_BASIS = "% wet basis"
DRY_BASIS = "% dry basis"


def _with_and_without_sign(*words: str) -> tuple[str, ...]:
    return tuple(form for word in words for form in (word, f"% {word}", f"{word} %"))


MASS_UNITS = ("mg", "g", "kg", "t", "lb", "oz", "cwt")
OTHER_UNITS = {
    "%": ("%", "pct", "percent", "per cent", "pour cent", "por ciento", "porcentaje"),
    WET_BASIS: _with_and_without_sign("wb", "w b", "wet basi", "base humide", "base humeda"),
    DRY_BASIS: _with_and_without_sign("db", "d b", "dry basi", "base seche", "base seca"),
    "ha": ("ha", "hectare", "hectarea"),
    "m2": ("m2", "sq m", "square metre", "square meter", "metre carre", "metro cuadrado"),
    "acre": ("ac", "acre"),
}
OTHER_UNIT_OF_WORD = {word: unit for unit, words in OTHER_UNITS.items() for word in words}


class Reads(StrEnum):
    """How a column's values are read, and so which units its heading may name."""

    CODE = "code"
    DATE = "date"
    TEXT = "text"
    NUMBER = "number"
    COUNT = "count"
    MASS = "mass"
    MASS_OR_SHARE = "mass_or_share"
    MOISTURE = "moisture"
    AREA = "area"


UNITS: dict[Reads, tuple[str, ...]] = {
    Reads.CODE: (),
    Reads.DATE: (),
    Reads.TEXT: (),
    Reads.NUMBER: (),
    Reads.COUNT: (),
    Reads.MASS: MASS_UNITS,
    Reads.MASS_OR_SHARE: (*MASS_UNITS, "%"),
    Reads.MOISTURE: ("%", WET_BASIS, DRY_BASIS),
    Reads.AREA: ("ha", "m2", "acre"),
}


@dataclass(frozen=True)
class Field:
    """One thing a sheet can tell.

    Args:
        name: what rows call it, snake_case.
        english, french, spanish: how people head it; the first of each is the template's.
        reads: how its values are read.
        needed: a sheet without it can't be read.
        unit: the template's unit; "" where it has none.
        example: a value for the template's help.
        says: one sentence for the template's help.
    """

    name: str
    english: tuple[str, ...]
    french: tuple[str, ...]
    spanish: tuple[str, ...]
    reads: Reads = Reads.TEXT
    needed: bool = False
    unit: str = ""
    example: str = ""
    says: str = ""

    @property
    def title(self) -> str:
        return self.english[0]

    @property
    def heading(self) -> str:
        """Its heading with its unit, as the template writes it: "Gross (kg)"."""
        return f"{self.title} ({self.unit})" if self.unit else self.title

    @property
    def headings(self) -> tuple[str, ...]:
        return (*self.english, *self.french, *self.spanish)


@dataclass(frozen=True)
class Vocabulary:
    """The fields of a kind of sheet.

    Args:
        kind: as in `--kind`.
        title: for people, "intake".
        fields: in the template's order; where two share a heading the first is meant, unless a unit decides.
        one_of: groups of field names of which at least one is needed.
    """

    kind: str
    title: str
    fields: tuple[Field, ...]
    one_of: tuple[tuple[str, ...], ...] = ()

    def field(self, name: str) -> Field:
        """Give a field by its name."""
        return self._by_name[name]

    @cached_property
    def _by_name(self) -> dict[str, Field]:
        return {field.name: field for field in self.fields}

    @cached_property
    def by_heading(self) -> dict[str, tuple[Field, ...]]:
        """Map each folded heading to the fields it may mean."""
        found: dict[str, tuple[Field, ...]] = {}
        for field in self.fields:
            for heading in dict.fromkeys(map(fold, field.headings)):
                found[heading] = (*found.get(heading, ()), field)
        return found


def field_named(
    name: str,
    english: str,
    french: str,
    spanish: str,
    reads: Reads = Reads.TEXT,
    *,
    needed: bool = False,
    unit: str = "",
    example: str = "",
    says: str = "",
) -> Field:
    """Write a field on few lines: headings with "|" between them."""
    english_, french_, spanish_ = (tuple(words.split("|")) for words in (english, french, spanish))
    return Field(name, english_, french_, spanish_, reads, needed, unit, example, says)


@lru_cache(maxsize=10_000)  # the words of a sheet come again and again
def fold(heading: str) -> str:
    """Bring headings that mean the same to one form: no case, accents, punctuation or plural s."""
    text = unaccented(plain(heading)).replace("(s)", "s")
    words = re.sub(r"[^a-z0-9%]+", " ", text).replace("%", " % ").split()
    return " ".join(word[:-1] if word.endswith("s") and len(word) > 3 else word for word in words)


def split_unit(heading: str) -> tuple[tuple[str, str], ...]:
    """Part a heading into what it names and its unit, in every way that makes sense.

    "Gross (lb)" -> ("gros", "lb"); "Poids brut en kg" -> ("poid brut", "kg"); "% moisture" -> ("moisture", "%").
    """
    words = fold(heading).split()
    ways: list[tuple[str, str]] = []
    for length in (3, 2, 1):
        if len(words) > length:
            ways += _way(words[:-length], words[-length:]) + _way(words[length:], words[:length])
    return tuple(ways)


def _way(named: list[str], unit_words: list[str]) -> list[tuple[str, str]]:
    unit = heading_unit(" ".join(unit_words))
    while named and named[-1] in ("in", "en"):
        named = named[:-1]
    return [(" ".join(named), unit)] if unit and named else []


def heading_unit(words: str) -> str | None:
    """Name the unit that the words of a heading stand for; None where they are none."""
    folded = fold(words)
    return OTHER_UNIT_OF_WORD.get(folded) or read_unit(words) or read_unit(folded)
