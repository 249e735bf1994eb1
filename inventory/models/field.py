"""What was seen in the field: each day's temperatures at a site, and when plots flowered and ripened."""

from django.db import models

from inventory.models.ledger import Operation
from inventory.models.origin import Plot, Site
from inventory.models.stations import Station


class WeatherDay(models.Model):
    """The lowest and highest temperature of one day at a site, as exact text in the unit that was read."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="weather_days")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="weather_days")
    day = models.DateField()
    low = models.CharField(max_length=20)
    high = models.CharField(max_length=20)
    unit = models.CharField(max_length=1, help_text="C or F.")

    class Meta:
        indexes = (models.Index(fields=("site", "day"), name="weather_by_site_and_day"),)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.site} {self.day}: {self.low} to {self.high} {self.unit}"


class PlotStage(models.Model):
    """The day on which a plot flowered or was ripe."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="plot_stages")
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="stages")
    stage = models.CharField(max_length=20, help_text="flowering or maturity.")
    day = models.DateField()

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.plot} {self.stage} {self.day}"
