"""What a station stated of its GS1 numbers: written with its act, never changed; what stands is the newest of each."""

from django.db import models

from inventory.models.ledger import Operation
from inventory.models.origin import MarketClass
from inventory.models.stations import Station


class Gs1Numbers(models.Model):
    """A company prefix, a location number, or the GTIN under which lots of a market class are traded."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="gs1_numbers")
    prefix = models.CharField(max_length=12, blank=True)
    gln = models.CharField(max_length=13, blank=True)
    gtin = models.CharField(max_length=14, blank=True, help_text="In 14 digits.")
    market_class = models.ForeignKey(
        MarketClass, on_delete=models.PROTECT, null=True, blank=True, related_name="+",
        help_text="Whose GTIN it is; empty for all classes that have none of their own.",
    )  # fmt: skip

    class Meta:
        verbose_name_plural = "gs1 numbers"

    written_with_operation = True

    def __str__(self) -> str:
        return " ".join(number for number in (self.prefix, self.gln, self.gtin) if number)
