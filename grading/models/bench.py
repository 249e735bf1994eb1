"""What the bench records: samples and the portions worked from them.

Every row is written with its operation and never changed; a row stands unless its operation was reversed.
"""

from django.db import models

from inventory.models import Lot, Operation, Station


class Sample(models.Model):
    """Seed drawn from a lot by a stated sampling scheme, or a kept file sample taken out again."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="sample")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="samples")
    number = models.CharField(max_length=20)
    take = models.PositiveSmallIntegerField(default=0, help_text="Samples of this number that were taken back before.")
    drawn_mg = models.PositiveBigIntegerField(default=0, help_text="0 where a file sample was taken out again.")
    scheme = models.CharField(max_length=20, help_text="Id of the sampling scheme.")
    size = models.PositiveIntegerField(help_text="Bins, bags, containers or kilograms in the lot.")
    points_asked = models.PositiveIntegerField()
    points_probed = models.PositiveIntegerField(null=True, blank=True)
    file_sample_of = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="regrades")
    is_blind = models.BooleanField(
        default=False, help_text="Taken out again so that another grader picks it without knowing which it is."
    )

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "number", "take"), name="sample_number_once"),)

    written_with_operation = True

    def __str__(self) -> str:
        return self.number


class Portion(models.Model):
    """The part of a sample that was worked, as it lay in the dishes; grams and per cents are exact text."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="portion")
    sample = models.ForeignKey(Sample, on_delete=models.PROTECT, related_name="portions")
    grader = models.CharField(max_length=150, help_text="Who picked it, as named; not always who wrote it down.")
    class_name = models.CharField(max_length=60)
    rule_set = models.CharField(max_length=40, help_text="Id of the rule set it was graded under.")
    edition = models.CharField(max_length=40)
    portion_g = models.CharField(max_length=30)
    weights_g = models.JSONField(default=dict, help_text="Dish: grams.")
    counts = models.JSONField(default=dict, help_text="Dish: pieces.")
    overlap_g = models.JSONField(default=list, help_text="Weight that counts under several factors.")
    appearance = models.JSONField(default=dict, help_text="Judged thing: word.")
    stops = models.JSONField(default=list, help_text="Findings that end grading.")
    gross_g = models.CharField(max_length=30, blank=True)
    dockage_g = models.CharField(max_length=30, blank=True)
    sound_g = models.CharField(max_length=30, blank=True)
    moisture_pct = models.CharField(max_length=30, blank=True)
    seed_weight_g_per_100 = models.CharField(max_length=30, blank=True)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.sample} {self.portion_g} g"
