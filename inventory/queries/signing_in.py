"""Whether a name may be tried now, and where an account works."""

from datetime import datetime, timedelta

from django.contrib.auth.models import User

from inventory.models import Membership, Preference, Station, WrongPassword

MOST_WRONG = 10
LOCKED_FOR = timedelta(minutes=15)


def locked_until(account: str, now: datetime) -> datetime | None:
    """Say until when a name is locked after ten wrong passwords; None where it is not (1 query)."""
    wrong = WrongPassword.objects.filter(account=account_key(account), at__gt=now - LOCKED_FOR).order_by("-at")
    moments = list(wrong.values_list("at", flat=True)[:MOST_WRONG])
    return moments[-1] + LOCKED_FOR if len(moments) == MOST_WRONG else None


def account_key(typed: str) -> str:
    """Count a name in any case as one."""
    return typed.casefold()[:150]


def station_of(user: User) -> tuple[Station | None, str]:
    """Find the station at which an account works, and its role; without a role it reads at the first station."""
    where, role, _kept = whereabouts(user)
    return where, role


def whereabouts(user: User) -> tuple[Station | None, str, Preference | None]:
    """Find station, role and preferences of an account (1 query; up to 2 more for one without a role)."""
    with_it = ("station", "user__preference")
    membership = Membership.objects.filter(user=user).select_related(*with_it).order_by("station__code").first()
    if membership is None:
        return Station.objects.order_by("code").first(), "", Preference.objects.filter(user=user).first()
    return membership.station, membership.role, getattr(membership.user, "preference", None)


def role_at(station: Station, user: User) -> str:
    """Give a person's role at a station, "" where they have none (1 query)."""
    membership = Membership.objects.filter(user=user, station=station).first()
    return membership.role if membership else ""
