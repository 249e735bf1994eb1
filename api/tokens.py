"""Make keys for programs, find the one that a secret belongs to, and end them."""

import hashlib
import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from api.device_keys import SCOPE
from api.models import Device, Token
from api.readings.parsing import DeviceEnded
from api.scopes import SCOPES, in_order
from inventory.actions.acting import UnkeptCharacter
from inventory.models import Membership, Station
from inventory.queries.signing_in import station_of
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import UNKEPT, listed, quoted, uid_in

LONGEST_DAYS, LONGEST_NAME, SHOWN = 3660, 80, 10
_NOTED_EVERY = timedelta(minutes=1)  # so that reading through the API does not write at each request


class UnknownScope(Mistake):
    """A scope that there is not."""

    code = "unknown_scope"

    def __init__(self, typed: str) -> None:
        super().__init__(f"{quoted(typed)} is no scope. Give {listed(list(SCOPES), 'and')}, or one.", field="scopes")


class DaysOutOfRange(Mistake):
    """A key's life that ends before it begins, or never."""

    code = "days_out_of_range"

    def __init__(self, days: int) -> None:
        super().__init__(f"A key cannot last {days:,} days. Give 1 to {LONGEST_DAYS:,}, or leave it out.", field="days")


class DaysUnread(Mistake):
    """A key's life that is no number of days."""

    code = "days_unread"

    def __init__(self, typed: str) -> None:
        super().__init__(f"{quoted(typed[:20])} is no number of days. Give 90, or leave it empty.", field="days")


class KeyNameTooLong(Mistake):
    """More words than a list of keys can show."""

    code = "key_name_too_long"

    def __init__(self, length: int) -> None:
        says = f"The name of the key has {length:,} characters. Name the program or device in at most {LONGEST_NAME}."
        super().__init__(says, field="name")


class NotOfStation(Mistake):
    """A key for a station at which its account does not work."""

    code = "not_of_station"

    def __init__(self, person: str, station: str) -> None:
        super().__init__(
            f"{person} does not work at {station}. Give a key for their own station, or a role there first.",
            field="station",
        )


class MoreThanReadings(Mistake):
    """Scopes for a key that is bound to a device."""

    code = "more_than_readings"

    def __init__(self, device: str) -> None:
        super().__init__(
            f"A key of the device {quoted(device)} sends its readings and opens nothing else. Leave the scopes out, or "
            f"give {SCOPE}; make another key for the rest.",
            field="scopes",
        )


class NoSuchKey(Mistake):
    """A key that is not there, or is another's."""

    code = "no_such_key"

    def __init__(self) -> None:
        super().__init__("This key is not one of yours, or it was ended already. Load the page again.", field="key")


def make_token(
    user: User,
    *,
    scopes: Sequence[str],
    days: int | None,
    now: datetime,
    name: str = "",
    station: Station | None = None,
    device: Device | None = None,
) -> str:
    """Make a key and return its secret, which is kept nowhere.

    Args:
        scopes: of `api.scopes.SCOPES`; may be left out for a device.
        days: how long it lasts; None: until it is ended.
        name: the program or device that will hold it.
        station: the one station at which it acts; None: the account's own, or the device's.
        device: the one device whose readings it sends.

    Raises:
        Refused: an unknown scope, days out of range, a name too long, a station at which the account has no role, a
            device that was ended.
    """
    station = device.station if device else station
    given = list(scopes) or ([SCOPE] if device else [""])
    mistakes = [*_wrong(user, given, days, name, station), *(_of_device(device, given) if device else ())]
    if mistakes:
        raise Refused(mistakes)
    secret = f"hilum_{secrets.token_urlsafe(32)}"
    with transaction.atomic():
        if device and Device.objects.select_for_update().get(pk=device.pk).ended_at:  # while the key was thought of
            raise Refused([DeviceEnded(device)])
        Token.objects.create(
            user=user, station=station or station_of(user)[0], device=device, name=name.strip(), begins=secret[:SHOWN],
            secret_hash=_print_of(secret), scopes=",".join(in_order(given)), created_at=now,
            expires_at=now + timedelta(days=days) if days else None,
        )  # fmt: skip
    return secret


def end_keys_of(device: Device, now: datetime) -> int:
    """End the keys of a device; call it with the device's end, in one transaction."""
    return Token.objects.filter(device=device, revoked_at__isnull=True).update(revoked_at=now)


def _of_device(device: Device, scopes: Sequence[str]) -> list[Mistake]:
    ended: list[Mistake] = [DeviceEnded(device)] if device.ended_at else []
    return [*ended, *([MoreThanReadings(device.code)] if set(scopes) - {SCOPE} else [])]


def _wrong(user: User, scopes: Sequence[str], days: int | None, name: str, station: Station | None) -> list[Mistake]:
    mistakes: list[Mistake] = [UnknownScope(scope) for scope in scopes if scope not in SCOPES]
    if days is not None and not 1 <= days <= LONGEST_DAYS:
        mistakes.append(DaysOutOfRange(days))
    if len(name.strip()) > LONGEST_NAME:
        mistakes.append(KeyNameTooLong(len(name.strip())))
    if found := UNKEPT.search(name):
        mistakes.append(UnkeptCharacter(found[0]))
    if station and not Membership.objects.filter(user=user, station=station).exists():
        mistakes.append(NotOfStation(user.get_username(), station.code))
    return mistakes


def token_of(secret: str, *, now: datetime) -> Token | None:
    """Find the key of a secret; its use is noted (2 or 3 queries, 1 more for the key of a device, so that no
    other request reads devices along).

    Returns:
        None where it is unknown, was ended, its time is over, its account is closed or works at the station no more,
        or its device was ended.
    """
    token = next(iter(Token.objects.filter(secret_hash=_print_of(secret)).select_related("user", "station")), None)
    if token is None or not _is_living(token, now):
        return None
    if token.last_used_at is None or now - token.last_used_at > _NOTED_EVERY:
        Token.objects.filter(pk=token.pk).update(last_used_at=now)
    return token


def _is_living(token: Token, now: datetime) -> bool:
    """Judge one key as `_living` judges all: asked at each request, where putting that query together costs most."""
    if token.device is not None and token.device.ended_at is not None:
        return False
    if token.revoked_at or not token.user.is_active or (token.expires_at and token.expires_at <= now):
        return False
    stations = set(Membership.objects.filter(user=token.user_id).values_list("station", flat=True))
    return token.station_id is None or not stations or token.station_id in stations


def _living(now: datetime) -> QuerySet[Token]:
    """Leave out what opens nothing any more; an account without any role reads at the first station, as on pages."""
    roles = Membership.objects.filter(user=OuterRef("user"))
    works_there = Exists(roles.filter(station=OuterRef("station"))) | ~Exists(roles)
    return Token.objects.filter(
        Q(station__isnull=True) | works_there,
        Q(device__isnull=True) | Q(device__ended_at__isnull=True),
        Q(expires_at__isnull=True) | Q(expires_at__gt=now),
        user__is_active=True,
        revoked_at__isnull=True,
    )


def keys_shown(person: User, *, all_of: Station | None, now: datetime) -> QuerySet[Token]:
    """List the living keys of a person, or all of a station for those who look after it; newest first (1 query)."""
    keys = _living(now).select_related("user", "station", "device").order_by("-created_at", "-pk")
    return keys.filter(station=all_of) if all_of else keys.filter(user=person)


def revoke(uid: str, *, by: User, all_of: Station | None, now: datetime) -> Token:
    """End a key at once.

    Args:
        by: who ends it: its owner, or somebody who looks after the keys of the station `all_of`.

    Raises:
        Refused: there is no such key among those they may end.
    """
    known = uid_in(uid)
    token = keys_shown(by, all_of=all_of, now=now).filter(uid=known).first() if known else None
    if token is None:
        raise Refused([NoSuchKey()])
    token.revoked_at = now
    token.save(update_fields=["revoked_at"])
    return token


def _print_of(secret: str) -> str:
    """A plain digest is enough: the secret is 256 random bits, not a word that could be guessed."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
