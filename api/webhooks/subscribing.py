"""Add, change and end the addresses that are told of acts.

A name is resolved before a row is held, since that may take seconds and nobody else should wait for it."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from http import HTTPStatus
from typing import TypeAlias

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction

from api.unusable import NotThere, Unusable
from api.webhooks.guarding import HostUnknown, read_url, target_of
from api.webhooks.models import Webhook
from api.webhooks.signing import new_secret
from inventory.importing.words import UnknownWord
from inventory.models import ChainHead, Membership, Station
from inventory.rules.kinds import KINDS
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import quoted
from inventory.rules.roles import RECORDS

MOST, LONGEST_NAME = 20, 80
_MOST_NAMED = 20  # of the kinds that there are not: to look for the nearest of each takes its time
BOTH_SIGN_FOR = timedelta(days=1)
Seen: TypeAlias = Callable[[Webhook], None]


class NameTaken(Mistake):
    """Two addresses of one name."""

    code = "name_taken"

    def __init__(self, name: str) -> None:
        super().__init__(f"There is a webhook {quoted(name)} already. Give this one another name.", field="name")


class NameUnfit(Mistake):
    """A name that says nothing, or more than a list can show."""

    code = "name_unfit"

    def __init__(self) -> None:
        super().__init__(f"Name what is told, in 1 to {LONGEST_NAME} letters.", field="name")


class TooManyWebhooks(Mistake):
    """More addresses than one station tells."""

    code = "too_many_webhooks"

    def __init__(self) -> None:
        super().__init__(f"{MOST} webhooks are told already. End one, or let one receiver pass messages on.")


class WebhookEnded(Mistake):
    """An address that was ended while somebody was at it."""

    code = "webhook_ended"

    def __init__(self, name: str) -> None:
        super().__init__(f"{quoted(name)} was ended meanwhile and is told no more. Add it anew if it should be.")


class NotYours(Mistake):
    """Somebody else's address."""

    code = "not_your_webhook"

    def __init__(self, name: str) -> None:
        super().__init__(f"{quoted(name)} belongs to somebody else; they, or records, change it. Ask there.")


class Barred(Unusable):
    """Answered where somebody else's is to be changed."""

    status_code = HTTPStatus.FORBIDDEN


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """An address that wants to be told; no kinds are all kinds."""

    name: str
    url: str
    kinds: tuple[str, ...] = field(default_factory=tuple)


@dataclass(frozen=True, kw_only=True)
class Change:
    """What is to be otherwise; what is left out stays."""

    name: str | None = None
    url: str | None = None
    kinds: tuple[str, ...] | None = None
    active: bool | None = None


def subscribe(wanted: Wanted, *, station: Station, by: User, now: datetime) -> Webhook:
    """Tell an address from now on; its secret is in the row and is shown this once.

    Raises:
        Refused: a name, address or kind that cannot be.
    """
    mistakes = [*_of_name(wanted.name), *_of_url(wanted.url), *_of_kinds(wanted.kinds)]
    if Webhook.objects.filter(station=station).count() >= MOST:
        mistakes.append(TooManyWebhooks())
    if mistakes:
        raise Refused(mistakes)
    head = ChainHead.objects.filter(station=station).values_list("seq", flat=True).first() or 0
    return _saved(
        Webhook(
            station=station, by=by, name=wanted.name.strip(), url=wanted.url, kinds=_once(wanted.kinds),
            secret=new_secret(), seq=head, made_at=now,
        )
    )  # fmt: skip


def change(hook: Webhook, wanted: Change, *, by: User, seen: Seen | None = None) -> Webhook:
    """Change an address; one that is turned on again goes on with the act behind the last it was told of.

    Args:
        seen: is shown the address as it stands, while nobody else can change it, and may refuse.

    Raises:
        Refused, Barred, NotThere: it cannot be, is somebody else's, or was ended meanwhile.
    """
    must_be_theirs(hook, by)
    mistakes = [
        *(_of_name(wanted.name) if wanted.name is not None else ()),
        *(_of_url(wanted.url) if wanted.url is not None else ()), *_of_kinds(wanted.kinds or ()),
    ]  # fmt: skip
    if mistakes:
        raise Refused(mistakes)
    with held(hook, seen) as now_so:
        now_so.name = now_so.name if wanted.name is None else wanted.name.strip()
        now_so.url = now_so.url if wanted.url is None else wanted.url
        now_so.kinds = now_so.kinds if wanted.kinds is None else _once(wanted.kinds)
        if wanted.active is not None:
            now_so.active, now_so.says, now_so.failing_since = wanted.active, "", None
        return _saved(now_so, "name", "url", "kinds", "active", "says", "failing_since")


def renew_secret(hook: Webhook, *, by: User, now: datetime) -> Webhook:
    """Give an address a new secret; for a day both sign, so that its receiver can be changed in between.

    Raises:
        Barred, NotThere: it is somebody else's, or was ended meanwhile.
    """
    must_be_theirs(hook, by)
    with held(hook) as now_so:
        now_so.old_secret, now_so.old_until, now_so.secret = now_so.secret, now + BOTH_SIGN_FOR, new_secret()
        return _saved(now_so, "old_secret", "old_until", "secret")


def end(hook: Webhook, *, by: User, seen: Seen | None = None) -> None:
    """End an address, with its log.

    Args:
        seen: as for a change.

    Raises:
        Barred, NotThere: it is somebody else's, or was ended meanwhile.
    """
    must_be_theirs(hook, by)
    with held(hook, seen) as now_so:
        now_so.delete()


@contextmanager
def held(hook: Webhook, seen: Seen | None = None) -> Iterator[Webhook]:
    """Hold an address as it stands now, so that nobody changes or ends it meanwhile.

    Args:
        seen: is shown it and may refuse.

    Raises:
        NotThere: it was ended since it was read.
    """
    with transaction.atomic():
        now_so = Webhook.objects.select_for_update().filter(pk=hook.pk).first()
        if now_so is None:
            raise NotThere(WebhookEnded(hook.name))
        if seen is not None:
            seen(now_so)
        yield now_so


def must_be_theirs(hook: Webhook, by: User) -> None:
    """Let whoever added it and records through.

    Raises:
        Barred: it is somebody else's.
    """
    is_records = Membership.objects.filter(station=hook.station_id, user=by, role=RECORDS).exists()
    if hook.by_id != by.pk and not is_records:
        raise Barred(NotYours(hook.name))


def _saved(hook: Webhook, *fields: str) -> Webhook:
    try:
        with transaction.atomic():
            hook.save(update_fields=fields or None)
    except IntegrityError:
        raise Refused([NameTaken(hook.name)]) from None
    return hook


def _of_name(name: str) -> list[Mistake]:
    return [] if 0 < len(name.strip()) <= LONGEST_NAME and name.isprintable() else [NameUnfit()]


def _of_url(url: str) -> list[Mistake]:
    """Judge an address now; one whose host nobody knows yet is judged when it is told."""
    try:
        read_url(url)
        target_of(url)
    except HostUnknown:
        return []
    except Mistake as barred:
        return [barred]
    return []


def _once(kinds: Sequence[str]) -> list[str]:
    return list(dict.fromkeys(kinds))


def _of_kinds(kinds: Sequence[str]) -> list[Mistake]:
    unknown = [kind for kind in _once(kinds) if kind not in KINDS][:_MOST_NAMED]
    return [UnknownWord("kind of act", kind, KINDS, field="kinds") for kind in unknown]
