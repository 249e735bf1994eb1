"""What may come back from a hook: each reader takes an answer, or raises a TypeError that says what was promised."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import is_dataclass
from keyword import iskeyword
from typing import TypeVar

from hilum.plugins.facts import ActOffer, ActSheetKind, MeasurementField, MeasurementKind, PluginJob, SheetKind
from hilum.plugins.settings_schema import TAKEN_NAMES

T = TypeVar("T")


def facts_of_lots(answer: Mapping[str, Mapping[str, str]]) -> dict[str, dict[str, str]]:
    """Read facts of lots: all names and texts."""
    return {str(number): {str(name): str(text) for name, text in facts.items()} for number, facts in answer.items()}


def all_of(promised: type[T]) -> Callable[[Iterable[T]], tuple[T, ...]]:
    """Read a sequence of values of one kind."""

    def read(answer: Iterable[T]) -> tuple[T, ...]:
        items = tuple(answer)
        for item in items:
            if not isinstance(item, promised):
                raise TypeError(f"a {type(item).__name__} where a {promised.__name__} is promised")
        return items

    return read


def measurement_kinds(answer: Iterable[MeasurementKind]) -> tuple[MeasurementKind, ...]:
    """Read ways to measure; one of which no form can be made would cost everybody's acts."""
    kinds = all_of(MeasurementKind)(answer)
    for kind in kinds:
        _must_be_asked(kind.name, kind.fields, {"lot", "at", *TAKEN_NAMES})
        hash(kind)  # forms are made once for each; a list in it raises here
    return kinds


def jobs(answer: Iterable[PluginJob]) -> tuple[PluginJob, ...]:
    """Read long work that can be asked for."""
    found = all_of(PluginJob)(answer)
    for job in found:
        _must_be_asked(job.name, job.fields, ())
    return found


def _must_be_asked(name: str, fields: object, taken: Collection[str]) -> None:
    for fault in _faults_of_fields(fields, taken):
        raise TypeError(f"{name!r} {fault}")


def _faults_of_fields(fields: object, taken: Collection[str]) -> Iterator[str]:
    if not isinstance(fields, tuple) or not all(isinstance(one, MeasurementField) for one in fields):
        yield "has fields that are no tuple of MeasurementField"
        return
    names = [one.name for one in fields]
    for name in names:
        if not name.isidentifier() or iskeyword(name) or name in taken:
            yield f"has a field {name!r}, which is no name or is taken; name it otherwise"
        elif names.count(name) > 1:
            yield f"has the field {name!r} more than once"


def one_or_none(promised: type[T]) -> Callable[[T | None], T | None]:
    """Read one value, or none."""

    def read(answer: T | None) -> T | None:
        if answer is not None and not isinstance(answer, promised):
            raise TypeError(f"a {type(answer).__name__} where a {promised.__name__} is promised")
        return answer

    return read


def sheet_kinds(answer: Iterable[SheetKind | ActSheetKind]) -> tuple[SheetKind | ActSheetKind, ...]:
    """Read kinds of sheet."""
    items = tuple(answer)
    for item in items:
        if not isinstance(item, SheetKind | ActSheetKind):
            raise TypeError(f"a {type(item).__name__} where a SheetKind is promised")
    return items


def nothing(answer: object) -> None:
    """Read no answer, where a plugin is only told."""
    if answer is not None:
        raise TypeError(f"a {type(answer).__name__} where nothing is promised")


def offers_of_acts(answer: Iterable[ActOffer]) -> tuple[ActOffer, ...]:
    """Read acts, whose words are dataclasses."""
    offers = all_of(ActOffer)(answer)
    for offer in offers:
        if not is_dataclass(offer.words):
            raise TypeError(f"the words of {offer.verb!r} are no dataclass")
    return offers
