"""Seed tests and measurements of a lot; every row is written with its operation and never changed."""

from django.db import models

from inventory.models import Lot, Operation, Station


class SeedTest(models.Model):
    """A germination test: normal seedlings in each replicate."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="seed_test")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="seed_tests")
    number = models.CharField(max_length=20)
    take = models.PositiveSmallIntegerField(default=0, help_text="Tests of this number that were taken back before.")
    drawn_mg = models.PositiveBigIntegerField(default=0)
    normal = models.JSONField(default=list, help_text="Normal seedlings of each replicate.")
    seeds_each = models.PositiveSmallIntegerField(default=100)
    others = models.JSONField(default=dict, blank=True, help_text="Kind, such as hard: its counts.")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "number", "take"), name="test_number_once"),)

    written_with_operation = True

    def __str__(self) -> str:
        return self.number


class SeedWeight(models.Model):
    """The weight of a hundred seeds, weighed 4, 8 or 16 times [g]; each reading is exact text."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="seed_weight")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="seed_weights")
    readings_g = models.JSONField(default=list)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot} 100 seeds: {', '.join(self.readings_g)} g"


class SizeCurve(models.Model):
    """What stayed on each screen, the widest first and the pan last [% by weight]; exact text.

    Where it was weighed, `grams` holds what was typed and the shares are worked out from it to four decimals.
    """

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="size_curve")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="size_curves")
    screens = models.JSONField(default=list, help_text="Pairs of screen and per cent.")
    grams = models.JSONField(default=list, blank=True, help_text="What stayed on each screen, where it was weighed.")
    sieved_g = models.CharField(max_length=20, blank=True, help_text="What went onto the top screen.")
    shape = models.CharField(max_length=10, blank=True, help_text="Of all openings: round or slotted.")

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot} on {len(self.screens)} screens"


class ColourReading(models.Model):
    """A colour by three numbers with what it was seen under; exact text.

    CIELAB is that of CIE 15 and ISO/CIE 11664-4; Hunter Lab is another scale, and the two are never mixed.
    """

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="colour_reading")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="colour_readings")
    lightness = models.CharField(max_length=12, help_text="L*, 0 black to 100 white.")
    a = models.CharField(max_length=12, help_text="a*, green to red.")
    b = models.CharField(max_length=12, help_text="b*, blue to yellow.")
    illuminant = models.CharField(max_length=12)
    observer = models.CharField(max_length=12, help_text="Angle of the standard observer.")
    instrument = models.CharField(max_length=80, blank=True)
    scale = models.CharField(max_length=12, default="CIELAB")
    replicates = models.JSONField(
        default=list, blank=True, help_text="L*, a*, b* of each reading, if there were several; the mean stands above."
    )

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot} L* {self.lightness}, a* {self.a}, b* {self.b}"
