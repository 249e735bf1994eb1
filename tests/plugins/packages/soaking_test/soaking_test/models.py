"""The plugin's own table."""

from django.db import models


class Soak(models.Model):
    """One soak; it counts as gone once its act is reversed."""

    lot = models.ForeignKey("inventory.Lot", on_delete=models.PROTECT, related_name="+")
    operation = models.OneToOneField("inventory.Operation", on_delete=models.PROTECT, related_name="+")
    coefficient = models.DecimalField(max_digits=6, decimal_places=1)

    def __str__(self) -> str:
        return f"{self.coefficient} %"


class Heard(models.Model):
    """The number of an act that the plugin heard of."""

    number = models.PositiveBigIntegerField(unique=True)

    def __str__(self) -> str:
        return str(self.number)
