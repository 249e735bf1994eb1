"""The last look before an act is chained: seed on hold does not leave, and every word and number fits its column."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.db.backends.base.operations import BaseDatabaseOperations
from django.db.models import CharField, Field, IntegerField, Model

from inventory.actions.drafts import Draft
from inventory.models import ActiveHold, Membership, Station
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed
from inventory.rules.roles import who_may

LEAVING = ("ship", "sow")


class OnHold(Mistake):
    """The lot is on hold."""

    code = "on_hold"

    def __init__(self, lot: str, reason: str, lifters: Sequence[str]) -> None:
        super().__init__(f"{lot} is on hold: {reason}. {listed(list(lifters))} can lift it.", field="lot")


class TooLong(Mistake):
    """A word that is longer than its column."""

    code = "too_long"

    def __init__(self, field: str, length: int, longest: int) -> None:
        name = field.replace("_", " ").capitalize()
        super().__init__(f"{name} has {length} characters; {longest} can be kept. Write it shorter.", field=field)


class TooLarge(Mistake):
    """A number that its column cannot hold."""

    code = "too_large"

    def __init__(self, field: str, value: int, least: int, most: int) -> None:
        name = field.replace("_", " ").capitalize()
        super().__init__(f"{name} is {value}; it has to be from {least} to {most}. Check it for a slip.", field=field)


def guard_widths(drafts: Sequence[Draft]) -> None:
    """Refuse words and numbers that do not fit: PostgreSQL would stop at them, SQLite would keep them.

    Raises:
        Refused: all that are too long or too large.
    """
    mistakes = [mistake for draft in drafts for row in draft.rows for mistake in width_mistakes(row)]
    if mistakes:
        raise Refused(mistakes)


def width_mistakes(row: Model) -> list[Mistake]:
    """Say which values of a row that is to be written do not fit their columns."""
    found = (_width_mistake(field, getattr(row, field.attname)) for field in row._meta.concrete_fields)
    return [mistake for mistake in found if mistake is not None]


def _width_mistake(field: "Field[Any, Any]", value: Any) -> Mistake | None:
    if isinstance(field, CharField) and field.max_length and isinstance(value, str) and len(value) > field.max_length:
        return TooLong(field.name, len(value), field.max_length)
    if isinstance(field, IntegerField) and isinstance(value, int):
        least, most = BaseDatabaseOperations.integer_field_ranges[field.get_internal_type()]
        if not least <= value <= most:
            return TooLarge(field.name, value, least, most)
    return None


def guard_holds(drafts: Sequence[Draft]) -> None:
    """Refuse drafts that would let held seed leave or be sown (1 query where any leaves).

    Raises:
        Refused: a lot is on hold, with its reason and who can lift it.
    """
    lots = {entry.lot_id for draft in drafts if draft.kind in LEAVING for entry in draft.entries if entry.mg < 0}
    lots.discard(None)
    if lots and (mistakes := hold_mistakes(drafts[0].station, [lot for lot in lots if lot is not None])):
        raise Refused(mistakes)


def hold_mistakes(station: Station, lot_ids: Iterable[int]) -> list[Mistake]:
    """Word the holds that stand on these lots (1 query; 1 more where there are some)."""
    holds = ActiveHold.objects.filter(lot_id__in=list(lot_ids)).select_related("lot", "hold").order_by("pk")
    lifters = _lifters(station) if holds else []
    return [OnHold(hold.lot.number, hold.hold.reason.rstrip("."), lifters) for hold in holds]


def _lifters(station: Station) -> list[str]:
    people = Membership.objects.filter(station=station, role__in=who_may("lift")).select_related("user")
    return sorted(person.user.get_username() for person in people) or ["Nobody here"]
