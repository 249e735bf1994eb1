"""Tell addresses of acts: queue a message for each act, send what is due, in the order of the acts.

Each address has its own place in the chain, so no act is left out. A message that is not taken is tried again for about
three days; the first tries hold back what comes behind it, later ones step aside, so that one message that an address
chokes on does not keep it from all others. A message may come twice: its id says that it is the same.
"""

import json
import random
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Exists, F, OuterRef, QuerySet

from api.unusable import NotThere
from api.v1.values import instant
from api.webhooks.guarding import AddressBarred, target_of
from api.webhooks.models import DELIVERED, GIVEN_UP, WAITING, Delivery, Webhook
from api.webhooks.sending import ANSWER_WITHIN, Answer, send
from api.webhooks.signing import headers_of
from api.webhooks.subscribing import held
from inventory.models import Membership, Operation
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import quoted

# After the first try: the schedule that Standard Webhooks proposes, three days and three hours in all.
WAITS = tuple(timedelta(seconds=one) for one in (5, 300, 1800, 7200, 18000, 36000, 50400, 72000, 86400))
HOLDS_BACK = 3  # tries
JITTER = 0.2  # each wait is up to a fifth longer or shorter, so that not all come at once
OFF_AFTER = timedelta(days=3)
LOG_KEPT = timedelta(days=30)
_ACTS_AT_ONCE, _SENT_AT_ONCE = 200, 5  # five slow addresses keep other duties waiting for little over a minute
_LEASE = timedelta(seconds=4 * ANSWER_WITHIN)  # a worker that was lost while it sent: another sends it again
GONE = 410


class WebhookOff(Mistake):
    """An address that is told nothing while it is off."""

    code = "webhook_off"

    def __init__(self, name: str) -> None:
        super().__init__(f"{quoted(name)} is off, so nothing is sent to it. Turn it on first, then try again.")


class MessageForgotten(Mistake):
    """A message that the log does not keep any more."""

    code = "message_forgotten"

    def __init__(self) -> None:
        super().__init__(
            f"This message ended over {LOG_KEPT.days} days ago and is forgotten. GET /api/v1/changes tells every act."
        )


def queue_messages() -> int:
    """Queue a message for each new act that an address wants to be told of.

    Returns:
        How many acts were looked at.
    """
    behind = _told_now().filter(station__chainhead__seq__gt=F("seq"))
    return sum(_queue(hook) for hook in behind.select_related("station").order_by("pk"))


def send_due(now: datetime | None = None) -> int:
    """Send what is due, one message of each address at a time.

    Returns:
        How many were tried.
    """
    moment = now or datetime.now(UTC)
    waiting = Delivery.objects.filter(webhook=OuterRef("pk"), state=WAITING, due_at__lte=moment)
    hooks = _told_now().filter(Exists(waiting)).order_by("pk")
    due = sorted((one for hook in hooks for one in _due(hook, moment)), key=lambda one: (one.due_at, one.pk))
    # Each is signed with the time at which it goes, since those before it may have taken long.
    return sum(_try(one, now or datetime.now(UTC)) for one in due[:_SENT_AT_ONCE])


def forget_log(now: datetime | None = None) -> int:
    """Forget messages that ended a month ago."""
    old = Delivery.objects.filter(ended_at__lt=(now or datetime.now(UTC)) - LOG_KEPT)
    return Delivery.objects.filter(pk__in=list(old.values_list("pk", flat=True)[:1000])).delete()[0]


def trial_message(hook: Webhook, now: datetime) -> Delivery:
    """Queue a message that tells nothing, to see whether it arrives.

    Raises:
        Refused: the address is off.
    """
    body = _body("test", now, {"station": hook.station.code})
    with held(hook, _must_be_on):
        return Delivery.objects.create(station=hook.station, webhook=hook, body=body, due_at=now, made_at=now)


def send_again(delivery: Delivery, now: datetime) -> Delivery:
    """Let a message that has ended be sent once more, under its own id.

    Raises:
        Refused: its address is off.
    """
    with held(delivery.webhook, _must_be_on):
        Delivery.objects.filter(pk=delivery.pk).update(state=WAITING, tries=0, due_at=now, ended_at=None)
        again = Delivery.objects.filter(pk=delivery.pk).first()
    if again is None:  # a month old, and forgotten meanwhile
        raise NotThere(MessageForgotten())
    return again


def _must_be_on(hook: Webhook) -> None:
    if not hook.active:
        raise Refused([WebhookOff(hook.name)])


def _told_now() -> "QuerySet[Webhook]":
    """The addresses that are on and whose owner still works at the station."""
    works_there = Membership.objects.filter(station=OuterRef("station"), user=OuterRef("by"))
    return Webhook.objects.filter(Exists(works_there), active=True, by__is_active=True)


def _queue(hook: Webhook) -> int:
    acts = Operation.objects.filter(station=hook.station, seq__gt=hook.seq).select_related("reverses").order_by("seq")
    page = list(acts[:_ACTS_AT_ONCE])
    if not page:
        return 0
    now = datetime.now(UTC)
    wanted = [act for act in page if not hook.kinds or act.kind in hook.kinds]
    messages = [
        Delivery(
            station=hook.station, webhook=hook, seq=act.seq, body=_told(hook, act), due_at=now, made_at=now
        )
        for act in wanted
    ]  # fmt: skip
    with transaction.atomic():
        # Of two workers one moves the mark; the other queues nothing.
        if not Webhook.objects.filter(pk=hook.pk, seq=hook.seq).update(seq=page[-1].seq):
            return 0
        Delivery.objects.bulk_create(messages)
    return len(page)


def _told(hook: Webhook, act: Operation) -> str:
    """Tell only what happened and where it is read: what it touched may be hidden from somebody."""
    return _body(
        "act", act.recorded_at,
        {
            "station": hook.station.code, "seq": act.seq, "id": str(act.uid), "kind": act.kind, "at": instant(act.at),
            "reverses": act.reverses.seq if act.reverses else None,
            "read": f"/api/v1/changes?after={act.seq - 1}&limit=1",
        },
    )  # fmt: skip


def _body(kind: str, moment: datetime, data: dict[str, Any]) -> str:
    message = {"type": kind, "timestamp": instant(moment), "data": data}
    return json.dumps(message, ensure_ascii=False, separators=(",", ":"))


def _due(hook: Webhook, moment: datetime) -> list[Delivery]:
    """The message at the head of an address's queue if it is due, and those that stepped aside and are."""
    waiting = Delivery.objects.filter(webhook=hook, state=WAITING).select_related("webhook").order_by("pk")
    head = waiting.filter(tries__lt=HOLDS_BACK).first()
    aside = waiting.filter(tries__gte=HOLDS_BACK, due_at__lte=moment).first()
    return [one for one in (head, aside) if one is not None and one.due_at <= moment]


def _try(delivery: Delivery, moment: datetime) -> int:
    mine = Delivery.objects.filter(pk=delivery.pk, state=WAITING, due_at=delivery.due_at)
    if not mine.update(due_at=moment + _LEASE, tries=delivery.tries + 1):
        return 0
    hook = delivery.webhook
    answer = _sent(hook, delivery, moment)
    delivery.tries += 1
    _note(delivery, answer, moment)
    if answer.is_taken:
        Webhook.objects.filter(pk=hook.pk).update(failing_since=None, says="")
    elif answer.status == GONE:
        _turn_off(hook, f"{answer.says} Turn it on again when its receiver is back.")
    else:
        _note_failing(hook, answer, moment)
    return 1


def _sent(hook: Webhook, delivery: Delivery, moment: datetime) -> Answer:
    holding = [hook.secret, *([hook.old_secret] if hook.old_until is not None and hook.old_until > moment else [])]
    headers = headers_of(holding, f"msg_{delivery.uid.hex}", int(moment.timestamp()), delivery.body)
    try:
        return send(target_of(hook.url), delivery.body, headers)
    except AddressBarred as barred:
        return Answer(None, barred.says)


def _note(delivery: Delivery, answer: Answer, moment: datetime) -> None:
    mine = Delivery.objects.filter(pk=delivery.pk, state=WAITING)
    if answer.is_taken:
        mine.update(state=DELIVERED, ended_at=moment, status=answer.status, says=answer.says)
    elif answer.status == GONE or delivery.tries > len(WAITS):
        mine.update(state=GIVEN_UP, ended_at=moment, status=answer.status, says=answer.says)
    else:
        wait = WAITS[delivery.tries - 1] * random.uniform(1 - JITTER, 1 + JITTER)  # noqa: S311 - spreads the tries, guards no secret
        mine.update(due_at=moment + wait, status=answer.status, says=answer.says)


def _note_failing(hook: Webhook, answer: Answer, moment: datetime) -> None:
    since = hook.failing_since or moment
    Webhook.objects.filter(pk=hook.pk, failing_since__isnull=True).update(failing_since=since)
    if moment - since >= OFF_AFTER:
        days = OFF_AFTER.days
        _turn_off(hook, f"It took nothing for {days} days. Last: {answer.says} Put that right, then turn it on again.")


def _turn_off(hook: Webhook, says: str) -> None:
    Webhook.objects.filter(pk=hook.pk).update(active=False, says=says)
