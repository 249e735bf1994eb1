"""Test weight: pounds to the bushel, American or imperial, and kilograms to the hectolitre."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from inventory.rules.mass import MG_PER_KG, MG_PER_LB
from inventory.rules.working import Step

# Exact by definition: 2150.42 cubic inches of 2.54 cm (NIST Handbook 44, appendix C); the imperial bushel is eight
# gallons of 4.54609 L (Weights and Measures Act 1985, UK, schedule 1). Both titles are from memory.
LITRES: Mapping[str, Decimal] = {"us": Decimal("35.23907016688"), "imperial": Decimal("36.36872")}
UNITS = ("kg/hL", "lb/bu us", "lb/bu imperial", "g/0.5 L")
SOURCES: Mapping[str, str] = {
    "us": "definition of the US bushel, 2150.42 in³ (NIST Handbook 44, title from memory)",
    "imperial": "definition of the imperial bushel, 8 gallons (Weights and Measures Act 1985, UK, title from memory)",
}


def kg_per_hl(value: Decimal, unit: str) -> Fraction:
    """Turn a test weight into kilograms to the hectolitre, exactly.

    Args:
        value: 0 or more [of the unit].
        unit: one of `UNITS`; by volume alone, without the packing of another measure.
    """
    return Fraction(value) * _kg_per_hl_of_one(unit)


def from_kg_per_hl(kg_hl: Fraction, unit: str) -> Fraction:
    """Turn kilograms to the hectolitre into another unit of test weight, exactly."""
    return kg_hl / _kg_per_hl_of_one(unit)


def _kg_per_hl_of_one(unit: str) -> Fraction:
    if unit == "kg/hL":
        return Fraction(1)
    if unit == "g/0.5 L":
        return Fraction(1, 5)  # grams in half a litre: 200 half litres, a thousand grams
    return Fraction(MG_PER_LB) / MG_PER_KG / Fraction(LITRES[unit.removeprefix("lb/bu ")]) * 100


def step_of(value: Decimal, unit: str, words: str) -> Step:
    """Write how a test weight was turned into kilograms to the hectolitre.

    Args:
        words: the result as it is shown.
    """
    if unit == "kg/hL":
        return Step("test weight", f"{value} kg/hL = {words} kg/hL", source="as given")
    if unit == "g/0.5 L":
        return Step("test weight", f"{value} g × 200 / 1000 = {words} kg/hL", source="by volume alone")
    name = unit.removeprefix("lb/bu ")
    formula = f"{value} lb × 0.45359237 kg / {LITRES[name]} L × 100 = {words} kg/hL"
    return Step("test weight", formula, source=SOURCES[name])
