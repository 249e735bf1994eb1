"""The ledger: lots, the dated acts upon them, and the signed masses of each act.

Operations and entries are inserted, never changed and never deleted: triggers refuse it (`triggers.py`).
"""

from django.conf import settings
from django.db import models
from django.db.models import Q
from uuid6 import uuid7

from inventory.models.places import Place
from inventory.models.stations import Station


class Lot(models.Model):
    """A number, and nothing else: line, sources and opening mass belong to the act that made the lot."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    year = models.PositiveSmallIntegerField()
    running = models.PositiveIntegerField()
    number = models.CharField(max_length=12)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("station", "year", "running"), name="lot_running_number_once"),
            models.UniqueConstraint(fields=("station", "number"), name="lot_number_once"),
        )

    never_changed = True

    def __str__(self) -> str:
        return self.number


class Operation(models.Model):
    """A dated act by someone, with the canonical text of all it wrote and its place in the station's chain."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    seq = models.PositiveBigIntegerField()
    kind = models.CharField(max_length=20)
    at = models.DateTimeField(help_text="When it happened.")
    recorded_at = models.DateTimeField(help_text="When it was written down.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    reason = models.TextField(blank=True)
    key = models.CharField(max_length=200, blank=True, help_text="The caller's idempotency key.")
    about = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="followed_by")
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="reversed_by")
    load = models.ForeignKey("inventory.Load", on_delete=models.PROTECT, null=True, blank=True)
    content = models.TextField(help_text="Canonical JSON of everything this act wrote.")
    prev_hash = models.CharField(max_length=64, blank=True)
    hash = models.CharField(max_length=64)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("station", "seq"), name="one_act_per_place_in_the_chain"),
            models.CheckConstraint(condition=~Q(hash=""), name="every_act_is_hashed"),
        )
        indexes = (
            models.Index(fields=("station", "at", "id"), name="operation_by_time"),
            models.Index(fields=("station", "key"), name="operation_by_key", condition=~Q(key="")),
            models.Index(fields=("station", "kind", "at"), name="operation_by_kind"),
        )

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.kind} #{self.seq}"


class Entry(models.Model):
    """One signed mass of one operation: a lot (or a bag of it) at a place, or an account outside the store."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="entries")
    position = models.PositiveSmallIntegerField()
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True)
    bag_no = models.PositiveIntegerField(default=0, help_text="0 for loose seed.")
    account = models.CharField(max_length=20, blank=True)
    stream = models.CharField(max_length=20, blank=True)
    mg = models.BigIntegerField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("operation", "position"), name="entry_position_once"),
            models.CheckConstraint(condition=~Q(mg=0), name="no_empty_entry"),
            models.CheckConstraint(
                condition=Q(lot__isnull=False, place__isnull=False, account="")
                | (Q(lot__isnull=True, place__isnull=True, bag_no=0) & ~Q(account="")),
                name="entry_is_seed_or_account",
            ),
        )
        indexes = (
            models.Index(fields=("lot", "place", "bag_no"), name="entry_by_stock"),
            models.Index(fields=("station", "account", "stream"), name="entry_by_account", condition=~Q(account="")),
        )
        verbose_name_plural = "entries"

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot or self.account} {self.mg} mg"


class Identity(models.Model):
    """What a lot is, as the act that made or reassigned it said; the newest one not reversed holds."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="identities")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="identities")
    line = models.ForeignKey("inventory.Line", on_delete=models.PROTECT, null=True, blank=True)
    market_class = models.ForeignKey("inventory.MarketClass", on_delete=models.PROTECT, null=True, blank=True)
    opening_mg = models.PositiveBigIntegerField()
    crop_year = models.PositiveSmallIntegerField(null=True, blank=True)
    generation = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("operation", "lot"), name="one_identity_per_act"),)
        verbose_name_plural = "identities"

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot} is {self.line or 'a blend'}"


class Bag(models.Model):
    """A numbered part of a lot; what is in it is the sum of its entries."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="bags")
    number = models.PositiveIntegerField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("lot", "number"), name="bag_number_once"),
            models.CheckConstraint(condition=Q(number__gt=0), name="bags_count_from_one"),
        )

    never_changed = True

    def __str__(self) -> str:
        return f"{self.lot}/{self.number}"
