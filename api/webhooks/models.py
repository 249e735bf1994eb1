"""Addresses that want to be told of acts, and what was told to each and when."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from uuid6 import uuid7

from inventory.models import Station

WAITING, DELIVERED, GIVEN_UP = STATES = ("waiting", "delivered", "given up")


class Webhook(models.Model):
    """An address that wants to be told of acts, and how far it has been told."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    name = models.CharField(max_length=80)
    url = models.CharField(max_length=500)
    kinds = models.JSONField(default=list, help_text="Kinds of act; empty for all.")
    secret = models.CharField(max_length=100, help_text="Signs what is sent; needed whole, so it is kept whole.")
    old_secret = models.CharField(max_length=100, blank=True, help_text="Signs as well while the new one is put in.")
    old_until = models.DateTimeField(null=True, blank=True)
    active = models.BooleanField(default=True)
    says = models.TextField(blank=True, help_text="Why it was turned off, where we did.")
    seq = models.PositiveBigIntegerField(help_text="The newest act that was looked at for it.")
    failing_since = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "name"), name="webhook_name_once"),)

    is_secret = True  # stays out of what is handed to others

    def __str__(self) -> str:
        return f"{self.name}: {self.url}"


class Delivery(models.Model):
    """One message to one address, and what came of sending it."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    webhook = models.ForeignKey(Webhook, on_delete=models.CASCADE, related_name="deliveries")
    seq = models.PositiveBigIntegerField(null=True, blank=True, help_text="Number of the act; none for a test.")
    body = models.TextField(help_text="As it is sent, letter by letter.")
    state = models.CharField(max_length=12, default=WAITING)
    tries = models.PositiveSmallIntegerField(default=0)
    due_at = models.DateTimeField()
    status = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Answered last.")
    says = models.TextField(blank=True, help_text="What came of the last try.")
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("webhook", "seq"), name="an_act_is_told_once"),
            models.CheckConstraint(condition=Q(state__in=STATES), name="a_known_state_of_a_delivery"),
        )
        indexes = (models.Index(fields=("state", "due_at"), name="delivery_by_due"),)
        verbose_name_plural = "deliveries"

    def __str__(self) -> str:
        return f"{self.uid} {self.state}"
