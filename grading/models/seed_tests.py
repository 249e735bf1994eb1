"""Seed health, purity of variety and purity, and what the station allows; each row stands with its operation.

Counts are whole numbers and weights exact text, as they were typed; per cents and limits are worked out when asked.
"""

from django.db import models
from django.db.models import F, Q

from inventory.models import Lot, Operation, Station


class HealthTest(models.Model):
    """Seeds tested for one pathogen, and how many carried it."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="health_test")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="health_tests")
    pathogen = models.CharField(max_length=80)
    method = models.CharField(max_length=120)
    tested = models.PositiveIntegerField()
    found = models.PositiveIntegerField()
    drawn_mg = models.PositiveBigIntegerField(default=0)

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(found__lte=F("tested")), name="no_more_found_than_tested"),)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot} {self.pathogen}: {self.found} of {self.tested}"


class VarietyTest(models.Model):
    """Plants, seedlings or seeds looked at, and how many were off-types."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="variety_test")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="variety_tests")
    counted = models.CharField(max_length=10, help_text="What was looked at: plants, seedlings or seeds.")
    looked_at = models.PositiveIntegerField()
    off_types = models.PositiveIntegerField()
    described = models.CharField(max_length=200, blank=True, help_text="What was off.")
    drawn_mg = models.PositiveBigIntegerField(default=0)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(off_types__lte=F("looked_at")), name="no_more_off_types_than_looked_at"),
        )

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot} off-types: {self.off_types} of {self.looked_at} {self.counted}"


class PurityTest(models.Model):
    """A purity analysis as it was weighed [g]; each weight is exact text."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="purity_test")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="purity_tests")
    working_g = models.CharField(max_length=20)
    parts_g = models.JSONField(default=dict, help_text="Part: grams; pure seed may be left out from 25 g.")
    drawn_mg = models.PositiveBigIntegerField(default=0)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot} purity of {self.working_g} g"


class SeedLimit(models.Model):
    """The most that the station allows, or the least of a germination; the newest of a name is in force."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="seed_limit")
    name = models.CharField(max_length=80, help_text="A pathogen, off-types, or germination.")
    most_pct = models.CharField(max_length=20, help_text="Exact text; empty where the limit was taken off.", blank=True)
    least_pct = models.CharField(max_length=20, help_text="Exact text; only of a germination.", blank=True, default="")

    written_with_operation = True

    def __str__(self) -> str:
        return (
            f"{self.name} at least {self.least_pct} %" if self.least_pct else f"{self.name} at most {self.most_pct} %"
        )
