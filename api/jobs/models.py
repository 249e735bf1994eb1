"""Long work that was asked for: who asked, how far it is, and what came of it."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from uuid6 import uuid7

from inventory.models import Station

WAITING, WORKING, DONE, FAILED, CANCELLED = STATES = ("waiting", "working", "done", "failed", "cancelled")
ENDED = (DONE, FAILED, CANCELLED)
LONGEST_FILE_NAME, LONGEST_MEDIA_TYPE = 200, 100  # characters


class Job(models.Model):
    """One piece of long work; its file lies beside the data, under its id."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    kind = models.CharField(max_length=40)
    asked = models.JSONField(default=dict, help_text="What was asked for, as it was sent.")
    key = models.CharField(max_length=200, blank=True, help_text="The caller's idempotency key.")
    state = models.CharField(max_length=12, default=WAITING)
    percent = models.PositiveSmallIntegerField(default=0)
    says = models.TextField(blank=True, help_text="What came of it, in a sentence.")
    mistakes = models.JSONField(default=list, help_text="Why it failed: code, field and sentence of each reason.")
    file_name = models.CharField(max_length=LONGEST_FILE_NAME, blank=True)
    media_type = models.CharField(max_length=LONGEST_MEDIA_TYPE, blank=True)
    is_to_stop = models.BooleanField(default=False)
    tries = models.PositiveSmallIntegerField(default=0)
    worker = models.CharField(max_length=60, blank=True, help_text="Who works on it.")
    made_at = models.DateTimeField()
    began_at = models.DateTimeField(null=True, blank=True)
    seen_at = models.DateTimeField(null=True, blank=True, help_text="When its worker was last heard of.")
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("station", "key"), condition=~Q(key=""), name="a_job_key_once"),
            models.CheckConstraint(condition=Q(state__in=STATES), name="a_known_state_of_a_job"),
            models.CheckConstraint(condition=Q(percent__lte=100), name="no_more_than_all_of_a_job"),
        )
        indexes = (models.Index(fields=("state", "id"), name="job_by_state"),)

    def __str__(self) -> str:
        return f"{self.kind} {self.state}"
