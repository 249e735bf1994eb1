"""Masses and numbers in the manner of whoever asks."""

from inventory.queries.preferences import manner_in_use
from inventory.rules.showing import mass_words, number_words


def shown_mass(mg: int) -> str:
    """Write a mass in the person's unit and language, without the unit."""
    manner = manner_in_use()
    return mass_words(mg, manner.unit, manner.language)


def shown_number(number: object) -> str:
    """Write a number with the decimal sign of the person's language."""
    return number_words(str(number), manner_in_use().language)


def shown_unit() -> str:
    """Name the unit in which masses are shown."""
    return manner_in_use().unit
