"""A colour as it was typed: three numbers, once or several times, and what they were read under."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake, Question
from inventory.rules.reading import field_words, plain, quoted, typed_text
from inventory.rules.rounding import half_up

CIELAB, HUNTER = SCALES = ("CIELAB", "Hunter Lab")
ILLUMINANTS = ("A", "C", "D50", "D55", "D65", "D75")
OBSERVERS = ("2", "10")
# L* is 0 to 100 by its definition; a* and b* as instruments and files keep them, in one signed byte: common practice.
RANGE = {"lightness": (0, 100), "a": (-128, 127), "b": (-128, 127)}
AXES = tuple(RANGE)
MEAN_PLACES = 4
APART = 10  # from the mean of the readings; ours, no source: beans of one lot in one dish read far nearer
_OBSERVER = re.compile(r"(2|10) ?(?:°|deg|degrees?)?")


def _looks(says: str) -> dict[str, str]:
    return {"looks": says}


@dataclass(frozen=True, kw_only=True)
class SeenColour:
    """A colour as people and programs say it; several readings stand in the same order in all three."""

    lightness: Sequence[Any] = field(metadata=_looks("L*, 0 to 100, such as 62.1; several readings with commas"))
    a: Sequence[Any] = field(metadata=_looks("a*, green to red, such as 5.9"))
    b: Sequence[Any] = field(metadata=_looks("b*, blue to yellow, such as 18.2"))
    illuminant: str = field(default="", metadata=_looks("the light, such as D65"))
    observer: str = field(default="", metadata=_looks("2 or 10 degrees"))
    scale: str = CIELAB
    instrument: str = ""


@dataclass(frozen=True, slots=True)
class ColourRead:
    """A colour as it was understood.

    Attributes:
        readings: L*, a*, b* of each reading, exact; one or more.
        illuminant, observer, scale: what it was read under, of the words above.
        instrument: as named, or "".
    """

    readings: tuple[tuple[Decimal, Decimal, Decimal], ...]
    illuminant: str
    observer: str
    scale: str
    instrument: str

    @property
    def mean(self) -> tuple[Decimal, Decimal, Decimal]:
        """L*, a*, b*: as typed if it was read once, else the mean of each to four decimals, half up."""
        if len(self.readings) == 1:
            return self.readings[0]
        sums = (sum(map(Fraction, axis), Fraction(0)) for axis in zip(*self.readings, strict=True))
        lightness, a, b = (half_up(total / len(self.readings), MEAN_PLACES) for total in sums)
        return lightness, a, b


class UnevenReadings(Mistake):
    """Not as many numbers of one component as of the others."""

    code = "uneven_readings"

    def __init__(self, counts: Sequence[int], where: str) -> None:
        shown = f"{counts[0]} of lightness, {counts[1]} of a and {counts[2]} of b"
        super().__init__(f"There are {shown}. Give all three of every reading, in one order.", field=f"{where}a")


class LightMissing(Mistake):
    """A colour without the light or the observer it was read under."""

    code = "missing"

    def __init__(self, name: str, where: str) -> None:
        example = {"illuminant": "D65", "observer": "10"}[name]
        of = f" for the {where.rstrip('.')}" if where not in ("", "colour.") else ""
        says = f"{field_words(name)} is missing{of}. A colour is a number only with it: give it, for example {example}."
        super().__init__(says, field=f"{where}{name}")


class NoObserver(Mistake):
    """An observer that is not one of the two standard ones."""

    code = "unknown_word"

    def __init__(self, typed: str, where: str) -> None:
        says = f"Observer reads {quoted(typed)}. Give 2 or 10, the degrees of the standard observer."
        super().__init__(says, field=f"{where}observer")


class ReadingsApart(Question):
    """A reading far from the others, or a comma that was meant as a point."""

    code = "readings_apart"

    def __init__(self, place: int, distance: Decimal) -> None:
        says = f"Reading {place} lies {distance} from the mean of all, more than {APART}."
        super().__init__(
            f"{says} Read again; decimals take a point, a comma begins the next reading.", field="lightness"
        )


class SeenOtherwise(Mistake):
    """Two colours that were read under other conditions, or on other scales."""

    code = "seen_otherwise"

    def __init__(self, name: str, one: str, other: str, *, field: str) -> None:
        words = {"scale": "on two scales", "illuminant": "under two lights", "observer": "for two observers"}[name]
        says = f"One was read with {name} {one}, the other with {other}: numbers {words} cannot be compared."
        super().__init__(f"{says} Read both alike.", field=field)


def read_seen(words: Gathering, seen: SeenColour, where: str = "") -> ColourRead | None:
    """Read a colour; what is wrong is gathered, and then there is none.

    Args:
        words: gathers.
        seen: as typed.
        where: put before the fields' names: "reference.".
    """
    before = len(words.mistakes)
    axes = [_axis(words, getattr(seen, name), name, where) for name in AXES]
    counts = [len(axis) for axis in axes]
    if len(set(counts)) > 1:
        words.add(UnevenReadings(counts, where))
    scale = words.word(seen.scale, f"{where}scale", SCALES, CIELAB)
    illuminant, observer = _light(words, seen.illuminant, where), _observer(words, seen.observer, where)
    if len(words.mistakes) > before:
        return None
    readings = tuple((lightness, a, b) for lightness, a, b in zip(*axes, strict=True))
    return ColourRead(readings, illuminant, observer, scale, plain(seen.instrument))


def apart_mistakes(read: ColourRead) -> list[Mistake]:
    """Ask about the reading that is furthest from the mean, if it is far."""
    if len(read.readings) == 1:
        return []
    far = [_squared(reading, read.mean) for reading in read.readings]
    worst = max(far)
    return [ReadingsApart(far.index(worst) + 1, half_up(worst.sqrt(), 1))] if worst > APART**2 else []


def unlike(one: ColourRead, other: ColourRead, where: str = "") -> list[Mistake]:
    """Refuse to compare what was read on another scale, under another light or for another observer.

    Args:
        where: put before the name of the field that is said: "sample.".
    """
    return [
        SeenOtherwise(name, getattr(one, name), getattr(other, name), field=f"{where}{name}")
        for name in ("scale", "illuminant", "observer")
        if getattr(one, name) != getattr(other, name)
    ]


def _axis(words: Gathering, typed: object, name: str, where: str) -> list[Decimal]:
    several = list(typed) if isinstance(typed, list | tuple) else [typed]
    given = [each for each in several if typed_text(each).strip()] or [None]
    least, most = RANGE[name]
    read = []
    for place, each in enumerate(given, 1):
        field_name = f"{where}{name}" if len(given) == 1 else f"{where}{name}.{place}"
        read.append(words.number(each, field_name, least=least, most=most, example="62.1"))
    return [Decimal(0) if each is None else each for each in read]  # what could not be read was gathered


def _light(words: Gathering, typed: str, where: str) -> str:
    text = plain(typed_text(typed)).replace(" ", "")
    if not text:
        words.add(LightMissing("illuminant", where))
        return ""
    return words.word(text, f"{where}illuminant", ILLUMINANTS)


def _observer(words: Gathering, typed: object, where: str) -> str:
    text = plain(typed_text(typed)).casefold()
    match = _OBSERVER.fullmatch(text)
    if not text:
        words.add(LightMissing("observer", where))
    elif match is None:
        words.add(NoObserver(typed_text(typed), where))
    return match[1] if match else ""


def _squared(one: Sequence[Decimal], other: Sequence[Decimal]) -> Decimal:
    return sum(((a - b) ** 2 for a, b in zip(one, other, strict=True)), Decimal(0))
