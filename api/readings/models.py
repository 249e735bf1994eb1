"""What devices sent, letter by letter, and what was read in it: tables of their own, so that no row is ever changed."""

from django.conf import settings
from django.db import models
from uuid6 import uuid7

from inventory.models import Station

LONGEST_CODE, LONGEST_ID, LONGEST_RAW = 40, 200, 4_000  # characters


class Device(models.Model):
    """A balance or meter that sends readings, and the driver that reads them, as it is now."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    code = models.CharField(max_length=LONGEST_CODE, help_text="As it calls itself in what it sends.")
    name = models.CharField(max_length=80)
    driver = models.CharField(max_length=80)
    unit = models.CharField(max_length=8, blank=True, help_text="What its numbers mean where they name no unit.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True, help_text="Nothing that it sent since is read.")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "code"), name="device_code_once"),)

    def __str__(self) -> str:
        return self.code


class DeviceChange(models.Model):
    """A device as it was from a moment on, so that one can tell by what an old reading was read."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="changes")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=80)
    driver = models.CharField(max_length=80)
    unit = models.CharField(max_length=8, blank=True)
    is_ended = models.BooleanField(default=False)

    never_changed = True

    def __str__(self) -> str:
        return f"{self.device} from {self.at:%Y-%m-%d}"


class Reading(models.Model):
    """One text as a device sent it, also of a device that nobody entered."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    device = models.CharField(max_length=LONGEST_CODE, help_text="As it was sent; there may be no such device.")
    reading = models.CharField(max_length=LONGEST_ID, help_text="The device's own number for it.")
    taken_at = models.DateTimeField()
    received_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=LONGEST_CODE, blank=True)
    raw = models.TextField()
    sent = models.JSONField(default=dict, help_text="What the sender read in it itself.")

    never_changed = True

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "device", "reading"), name="a_reading_once"),)

    def __str__(self) -> str:
        return f"{self.device} {self.reading}"


class ReadingParse(models.Model):
    """What a driver read in a text, or why it could not; of several the one with the highest number counts."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT, related_name="+")
    reading = models.ForeignKey(Reading, on_delete=models.PROTECT, related_name="parses")
    number = models.PositiveSmallIntegerField(default=1, help_text="Counted within its reading.")
    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="+")
    driver = models.CharField(max_length=80)
    at = models.DateTimeField()
    values = models.JSONField(default=list)
    unread = models.TextField(blank=True, help_text="Why nothing was read, in a sentence.")

    never_changed = True

    class Meta:
        constraints = (models.UniqueConstraint(fields=("reading", "number"), name="a_parse_once"),)

    def __str__(self) -> str:
        return f"{self.reading} by {self.driver}"
