"""The last look before an act is chained: seed on hold does not leave, whatever a plan saw a moment ago."""

from collections.abc import Iterable, Sequence

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
