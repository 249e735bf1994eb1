"""Areas of plots and blocks: square metres inside, with a unit at every edge."""

import re
from decimal import Decimal

from inventory.rules.amounts import amount_text, read_amount
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import field_words, plain, typed_text
from inventory.rules.rounding import half_up

# The SI Brochure (BIPM, 9th ed. 2019), table 8: 1 ha = 10^4 m². The acre is 4,840 square yards of 0.9144 m
# (International Yard and Pound Agreement, 1959).
M2_PER_UNIT = {"m2": Decimal(1), "ha": Decimal(10_000), "ac": Decimal("4046.8564224")}
UNIT_WORDS = {
    "m2": ("m2", "m²", "sqm", "sq m"),
    "ha": ("ha", "hectare", "hectares"),
    "ac": ("ac", "acre", "acres"),
}
UNIT_OF_WORD = {word: unit for unit, words in UNIT_WORDS.items() for word in words}
LARGEST_M2 = Decimal(1_000_000)  # 100 ha: no plot or block of a breeding station is larger


class AreaUnitUnknown(Mistake):
    """The word beside the number is no unit of area we know."""

    code = "area_unit_unknown"

    def __init__(self, word: str, *, field: str = "area") -> None:
        super().__init__(f"{field_words(field)} is in '{word}'. Write m2, ha or ac behind the number.", field=field)


class AreaUnlikely(Mistake):
    """An area no plot can have."""

    code = "area_unlikely"

    def __init__(self, amount: Decimal, unit: str, *, field: str = "area") -> None:
        super().__init__(
            f"{field_words(field)} {amount_text(amount)} {unit} is no plot's: it lies above 0 and up to 100 ha. "
            "Check the number and its unit.",
            field=field,
        )


def area_shown(square_metres: Decimal) -> tuple[Decimal, str]:
    """Give an area in the unit in which people say it: plots in m², blocks from a tenth of a hectare on in ha."""
    if square_metres < M2_PER_UNIT["ha"] / 10:
        return half_up(square_metres, 1), "m²"
    return half_up(square_metres / M2_PER_UNIT["ha"], 2), "ha"


def read_area(value: object, *, unit: str = "m2", field: str = "area") -> Decimal:
    """Read an area from a text or a cell: "14.4", "14.4 m²", "0.28 ha".

    Args:
        unit: of a number that carries none.

    Returns:
        The area, half up to two decimals [m²].

    Raises:
        AmountMissing, NotANumber, TwoReadings: as `read_amount`.
        AreaUnitUnknown, AreaUnlikely: the unit is not known, or no plot is so large or small.
    """
    text = typed_text(value).replace("²", "2")
    match = re.fullmatch(r"([^A-Za-z]*)([A-Za-z].*)?", plain(text))
    number, word = (match[1], match[2] or unit) if match else (text, unit)
    known = UNIT_OF_WORD.get(word.strip(" .").casefold())
    if known is None:
        raise AreaUnitUnknown(word, field=field)
    amount = read_amount(number if match and match[2] else value, field=field).value
    square_metres = half_up(amount * M2_PER_UNIT[known], 2)
    if not 0 < square_metres <= LARGEST_M2:
        raise AreaUnlikely(amount, known, field=field)
    return square_metres
