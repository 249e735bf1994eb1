"""How often a station's samples come back to another grader."""

from django.db import models

from inventory.models import Operation, Station


class RegradePlan(models.Model):
    """From this act on one in so many gradings comes back blind; 0 is none. The newest that stands holds."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="regrade_plan")
    one_in = models.PositiveSmallIntegerField()

    written_with_operation = True

    def __str__(self) -> str:
        return f"1 in {self.one_in}" if self.one_in else "none"
