"""Where seed stands, and what it stands in."""

from django.db import models

from inventory.models.stations import Station


class Place(models.Model):
    """A bin, bay, rack or floor at which seed stands."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    code = models.CharField(max_length=20)
    name = models.CharField(max_length=120, blank=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "code"), name="place_code_once"),)

    def __str__(self) -> str:
        return self.code


class Container(models.Model):
    """A bin, box, tote or bag with the tare that was last checked on the scale."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    code = models.CharField(max_length=20)
    kind = models.CharField(max_length=60)
    tare_mg = models.PositiveBigIntegerField()
    checked_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "code"), name="container_code_once"),)

    def __str__(self) -> str:
        return f"{self.code} ({self.kind})"
