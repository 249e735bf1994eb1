"""How things stand now: columns kept from the ledger so that reading is quick.

Each of these can be made again from the operations; `manage.py verify` does so and compares.
"""

from django.db import models
from django.db.models import F, Q

from inventory.models.ledger import Lot, Operation
from inventory.models.places import Place
from inventory.models.stations import Station


class Stock(models.Model):
    """What is left of a lot (or one bag of it) at a place: always the sum of its entries, never negative."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="stock")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="stock")
    bag_no = models.PositiveIntegerField(default=0, help_text="0 for loose seed.")
    mg = models.BigIntegerField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("lot", "place", "bag_no"), name="one_stock_row"),
            models.CheckConstraint(condition=Q(mg__gte=0), name="stock_is_never_negative"),
        )
        verbose_name_plural = "stock"

    def __str__(self) -> str:
        return f"{self.lot} at {self.place}: {self.mg} mg"


class Standing(models.Model):
    """What a lot is now; `made_by` is empty when its making was reversed."""

    lot = models.OneToOneField(Lot, on_delete=models.PROTECT, primary_key=True, related_name="standing")
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    made_by = models.ForeignKey(Operation, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField(null=True, blank=True)
    line = models.ForeignKey("inventory.Line", on_delete=models.PROTECT, null=True, blank=True)
    market_class = models.ForeignKey("inventory.MarketClass", on_delete=models.PROTECT, null=True, blank=True)
    opening_mg = models.PositiveBigIntegerField(default=0)
    crop_year = models.PositiveSmallIntegerField(null=True, blank=True)
    generation = models.PositiveSmallIntegerField(null=True, blank=True)
    treated = models.BooleanField(default=False)
    inherits_treatment = models.BooleanField(default=False, help_text="A parent was treated when this lot was made.")

    class Meta:
        indexes = (models.Index(fields=("station", "line"), name="standing_by_line"),)

    def __str__(self) -> str:
        return f"{self.lot}: {self.line}"


class Link(models.Model):
    """One step of the lineage graph: from a source to what came of it; nodes are numbered by `rules/nodes.py`.

    A seed link carries its share as weight / total; a sowing is a link without a share.
    """

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="links")
    parent = models.BigIntegerField()
    child = models.BigIntegerField()
    weight = models.BigIntegerField()
    total = models.BigIntegerField()
    is_sowing = models.BooleanField(default=False)
    is_assumed = models.BooleanField(default=False, help_text="The weights were not known and equal ones were taken.")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("operation", "parent", "child"), name="one_link_per_act"),
            models.CheckConstraint(condition=~Q(parent=F("child")), name="nothing_comes_from_itself"),
            models.CheckConstraint(condition=Q(weight__gt=0, total__gte=F("weight")), name="share_is_a_fraction"),
        )
        indexes = (
            models.Index(fields=("parent",), name="link_forward"),
            models.Index(fields=("child",), name="link_back"),
        )

    def __str__(self) -> str:
        return f"{self.parent} → {self.child}"


class ActiveHold(models.Model):
    """A hold that stands on a lot; every lot made from a held lot takes its holds over."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="holds")
    hold = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("lot", "hold"), name="one_row_per_hold"),)

    def __str__(self) -> str:
        return f"{self.lot} on hold"
