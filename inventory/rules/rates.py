"""Rates and lengths as people write them: 55 kg/ha, 50 lb/acre, 25 plants/m2, 62,500 per acre, rows of 30 in."""

import re
from dataclasses import dataclass
from fractions import Fraction

from inventory.rules.amounts import AmountMissing, read_amount
from inventory.rules.area import M2_PER_UNIT, UNIT_OF_WORD
from inventory.rules.mass import MG_PER_KG, MG_PER_UNIT, read_unit
from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import field_words, plain, quoted, typed_text, unaccented

M2_PER_HA = Fraction(M2_PER_UNIT["ha"])
M2_PER_ACRE = Fraction(M2_PER_UNIT["ac"])
# Exact by definition: International Yard and Pound Agreement (1959), 1 yard = 0.9144 m.
M_PER_UNIT = {
    "m": Fraction(1), "cm": Fraction(1, 100), "mm": Fraction(1, 1000), "ft": Fraction(3048, 10_000),
    "in": Fraction(254, 10_000),
}  # fmt: skip
M_PER_FOOT, M_PER_INCH = M_PER_UNIT["ft"], M_PER_UNIT["in"]
_LENGTHS = {
    "m": ("m", "metre", "metres", "meter", "meters", "metro", "metros"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters", "centimetro", "centimetros"),
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters", "milimetro", "milimetros"),
    "ft": ("ft", "foot", "feet", "pied", "pieds", "pie", "pies", "'"),
    "in": ("in", "inch", "inches", "pouce", "pouces", "pulgada", "pulgadas", '"', "''"),
}
LENGTH_OF_WORD = {word: unit for unit, words in _LENGTHS.items() for word in words}
_COUNTED = ("plants", "plant", "seeds", "seed", "plantes", "plante", "graines", "plantas", "planta", "semillas")
_PER = re.compile(r"\s*(?:/|\bper\b|\bpor\b|\bpar\b|\ba l'|\ba\b)\s*")
_NUMBER_FIRST = re.compile(r"([-+]?[0-9][0-9.,' ]*)(.*)")
MOST_KG_PER_HA = Fraction(2000)
MOST_PER_M2 = Fraction(2000)
MOST_M = Fraction(1000)


class RateUnread(Mistake):
    """A rate or length whose number or unit cannot be read."""

    code = "rate_unread"

    def __init__(self, typed: str, examples: str, *, field: str) -> None:
        super().__init__(f"{field_words(field)} {quoted(typed)} cannot be read. Write it like {examples}.", field=field)


class RateUnlikely(Mistake):
    """A rate or length that no field has."""

    code = "rate_unlikely"

    def __init__(self, typed: str, most: str, *, field: str) -> None:
        super().__init__(
            f"{field_words(field)} {quoted(typed)} cannot be: it lies over 0 and up to {most}. Check number and unit.",
            field=field,
        )


@dataclass(frozen=True, slots=True)
class Rate:
    """A rate as it was understood.

    Attributes:
        per_m2: [kg/m²] of a seed rate, [1/m²] of a population.
        words: number and unit as typed, tidied.
        notes: how it was read.
    """

    per_m2: Fraction
    words: str
    notes: tuple[Note, ...] = ()

    @property
    def per_ha(self) -> Fraction:
        """The same on a hectare."""
        return self.per_m2 * M2_PER_HA

    @property
    def per_acre(self) -> Fraction:
        """The same on an acre."""
        return self.per_m2 * M2_PER_ACRE


def read_seed_rate(value: object, *, field: str = "rate") -> Rate:
    """Read a seed rate: "55 kg/ha", "50 lb/acre", "5.5 g/m2".

    Raises:
        AmountMissing, NotANumber, RateUnread, RateUnlikely.
    """
    examples = "55 kg/ha or 50 lb/acre"
    text, number, unit, area = _parts(value, examples, field)
    mass = read_unit(unit)
    if mass is None:
        raise RateUnread(text, examples, field=field)
    read = read_amount(number, field=field)
    kg = Fraction(read.value) * Fraction(MG_PER_UNIT[mass]) / MG_PER_KG
    rate = Rate(kg / Fraction(M2_PER_UNIT[area]), f"{read.value:f} {mass}/{area}", read.notes)
    if not 0 < rate.per_ha <= MOST_KG_PER_HA:
        raise RateUnlikely(text, f"{MOST_KG_PER_HA} kg/ha", field=field)
    return rate


def read_population(value: object, *, field: str = "plants") -> Rate:
    """Read a population: "25/m2", "62,500 plants per acre", "250 000/ha"; a comma before three digits is thousands.

    Raises:
        AmountMissing, NotANumber, RateUnread, RateUnlikely.
    """
    examples = "25/m2, 62,500/acre or 250,000/ha"
    text, number, unit, area = _parts(value, examples, field)
    if unit and unit not in _COUNTED:
        raise RateUnread(text, examples, field=field)
    read = read_amount(number, field=field, decimal_comma=False)
    rate = Rate(Fraction(read.value) / Fraction(M2_PER_UNIT[area]), f"{read.value:,f}/{area}", read.notes)
    if not 0 < rate.per_m2 <= MOST_PER_M2:
        raise RateUnlikely(text, f"{MOST_PER_M2}/m2", field=field)
    return rate


def is_rate(value: object) -> bool:
    """Say whether something is written as so much per area."""
    return bool(_PER.search(_folded(value)))


def read_length(value: object, *, field: str = "row_width") -> Fraction:
    """Read a length with its unit: "30 in", "75 cm", "2.5 ft".

    Returns:
        Exact [m].

    Raises:
        AmountMissing, NotANumber, RateUnread, RateUnlikely.
    """
    examples = "30 in or 75 cm"
    match = _NUMBER_FIRST.fullmatch(_folded(value))
    if not typed_text(value).strip():
        raise AmountMissing(field=field)
    unit = LENGTH_OF_WORD.get(match[2].strip(" .")) if match else None
    if match is None or unit is None:
        raise RateUnread(typed_text(value), examples, field=field)
    metres = Fraction(read_amount(match[1].strip(), field=field).value) * M_PER_UNIT[unit]
    if not 0 < metres <= MOST_M:
        raise RateUnlikely(typed_text(value), f"{MOST_M} m", field=field)
    return metres


def _folded(value: object) -> str:
    return unaccented(plain(typed_text(value)).replace("²", "2").replace("″", '"')).replace("′", "'")


def _parts(value: object, examples: str, field: str) -> tuple[str, str, str, str]:
    """Part a rate into what was typed, its number, the unit behind the number, and the unit of area."""
    text = typed_text(value)
    if not text.strip():
        raise AmountMissing(field=field)
    match = _NUMBER_FIRST.fullmatch(_folded(value))
    words = _PER.split(match[2], maxsplit=1) if match else []
    area = UNIT_OF_WORD.get(words[1].strip(" .")) if len(words) == 2 else None
    if match is None or area is None:
        raise RateUnread(text, examples, field=field)
    return text, match[1].strip(), words[0].strip(" ."), area
