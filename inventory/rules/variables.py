"""What is noted of a plot, a lot or a sample: a trait, how it is looked at, and the scale it is written on."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Any

from inventory.rules.amounts import read_amount
from inventory.rules.codes import read_code
from inventory.rules.dates import read_date
from inventory.rules.mistakes import Mistake, Note, Question
from inventory.rules.reading import listed, plain, quoted, typed_text, unaccented

MOST_SIGNS = 400  # of a value: what its column holds
_SHOWN = 9


class ScaleKind(StrEnum):
    """What a value is."""

    DATE = "date"
    NUMBER = "number"
    ORDINAL = "ordinal"
    WORD = "word"
    TEXT = "text"


@dataclass(frozen=True)
class Part:
    """A trait or a method: its id, what it is called, of which kind it is, and where it was read."""

    id: str
    name: str
    kind: str = ""
    says: str = ""
    source: str = ""


@dataclass(frozen=True)
class Scale:
    """A scale.

    Attributes:
        unit: of a number.
        least, most: outside of which a number is asked about; both ends are inside.
        categories: (value, words) in order, the values as they are stored.
        worst: the value at the bad end; "" where there is none.
    """

    id: str
    name: str
    kind: ScaleKind
    unit: str = ""
    least: Decimal | None = None
    most: Decimal | None = None
    categories: tuple[tuple[str, str], ...] = ()
    worst: str = ""


@dataclass(frozen=True)
class Variable:
    """A variable.

    Attributes:
        id: a CURIE of the crop ontology, or of our own ("LOCAL:standing").
        name: as people type it.
        short: as field books head its column.
        of: what it is noted of: plot, lot, sample.
        stage: the plot's stage that a note of it is as well; "" for most.
        at_moisture: its value stands at a moisture, which has to be said.
    """

    id: str
    name: str
    trait: Part
    method: Part
    scale: Scale
    short: str = ""
    growth_stage: str = ""
    of: tuple[str, ...] = ("plot",)
    stage: str = ""
    at_moisture: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """Everything it is called by."""
        return (self.name, self.short, self.id)


class OffScale(Question):
    """A value outside of what its scale has."""

    code = "off_scale"

    def __init__(self, variable: Variable, typed: str, *, field: str = "value") -> None:
        super().__init__(
            f"{variable.name.capitalize()} is {typed}; its scale goes {scale_words(variable.scale)}. "
            "Check it, or say why it is right.",
            field=field,
        )


class NotOnScale(Mistake):
    """A word that is none of the scale's."""

    code = "not_on_scale"

    def __init__(self, variable: Variable, typed: str, *, field: str = "value") -> None:
        shown = [f"{value} ({words})" for value, words in variable.scale.categories[:_SHOWN]]
        super().__init__(
            f"{variable.name.capitalize()} reads {quoted(typed)}. Give {listed(shown)}.", field=field
        )  # fmt: skip


class NotNotedOf(Mistake):
    """A variable that is noted of something else."""

    code = "not_noted_of"

    def __init__(self, variable: Variable, what: str) -> None:
        super().__init__(
            f"{variable.name.capitalize()} is noted of a {listed(list(variable.of))}, not of a {what}. "
            f"Name the {variable.of[0]}, or choose another variable.",
            field="variable",
        )


class NoteTooLong(Mistake):
    """A value that is longer than its column."""

    code = "note_too_long"

    def __init__(self, length: int) -> None:
        super().__init__(f"The value has {length:,} signs; {MOST_SIGNS} fit. Write it shorter.", field="value")


@dataclass(frozen=True)
class ReadValue:
    """A value as it is stored: a day as 2024-07-12, a number in digits, a category's own value."""

    text: str
    notes: tuple[Note, ...] = ()
    mistakes: tuple[Mistake, ...] = ()
    day: date | None = None


def read_variable(told: Mapping[str, Any]) -> Variable:
    """Read a variable from its written form.

    Raises:
        KeyError, ValueError: a part is missing or of no kind that there is.
    """
    scale = told["scale"]
    return Variable(
        id=told["id"], name=told["name"], short=told.get("short", ""), growth_stage=told.get("growth_stage", ""),
        of=tuple(told["of"]), stage=told.get("stage", ""), at_moisture=told.get("at_moisture", False),
        trait=_part(told["trait"]), method=_part(told["method"]),
        scale=Scale(
            scale["id"], scale["name"], ScaleKind(scale["kind"]), scale.get("unit", ""), _end(scale.get("least")),
            _end(scale.get("most")), tuple((value, words) for value, words in scale.get("categories", ())),
            scale.get("worst", ""),
        ),
    )  # fmt: skip


def find_variable(variables: Sequence[Variable], typed: object, *, field: str = "variable") -> Variable:
    """Find a variable by its name, its short name or its id, typed forgivingly.

    Raises:
        Mistake: there is none; the nearest is proposed.
    """
    by_name = {_fold(name): variable for variable in variables for name in variable.names if name}
    text = plain(typed_text(typed))
    found = by_name.get(_fold(text))
    if found is None:
        names = [variable.name for variable in variables]
        found = by_name[_fold(read_code(text, names, kind="variable", field=field).value)]
    return found


def read_value(variable: Variable, typed: object, *, field: str = "value") -> ReadValue:
    """Read a value on the variable's scale; one that lies off it is asked about.

    Raises:
        Mistake: it cannot be read.
    """
    return _READERS[variable.scale.kind](variable, typed, field)


def scale_words(scale: Scale) -> str:
    """Say how far a scale goes: "from 1 (No visible disease symptoms) to 9 (…), the worst"."""
    if scale.categories:
        first, last = scale.categories[0], scale.categories[-1]
        ends = [f"{value} ({words}){', the worst,' if value == scale.worst else ''}" for value, words in (first, last)]
        return f"from {ends[0]} to {ends[1]}".rstrip(",")
    unit = f" {scale.unit}" if scale.unit else ""
    return " ".join(
        words for words in (
            "" if scale.least is None else f"from {scale.least:f}{unit}",
            "" if scale.most is None else f"up to {scale.most:f}{unit}",
        ) if words
    )  # fmt: skip


def _read_day(_variable: Variable, typed: object, field: str) -> ReadValue:
    read = read_date(typed, field=field)
    return ReadValue(read.value.isoformat(), read.notes, day=read.value)


def _read_number(variable: Variable, typed: object, field: str) -> ReadValue:
    read, scale = read_amount(typed, field=field), variable.scale
    is_off = (scale.least is not None and read.value < scale.least) or (
        scale.most is not None and read.value > scale.most
    )
    text = f"{read.value:f}"
    off = (OffScale(variable, f"{text} {scale.unit}".strip(), field=field),) if is_off else ()
    return ReadValue(text, read.notes, off)


def _read_category(variable: Variable, typed: object, field: str) -> ReadValue:
    """Read a category by its value or its words; a number between or beyond those of the scale is asked about."""
    text = plain(typed_text(typed))
    for value, words in variable.scale.categories:
        if _fold(text) in (_fold(value), _fold(words)):
            return ReadValue(value)
    try:
        number = read_amount(typed, field=field).value
    except Mistake:
        raise NotOnScale(variable, text, field=field) from None
    values = [value for value, _words in variable.scale.categories]
    if (whole := f"{number.normalize():f}") in values:
        return ReadValue(whole)
    if variable.scale.kind is not ScaleKind.ORDINAL:
        raise NotOnScale(variable, text, field=field)
    return ReadValue(f"{number:f}", mistakes=(OffScale(variable, f"{number:f}", field=field),))


def _read_text(_variable: Variable, typed: object, _field: str) -> ReadValue:
    text = typed_text(typed).strip()
    if len(text) > MOST_SIGNS:
        raise NoteTooLong(len(text))
    return ReadValue(text)


_READERS = {
    ScaleKind.DATE: _read_day,
    ScaleKind.NUMBER: _read_number,
    ScaleKind.ORDINAL: _read_category,
    ScaleKind.WORD: _read_category,
    ScaleKind.TEXT: _read_text,
}


def _part(told: Mapping[str, str]) -> Part:
    return Part(told["id"], told["name"], told.get("class", ""), told.get("says", ""), told.get("source", ""))


def _end(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


def _fold(text: str) -> str:
    return unaccented(plain(text))
