"""Masses: integer milligrams inside, decimals with a unit at every edge."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.rules.amounts import amount_text, read_amount
from inventory.rules.mistakes import Mistake, Note, Question
from inventory.rules.reading import field_words, plain, typed_text, unaccented
from inventory.rules.rounding import half_up, half_up_int
from inventory.rules.scale import read_sent

MG_PER_G = 1_000
MG_PER_KG = 1_000_000
MG_PER_T = 1_000_000_000
# Exact by definition: International Yard and Pound Agreement (1959); 15 U.S.C. 205c note; Weights and Measures Act
# (Canada) R.S.C. 1985 c. W-6, Schedule II: 1 pound = 0.453 592 37 kilogram.
MG_PER_LB = Decimal("453592.37")
MG_PER_UNIT = {
    "mg": Decimal(1),
    "g": Decimal(MG_PER_G),
    "kg": Decimal(MG_PER_KG),
    "t": Decimal(MG_PER_T),
    "lb": MG_PER_LB,
    "oz": MG_PER_LB / 16,
    "cwt": MG_PER_LB * 100,  # the short hundredweight of the bean trade
}
# English, French and Spanish. "ton" and "quintal" are left out: they are 907, 1,000 and 1,016 kg, or 46 and 100 kg,
# depending on who says them.
UNIT_WORDS = {
    "mg": ("mg", "milligram", "milligramme", "miligramo"),
    "g": ("g", "gr", "gram", "gramme", "gramo"),
    "kg": ("kg", "kgs", "kilo", "kilogram", "kilogramme", "kilogramo"),
    "t": ("t", "tonne", "metric ton", "tonelada"),
    "lb": ("lb", "lbs", "pound", "livre", "libra"),
    "oz": ("oz", "ounce", "once", "onza"),
    "cwt": ("cwt", "hundredweight"),
}
UNIT_OF_WORD = {form: unit for unit, words in UNIT_WORDS.items() for word in words for form in (word, f"{word}s")}
UNIT_NAMES = {
    "mg": "milligrams",
    "g": "grams",
    "kg": "kilograms",
    "t": "tonnes",
    "lb": "pounds",
    "oz": "ounces",
    "cwt": "hundredweights of 100 lb",
}
_EXACT_DIGITS = 18  # times the eight of a pound is within the 28 digits that Decimal computes exactly
MOST_MG = 100 * MG_PER_T  # no road vehicle brings more; a larger number is a slip


class UnitUnknown(Mistake):
    """The word beside the number is no unit of mass we know."""

    code = "unit_unknown"

    def __init__(self, word: str, *, field: str = "") -> None:
        super().__init__(
            f"{field_words(field)} is in '{word}', which is not a unit of mass here. Write kg, g, t, lb, oz or cwt.",
            field=field,
        )


class UnitMissing(Mistake):
    """A number without a unit, where none is agreed."""

    code = "unit_missing"

    def __init__(self, amount: Decimal, *, field: str = "") -> None:
        super().__init__(
            f"{field_words(field)} {amount_text(amount)} has no unit. Write it behind the number: "
            f"{amount_text(amount)} kg or {amount_text(amount)} lb.",
            field=field,
        )


class MassNegative(Mistake):
    """A mass below nothing."""

    code = "mass_negative"

    def __init__(self, amount: Decimal, unit: str, *, field: str = "") -> None:
        super().__init__(
            f"{field_words(field)} {amount_text(amount)} {unit} is less than nothing. "
            "Set the scale to zero and weigh again.",
            field=field,
        )


class MassTooLarge(Mistake):
    """More than any vehicle carries."""

    code = "mass_too_large"

    def __init__(self, amount: Decimal, unit: str, *, field: str = "") -> None:
        super().__init__(
            f"{field_words(field)} {amount_text(amount)} {unit} is more than {MOST_MG // MG_PER_T} t. "
            "Check the number and its unit.",
            field=field,
        )


class GrossBelowTare(Mistake):
    """The container weighs more than container and seed."""

    code = "gross_below_tare"

    def __init__(self, gross: "ReadMass", tare: "ReadMass", *, field: str = "gross") -> None:
        super().__init__(
            f"Gross {gross.words} is less than the container, {tare.words}. Weigh again, or scan the right container.",
            field=field,
        )


class NetDiffers(Question):
    """The net that was written is not gross minus tare."""

    code = "net_differs"

    def __init__(self, net: "ReadMass", gross: "ReadMass", tare: "ReadMass", computed: Decimal) -> None:
        proposal = amount_text(computed)
        super().__init__(
            f"Net {net.words} is not gross {gross.words} minus tare {tare.words}: that makes {proposal} {net.unit}. "
            "Is a digit wrong or are two swapped?",
            field="net",
            proposal=f"{computed:f}",
        )


class UnitSwitched(Note):
    """The text named another unit than the one agreed for the field."""

    code = "unit_switched"

    def __init__(self, amount: Decimal, unit: str, mg: int, *, field: str = "") -> None:
        super().__init__(
            f"Read {amount_text(amount)} as {UNIT_NAMES[unit]}, as it is written: {from_mg(mg, 'kg', 3):,} kg.",
            field=field,
        )


@dataclass(frozen=True, slots=True)
class ReadMass:
    """A mass as it was understood: milligrams for the books, amount and unit as typed."""

    mg: int
    amount: Decimal
    unit: str
    typed: str
    notes: tuple[Note, ...] = ()

    @property
    def exact_mg(self) -> Fraction:
        """The mass before it was rounded to the milligram [mg]."""
        return Fraction(self.amount) * Fraction(MG_PER_UNIT[self.unit])

    @property
    def words(self) -> str:
        """Amount and unit as the person works: "1,680.0 lb"."""
        return f"{amount_text(self.amount)} {self.unit}"


def to_mg(amount: Decimal, mg_per_unit: Decimal | int) -> int:
    """Convert once, half up, to the milligram.

    Args:
        amount: in the typed unit.
        mg_per_unit: milligrams in one such unit [mg].
    """
    if len(amount.as_tuple().digits) <= _EXACT_DIGITS:
        exact = amount * mg_per_unit
        if exact == (whole := int(exact)):
            return whole
    return half_up_int(Fraction(amount) * Fraction(mg_per_unit))


def from_mg(mg: int, unit: str, places: int) -> Decimal:
    """Show milligrams in another unit, rounded half up to so many decimals."""
    return half_up(mg / Fraction(MG_PER_UNIT[unit]), places)


def kg_text(mg: int) -> str:
    """Write milligrams as exact kilograms with at least one decimal: 587200000 -> "587.2"."""
    whole, rest = divmod(abs(mg), MG_PER_KG)
    decimals = f"{rest:06d}".rstrip("0") or "0"
    return f"{'-' if mg < 0 else ''}{whole}.{decimals}"


def kg_words(mg: int) -> str:
    """Write milligrams as people read them: 1030200000 -> "1,030.2"."""
    whole, decimals = kg_text(mg).split(".")
    return f"{int(whole):,}.{decimals}" if not whole.startswith("-0") else f"{whole}.{decimals}"


def read_unit(word: str) -> str | None:
    """Name the unit a word stands for in English, French or Spanish; None if it is not one of ours."""
    return UNIT_OF_WORD.get(unaccented(plain(word)).strip(" .()[]"))


def read_mass(value: object, *, unit: str | None, field: str = "", decimal_comma: bool | None = None) -> ReadMass:
    """Read a mass from a text, a scale's typing or a cell.

    Args:
        value: number, or text with or without its own unit: "842", "  842.0 kg", "1 240,5", "1680 lb",
            and what a scale sends: "ST,GS,+ 12.42 lb".
        unit: the unit agreed for the field ("kg", "lb" …), or None; a unit in the text goes before it.
        field: the argument or column, for the sentence.
        decimal_comma: as in `read_amount`.

    Returns:
        Milligrams, amount, unit; a note where the text switched the unit.

    Raises:
        AmountMissing, NotANumber, TwoReadings: the number cannot be read, or in two ways.
        UnitMissing, UnitUnknown, MassNegative, MassTooLarge: it is no mass that a scale can show.
        StillMoving, Overloaded, TaredByScale: the scale says so itself.
    """
    number, word = _apart(read_sent(value, field=field) if isinstance(value, str) else value)
    read = read_amount(number, field=field, decimal_comma=decimal_comma)
    found = _unit(word, unit, read.value, field)
    if read.value < 0:
        raise MassNegative(read.value, found, field=field)
    mg = to_mg(read.value, MG_PER_UNIT[found])
    if mg > MOST_MG:
        raise MassTooLarge(read.value, found, field=field)
    switched = (UnitSwitched(read.value, found, mg, field=field),) if unit and found != unit else ()
    return ReadMass(mg, read.value, found, typed_text(value), (*read.notes, *switched))


def in_kg(mg: int) -> ReadMass:
    """Take a mass of the books as if somebody had typed its kilograms, so that sentences say them."""
    return read_mass(Decimal(mg) / MG_PER_KG, unit="kg")


def net_mg(gross: ReadMass, tare: ReadMass) -> int:
    """Take the container off: computed exactly in the typed units, converted once, half up.

    Raises:
        GrossBelowTare: the container weighs more than the whole.
    """
    exact = gross.exact_mg - tare.exact_mg
    if exact < 0:
        raise GrossBelowTare(gross, tare)
    return half_up_int(exact)


def net_mistakes(gross: ReadMass, tare: ReadMass, net: ReadMass) -> tuple[Mistake, ...]:
    """Compare the net that was written with gross minus tare.

    Returns:
        Nothing where they agree to the last decimal that was written, else one `NetDiffers` or `GrossBelowTare`.
    """
    exact = gross.exact_mg - tare.exact_mg
    if exact < 0:
        return (GrossBelowTare(gross, tare),)
    if exact == net.exact_mg:
        return ()
    in_unit = exact / Fraction(MG_PER_UNIT[net.unit])
    same_unit = gross.unit == tare.unit == net.unit
    # Units mixed in one row cannot agree exactly: 762.0 kg gross less 92.6 lb is compared to the decimals of the net.
    if not same_unit and half_up(in_unit, _places(net.amount)) == net.amount:
        return ()
    computed = half_up(in_unit, max(map(_places, (gross.amount, tare.amount, net.amount))))
    return (NetDiffers(net, gross, tare, computed),)


def _apart(value: object) -> tuple[object, str]:
    """Part a text at the last digit: "  842.0 kg" -> "842.0", "kg"."""
    if not isinstance(value, str):
        return value, ""
    text = plain(value)
    end = max((place for place, sign in enumerate(text) if sign.isdecimal()), default=-1) + 1
    return (text[:end], text[end:].strip(" .")) if end else (value, "")


def _unit(word: str, agreed: str | None, amount: Decimal, field: str) -> str:
    if not word and agreed in MG_PER_UNIT:
        return agreed
    typed = word or (agreed or "").strip()
    if not typed:
        raise UnitMissing(amount, field=field)
    found = read_unit(typed)
    if found is None:
        raise UnitUnknown(typed, field=field)
    return found


def _places(number: Decimal) -> int:
    return max(0, -int(number.as_tuple().exponent))
