"""What an act records beside its masses: each row is written with its operation and never changed."""

from django.db import models
from django.db.models import Q

from inventory.models.ledger import Lot, Operation
from inventory.models.origin import Cross, Plot
from inventory.models.stations import Station


class Receipt(models.Model):
    """A delivery as it stood on the scale."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="receipts")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="receipts")
    gross_mg = models.PositiveBigIntegerField()
    tare_mg = models.PositiveBigIntegerField(default=0)
    net_mg = models.PositiveBigIntegerField()

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(gross_mg__gte=models.F("tare_mg")), name="gross_over_tare"),)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot} net {self.net_mg} mg"


class Moisture(models.Model):
    """A moisture reading of a lot, percent wet basis, as exact text."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="moistures")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="moistures")
    wet_basis_pct = models.CharField(max_length=20)
    method = models.CharField(max_length=20, blank=True, help_text="Meter or oven, where it was said.")
    basis = models.CharField(max_length=3, blank=True, help_text="Dry where it was read on dry basis.")
    temperature_c = models.CharField(max_length=20, blank=True, help_text="Of the seed or the oven, where it was said.")

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot} {self.wet_basis_pct} %"


class RunRecord(models.Model):
    """A run over the machines of the cleaning line, as it was booked."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="run")
    number = models.CharField(max_length=20)
    machines = models.CharField(max_length=120, help_text="In the order of the line, joined with ' + '.")
    feed_lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="runs")
    feed_mg = models.PositiveBigIntegerField()
    is_cleaned_out = models.BooleanField(default=True, help_text="Pit, legs, screens and deck were cleaned out before.")
    allowed_loss_ppm = models.PositiveIntegerField(help_text="Allowed unaccounted mass, parts per million of feed.")

    class Meta:
        indexes = (models.Index(fields=("station", "number"), name="run_by_number"),)

    written_with_operation = True

    def __str__(self) -> str:
        return self.number


class Treatment(models.Model):
    """A product put on the seed: the lot and all made from it are no longer food or feed."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="treatments")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="treatments")
    product = models.CharField(max_length=120)
    dose = models.CharField(max_length=120)
    caution = models.CharField(max_length=400, blank=True, help_text="The sentence of the product's own label.")

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.lot} treated with {self.product}"


class Shipment(models.Model):
    """Seed that left the station, and to whom."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="shipment")
    code = models.CharField(max_length=40)
    recipient = models.CharField(max_length=160)
    purpose = models.CharField(max_length=40, default="seed")

    class Meta:
        indexes = (models.Index(fields=("station", "code"), name="shipment_by_code"),)

    written_with_operation = True

    def __str__(self) -> str:
        return self.code


class Promise(models.Model):
    """Seed that was promised: it warns and never blocks."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="promises")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="promises")
    mg = models.PositiveBigIntegerField()
    recipient = models.CharField(max_length=160)
    until = models.DateField(null=True, blank=True)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.mg} mg of {self.lot} for {self.recipient}"


class Feedback(models.Model):
    """What somebody said of seed that left: a shipment by its code, a lot, a line, or several of these."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="feedback")
    # The code, not the row: several acts may ship under one code, and a shipment that is corrected keeps what was said.
    shipment = models.CharField(max_length=40, blank=True)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="feedback")
    line = models.ForeignKey("inventory.Line", on_delete=models.PROTECT, null=True, blank=True, related_name="feedback")
    who = models.CharField(max_length=160)
    said = models.TextField()

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=~Q(shipment="") | Q(lot__isnull=False) | Q(line__isnull=False),
                name="feedback_is_about_something",
            ),
            models.CheckConstraint(condition=~Q(who="") & ~Q(said=""), name="feedback_says_something"),
        )
        indexes = (
            models.Index(fields=("station", "shipment"), name="feedback_by_shipment", condition=~Q(shipment="")),
        )
        verbose_name_plural = "feedback"

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.who}: {self.said}"


class FieldWeight(models.Model):
    """What a plot weighed in the field, or what a block is expected to give."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="field_weights")
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="field_weights")
    mg = models.PositiveBigIntegerField()
    is_estimate = models.BooleanField(default=False)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.plot} {self.mg} mg"


class Pollination(models.Model):
    """One entry of the crossing log: flowers pollinated for a cross, and what came of them."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="pollinations")
    cross = models.ForeignKey(Cross, on_delete=models.PROTECT, related_name="pollinations")
    buds_tried = models.PositiveIntegerField()
    pods_set = models.PositiveIntegerField(default=0)
    seeds_taken = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(pods_set__lte=models.F("buds_tried")), name="no_more_pods_than_buds"),
        )

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.cross}: {self.pods_set} of {self.buds_tried}"


class Decision(models.Model):
    """What was decided about a line, with the numbers as seen that day kept in the act."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="decisions")
    line = models.ForeignKey("inventory.Line", on_delete=models.PROTECT, related_name="decisions")
    verdict = models.CharField(max_length=20)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.line}: {self.verdict}"


class Label(models.Model):
    """A label that was printed: for which thing, and which copy it was."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="labels")
    what = models.CharField(max_length=20, help_text="What it stands on: lot, bag, sample, container, place.")
    name = models.CharField(max_length=60, help_text="As people type it: 24-0016-5, 24-0016-5/14, G03, SB-07.")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="labels")
    copy = models.PositiveIntegerField(default=1, help_text="1 for the first print, 2 for the next.")
    trial_only = models.BooleanField(default=False, help_text="It says that the seed is for trial use only.")

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(copy__gt=0), name="copies_count_from_one"),)
        indexes = (models.Index(fields=("station", "what", "name"), name="label_by_name"),)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.what} {self.name}, copy {self.copy}"
