"""Who may take everything out by a door through which others come too."""

from django.contrib.auth.models import User

from inventory.models import Membership, Operation, Station
from inventory.rules.mistakes import Refused
from inventory.rules.packages import MayNotTakeOut, TooLongToWait
from inventory.rules.roles import who_may


def must_take_out(person: User, most_acts: int | None = None) -> None:
    """Let through whoever gives roles at every station, or keeps the site: all of all of them leaves (3 queries).

    Args:
        most_acts: so many are packed while somebody waits; None where nobody does.

    Raises:
        Refused: a station at which the account has no such right, or books that are too long to wait for.
    """
    keeps = Membership.objects.filter(user=person, role__in=who_may("people"))
    others = Station.objects.exclude(pk__in=keeps.values("station")).order_by("code").values_list("code", flat=True)
    if not person.is_superuser and (missing := list(others)):
        raise Refused([MayNotTakeOut(missing)])
    if most_acts is not None and Operation.objects.count() > most_acts:
        raise Refused([TooLongToWait(most_acts)])
