"""Numbers as people read them: in their unit, with their decimal sign."""

from decimal import Decimal

from inventory.rules.mass import MG_PER_LB, kg_text
from inventory.rules.rounding import half_up

# ISO 80000-1 (2022), 7.3: a small space between groups of three; the decimal sign is a comma or a point.
SPACE = "\u202f"
COMMA_LANGUAGES = ("fr", "es")


def mass_words(mg: int, unit: str = "kg", language: str = "en") -> str:
    """Write a mass without its unit: 1030200000 mg -> "1,030.2" kg, "1 030,2" in French, "2,271.2" lb.

    Args:
        mg: the mass; negative where something went [mg].
        unit: "kg", exact to the milligram, or "lb", to a tenth.
        language: "en", "fr" or "es".
    """
    text = kg_text(mg) if unit == "kg" else f"{half_up(Decimal(mg) / MG_PER_LB, 1):f}"
    return number_words(text, language)


def number_words(text: str, language: str = "en") -> str:
    """Write a number that stands with a point in groups of three, with the decimal sign of a language.

    Args:
        text: digits with a point, such as "-1030.2".
        language: "en", "fr" or "es".
    """
    sign, bare = ("-", text[1:]) if text.startswith("-") else ("", text)
    whole, point, decimals = bare.partition(".")
    grouped = f"{int(whole or 0):,}"
    if language in COMMA_LANGUAGES:
        grouped, point = grouped.replace(",", SPACE), point and ","
    return f"{sign}{grouped}{point}{decimals}"
