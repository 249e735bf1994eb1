"""What acts about origin have in common: a record that is entered is a dated act without masses."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any, TypeVar

from django.contrib.auth.models import User
from django.db.models import Model

from inventory.actions.drafts import Draft
from inventory.actions.guarding import width_mistakes
from inventory.actions.reader import Missing, Reader
from inventory.models import Place, Site
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import field_words, plain, quoted, typed_text

T = TypeVar("T")


class NameTaken(Mistake):
    """A name or code stands for something already."""

    code = "name_taken"

    def __init__(self, what: str, name: str, stands_for: str = "", *, field: str = "name") -> None:
        of = f": it is {stands_for}" if stands_for else ""
        super().__init__(f"{what} {name} is in the books already{of}. Use another name, or that one.", field=field)


class NameTooLong(Mistake):
    """A name that no label could carry."""

    code = "name_too_long"

    def __init__(self, name: str, longest: int, *, field: str = "name") -> None:
        super().__init__(
            f"{field_words(field)} {quoted(name)} has {len(name)} signs; up to {longest} fit. Shorten it.", field=field
        )


def read_name(reader: Reader, typed: Any, field: str, example: str, longest: int) -> str:
    """Read a new name or code: plain signs, single blanks; "" where it is missing or too long, which is gathered."""
    name = plain(typed_text(typed))
    if not name:
        reader.add(Missing(field, example))
        return ""
    if len(name) > longest:
        reader.add(NameTooLong(name, longest, field=field))
        return ""
    return name


def plan_each(items: Iterable[T], plan: Callable[[T], Draft | None]) -> list[Draft]:
    """Plan items one after the other; what is wrong with any of them is said at once.

    Args:
        plan: plans one item; None where it changes nothing.

    Raises:
        Refused: the mistakes of all items together.
    """
    drafts: list[Draft] = []
    mistakes: list[Mistake] = []
    for item in items:
        try:
            draft = plan(item)
        except Refused as refused:
            mistakes.extend(refused.mistakes)
        else:
            drafts.extend([draft] if draft else [])
    if mistakes:
        raise Refused(mistakes)
    return drafts


def entered(
    reader: Reader, record: Mapping[str, Any], *, by: User, at: datetime, kind: str = "origin", reason: str = "",
    key: str = "", rows: Sequence[Model] = (),
) -> Draft:  # fmt: skip
    """Draft the act that enters a record, which is kept in its facts.

    Raises:
        Refused: something that was read stands in the way.
    """
    facts = {**reader.finish(), **record}
    return reader.desk.plan(
        Draft(
            kind=kind, station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=facts, rows=tuple(rows)
        )
    )  # fmt: skip


def plan_named(
    reader: Reader, model: type[Place] | type[Site], named: tuple[str, str], *, field: str, example: str, longest: int,
    by: User, at: Any, key: str = "",
) -> Draft | None:  # fmt: skip
    """Plan to enter a code with its name; None where it is in the books under the same name.

    Args:
        field: what it is, for sentences and the record: "place".
        example, longest: of its code.

    Raises:
        Refused: the code is missing, too long, or stands for another one.
    """
    moment, code = reader.when(at), read_name(reader, named[0], field, example, longest)
    station, name = reader.desk.station, named[1]
    before = model.objects.filter(station=station, code=code).first()
    if before and before.name == name:
        return None
    if before:
        reader.add(NameTaken(field.capitalize(), before.code, before.name, field=field))
    row = model(station=station, code=code, name=name)
    for mistake in width_mistakes(row):
        reader.add(mistake)
    draft = entered(reader, {"record": field, "code": code, "name": name}, by=by, at=moment, key=key)
    row.save(force_insert=True)
    return draft
