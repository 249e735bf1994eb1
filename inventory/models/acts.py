"""Acts on their way into the ledger: commands that may be sent twice, loads of sheets, runs and sheets being filled."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from uuid6 import uuid7

from inventory.models.ledger import Lot, Operation
from inventory.models.stations import Station


class Command(models.Model):
    """A key that was used, with a print of what was asked: the same key and content is one effect."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    key = models.CharField(max_length=200)
    fingerprint = models.CharField(max_length=64)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "key"), name="key_once_per_station"),)

    never_changed = True

    def __str__(self) -> str:
        return self.key


class Load(models.Model):
    """One saved sheet: the bytes it came from, the answers that were given, and through it its operations."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=40)
    file_name = models.CharField(max_length=255)
    sha256 = models.CharField(max_length=64)
    answers = models.JSONField(default=list)
    rows = models.PositiveIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    loaded_at = models.DateTimeField()
    unloaded_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("station", "number"), name="load_number_once"),
            models.UniqueConstraint(
                fields=("station", "sha256", "kind"),
                condition=Q(unloaded_at__isnull=True),
                name="a_file_is_loaded_once",
            ),
        )

    def __str__(self) -> str:
        return f"L{self.number}"


class RunDraft(models.Model):
    """A run being filled: outside the ledger until it is booked."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    number = models.CharField(max_length=20)
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    feed_lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    typed = models.JSONField(default=dict, help_text="What was filled in so far, as typed.")
    booked = models.OneToOneField(Operation, on_delete=models.PROTECT, null=True, blank=True, related_name="draft")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "number"), name="run_draft_number_once"),)

    def __str__(self) -> str:
        return self.number


class SheetDraft(models.Model):
    """A sheet that is being answered: outside the ledger until it is saved; its file lies beside, under its hash."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    sha256 = models.CharField(max_length=64)
    file_name = models.CharField(max_length=255)
    kind = models.CharField(max_length=40, blank=True)
    rows = models.PositiveIntegerField(default=0, help_text="Filled rows of its worksheet, headings too.")
    answers = models.JSONField(default=dict, help_text="Kind of sheet -> answers, each with who gave it.")
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    touched_at = models.DateTimeField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "sha256"), name="a_file_is_answered_once"),)

    def __str__(self) -> str:
        return self.file_name
