"""Which addresses and messages somebody sees: their own, and for records all of the station."""

from django.contrib.auth.models import User
from django.db.models import Exists, Q, QuerySet

from api.webhooks.models import Delivery, Webhook
from inventory.models import Membership, Station
from inventory.rules.roles import RECORDS


def webhooks_seen(station: Station, person: User) -> "QuerySet[Webhook]":
    """Give the addresses that somebody sees: one may hold a secret of its own in its path."""
    return Webhook.objects.filter(Q(by=person) | _keeps_records(station, person), station=station)


def deliveries_seen(station: Station, person: User) -> "QuerySet[Delivery]":
    """Give the messages to those addresses."""
    return Delivery.objects.filter(Q(webhook__by=person) | _keeps_records(station, person), station=station)


def _keeps_records(station: Station, person: User) -> Exists:
    return Exists(Membership.objects.filter(station=station, user=person, role=RECORDS))
