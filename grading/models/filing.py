"""Where kept samples stand, and the trays in the germination room; each row stands with its operation."""

from django.db import models

from grading.models.bench import Sample
from inventory.models import Lot, Operation, Station

KEPT, TAKEN_OUT, DISCARDED = "kept", "taken out", "discarded"


class FileSample(models.Model):
    """What happened to the kept part of a sample; the newest that stands says where it is."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="file_sample")
    sample = models.ForeignKey(Sample, on_delete=models.PROTECT, related_name="filed")
    event = models.CharField(max_length=12, help_text="kept, taken out or discarded.")
    place = models.CharField(max_length=60, blank=True, help_text="Where it stands: shelf, drawer, room.")
    until = models.DateField(null=True, blank=True, help_text="It is kept until this day.")
    state = models.CharField(max_length=12, blank=True, help_text="uncleaned or cleaned.")
    who = models.CharField(max_length=150, blank=True, help_text="Who took it out.")

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.sample} {self.event}"


class GerminationTray(models.Model):
    """Seeds of a lot laid out to germinate, and the day on which they are counted."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="germination_tray")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="germination_trays")
    count_on = models.DateField()

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot}, counted {self.count_on}"
