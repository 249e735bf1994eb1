"""Field notes: one value of one variable, seen of a plot or of a lot; written with its act and never changed."""

from django.db import models
from django.db.models import Q
from uuid6 import uuid7

from inventory.models.ledger import Lot, Operation
from inventory.models.origin import Plot
from inventory.models.stations import Station


class FieldNote(models.Model):
    """What was noted; a note that puts another right carries its uid, so that the note stays one thing."""

    uid = models.UUIDField(default=uuid7, db_index=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="notes")
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, null=True, blank=True, related_name="notes")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="notes")
    sample = models.CharField(max_length=20, blank=True, help_text="Number of the lot's sample that was looked at.")
    variable = models.CharField(max_length=60, help_text="Its id.")
    value = models.CharField(max_length=400, help_text="As exact text.")
    moisture_pct = models.CharField(max_length=20, blank=True, help_text="At which the value stands, % wet basis.")
    observer = models.CharField(max_length=160, blank=True, help_text="Who saw it, where that was said.")

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(plot__isnull=True) ^ Q(lot__isnull=True), name="note_of_plot_or_lot"),
            models.CheckConstraint(condition=Q(sample="") | Q(lot__isnull=False), name="noted_sample_has_its_lot"),
            models.CheckConstraint(condition=~Q(value=""), name="note_says_something"),
        )
        indexes = (models.Index(fields=("station", "variable"), name="note_by_variable"),)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.plot or self.sample or self.lot} {self.variable}: {self.value}"
