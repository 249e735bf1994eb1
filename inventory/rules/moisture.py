"""Moisture: wet and dry basis, what drying takes off, and readings that look like something else."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from inventory.rules.amounts import amount_text, read_amount
from inventory.rules.mistakes import Mistake, Note, Question
from inventory.rules.reading import typed_text
from inventory.rules.rounding import half_up, half_up_int


@dataclass(frozen=True, slots=True)
class MoistureLimits:
    """Between which readings a moisture is taken without asking [% wet basis].

    Args:
        lowest: a drier bean is asked about. Common practice, no source.
        usual_low, usual_high: harvest window, for the sentence (dry beans are harvested at 15 to 18 %).
        dry_basis_over: a higher number is asked about as a dry-basis reading. Common practice, no source.
        highest: a higher number is wet even for dry basis; asked about as a slip. Common practice, no source.
    """

    lowest: Decimal = Decimal(5)
    usual_low: Decimal = Decimal(15)
    usual_high: Decimal = Decimal(18)
    dry_basis_over: Decimal = Decimal(20)
    highest: Decimal = Decimal(40)


USUAL_LIMITS = MoistureLimits()
# Northarvest Bean Growers / NDSU (K. Hellevang), storage moisture: above 16 % short storage only, cool or dry.
DRY_OR_COOL_OVER = Decimal(16)


class MoistureOutOfRange(Mistake):
    """A moisture no seed can have."""

    code = "moisture_out_of_range"

    def __init__(self, percent: Decimal, *, field: str = "moisture") -> None:
        super().__init__(
            f"Moisture {amount_text(percent)} % cannot be: it lies between 0 and 100. Read the meter again.",
            field=field,
        )


class LooksLikeFraction(Question):
    """0.162 where 16.2 was meant."""

    code = "moisture_as_fraction"

    def __init__(self, percent: Decimal, *, field: str = "moisture") -> None:
        meant = amount_text((percent * 100).normalize())
        super().__init__(f"{percent:f} % is too dry for beans. Did you mean {meant} %?", field=field, proposal=meant)


class LooksLikeDryBasis(Question):
    """A reading so high that it may be water per dry matter."""

    code = "moisture_dry_basis"

    def __init__(self, percent: Decimal, limits: MoistureLimits, *, field: str = "moisture") -> None:
        wet = dry_to_wet(percent)
        super().__init__(
            f"{amount_text(percent)} % is high for beans coming in ({limits.usual_low} to {limits.usual_high}). "
            f"Is it on dry basis? That would be {half_up(wet, 1)} % wet basis.",
            field=field,
            proposal=str(half_up(wet, 2)),
        )


class MoistureUnlikely(Question):
    """A reading far from anything beans have."""

    code = "moisture_unlikely"

    def __init__(self, percent: Decimal, limits: MoistureLimits, *, field: str = "moisture") -> None:
        dry_or_wet = "dry" if percent < limits.lowest else "wet"
        super().__init__(
            f"{amount_text(percent)} % is very {dry_or_wet} for beans ({limits.lowest} to {limits.highest}). "
            "Is the meter set to the right class? Read it again, or say why and go on.",
            field=field,
        )


class Advice(StrEnum):
    """What the ticket says about a wet lot."""

    NONE = ""
    DRY_OR_COOL = "DRY or COOL"


@dataclass(frozen=True, slots=True)
class ReadMoisture:
    """A moisture as it was understood [% wet basis], with what was typed."""

    percent: Decimal
    typed: str
    notes: tuple[Note, ...] = ()


def read_moisture(value: object, *, field: str = "moisture", decimal_comma: bool | None = None) -> ReadMoisture:
    """Read a moisture from a text or a cell, with or without its % sign.

    Raises:
        AmountMissing, NotANumber, TwoReadings: as `read_amount`.
        MoistureOutOfRange: below 0, or 100 and more.
    """
    number = value.strip().rstrip("%٪％").rstrip() if isinstance(value, str) else value
    read = read_amount(number, field=field, decimal_comma=decimal_comma)
    if not 0 <= read.value < 100:
        raise MoistureOutOfRange(read.value, field=field)
    return ReadMoisture(read.value, typed_text(value), read.notes)


def moisture_mistakes(
    percent: Decimal, limits: MoistureLimits = USUAL_LIMITS, *, field: str = "moisture"
) -> tuple[Mistake, ...]:
    """Ask about a reading that looks like a fraction, a dry-basis number or a slip.

    Args:
        percent: the reading, taken as wet basis [%].

    Returns:
        No or one finding; where we know what was meant, its proposal is that number.
    """
    if not 0 <= percent < 100:
        return (MoistureOutOfRange(percent, field=field),)
    if percent < 1 and limits.lowest <= percent * 100 <= limits.highest:
        return (LooksLikeFraction(percent, field=field),)
    if percent < limits.lowest or percent > limits.highest:
        return (MoistureUnlikely(percent, limits, field=field),)
    return (LooksLikeDryBasis(percent, limits, field=field),) if percent > limits.dry_basis_over else ()


def storage_advice(percent: Decimal, *, over: Decimal = DRY_OR_COOL_OVER) -> Advice:
    """Say whether a lot must be dried or cooled: only above the limit, not at it.

    Args:
        percent: moisture [% wet basis].
        over: the station's limit [% wet basis].
    """
    return Advice.DRY_OR_COOL if percent > over else Advice.NONE


def dried_mass(mg: int, before: Decimal, after: Decimal) -> int:
    """Work out what a lot should weigh after drying: its dry matter stays.

    Args:
        mg: mass before [mg].
        before, after: moisture [% wet basis], 0 to below 100; after may be the higher one (seed took up water).

    Returns:
        Expected mass, rounded once, half up [mg].

    Raises:
        ValueError: a moisture outside 0 to below 100.
    """
    return half_up_int(mg * _dry_part(before) / _dry_part(after))


def shrink_percent(before: Decimal, after: Decimal) -> Fraction:
    """Work out the part of the first mass that drying takes off, exact [%]; negative where seed took up water."""
    return 100 * (1 - _dry_part(before) / _dry_part(after))


def wet_to_dry(percent: Decimal) -> Fraction:
    """Turn water per whole into water per dry matter, exact [%]."""
    return Fraction(percent) / _dry_part(percent)


def dry_to_wet(percent: Decimal) -> Fraction:
    """Turn water per dry matter into water per whole, exact [%]."""
    if percent < 0:
        raise ValueError(f"A moisture is never below 0, but {percent} is.")
    return 100 * Fraction(percent) / (100 + Fraction(percent))


def _dry_part(percent: Decimal) -> Fraction:
    if not 0 <= percent < 100:
        raise ValueError(f"A moisture lies between 0 and below 100, but {percent} does not.")
    return (100 - Fraction(percent)) / 100
