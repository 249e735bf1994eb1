"""Keys for programs, the lists that programs keep here, and the tables of the API's other parts."""

from django.conf import settings
from django.db import models
from uuid6 import uuid7

from api.jobs.models import Job
from api.readings.models import Device, DeviceChange, Reading, ReadingParse
from api.webhooks.models import Delivery, Webhook
from inventory.models import Station

__all__ = ["Delivery", "Device", "DeviceChange", "Job", "Reading", "ReadingParse", "SavedList", "Token", "Webhook"]


class Token(models.Model):
    """A program's key: only a print of its secret is kept, so that a copy of the database opens nothing."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="api_tokens")
    station = models.ForeignKey(Station, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    name = models.CharField(max_length=80, blank=True, help_text="The program or device that holds it.")
    begins = models.CharField(max_length=16, blank=True, help_text="How its secret begins, to tell keys apart.")
    secret_hash = models.CharField(max_length=64, unique=True)
    device = models.ForeignKey(
        Device, on_delete=models.PROTECT, null=True, blank=True, related_name="keys",
        help_text="The one device whose readings it sends; none for a program's.",
    )  # fmt: skip
    scopes = models.CharField(max_length=400, help_text="Joined with commas: read, write, lots:read …")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    is_secret = True  # stays out of what is handed to others

    def __str__(self) -> str:
        return f"{self.name or self.begins or self.user} ({self.scopes})"

    @property
    def given(self) -> list[str]:
        """The scopes it was given."""
        return self.scopes.split(",")


class SavedList(models.Model):
    """A list of ids that a program keeps for its people: what to sow, what to look at; nothing here goes by it."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=200)
    kind = models.CharField(max_length=40, help_text="What its ids are of, in the Breeding API's words.")
    about = models.TextField(blank=True)
    source = models.CharField(max_length=200, blank=True)
    created_at = models.DateTimeField()
    changed_at = models.DateTimeField()
    items = models.JSONField(default=list)
    extra = models.JSONField(default=dict, help_text="Texts by name, as they were sent.")
    references = models.JSONField(default=list, help_text="Ids that others have for it: source and id.")

    def __str__(self) -> str:
        return self.name


class ForeignName(models.Model):
    """What others call a thing of ours: their own id or name for a lot, a unit, a note or an act, by its uid."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    uid = models.UUIDField(help_text="Of the thing.")
    source = models.CharField(max_length=200, help_text="Whose id it is; names and units as sent stand under @name.")
    name = models.CharField(max_length=400)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("uid", "source", "name"), name="foreign_name_once"),)
        indexes = (models.Index(fields=("station", "source", "name"), name="foreign_by_name"),)

    def __str__(self) -> str:
        return f"{self.source} {self.name}"
