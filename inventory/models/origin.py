"""Where seed comes from: market classes, lines, crosses, trials, plots, single plants, senders outside."""

from django.db import models
from uuid6 import uuid7

from inventory.models.stations import Station


class MarketClass(models.Model):
    """A market class of dry bean: navy, black, pinto …"""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    name = models.CharField(max_length=60)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "name"), name="class_name_once"),)
        verbose_name_plural = "market classes"

    def __str__(self) -> str:
        return self.name


class Line(models.Model):
    """A breeding line or variety; a parent from outside is a line without a cross."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    name = models.CharField(max_length=80)
    market_class = models.ForeignKey(MarketClass, on_delete=models.PROTECT, null=True, blank=True)
    cross = models.ForeignKey("Cross", on_delete=models.PROTECT, null=True, blank=True, related_name="lines")
    merged_into = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "name"), name="line_name_once"),)

    def __str__(self) -> str:
        return self.name


class LineName(models.Model):
    """Every name that a line has ever had: an old label must still find its line."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="names")
    name = models.CharField(max_length=80)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "name"), name="name_means_one_line"),)

    def __str__(self) -> str:
        return f"{self.name} = {self.line}"


class Cross(models.Model):
    """A cross, female first; each parent is a line or the plants of an earlier cross."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    code = models.CharField(max_length=40)
    female = models.ForeignKey(Line, on_delete=models.PROTECT, null=True, blank=True, related_name="as_female")
    male = models.ForeignKey(Line, on_delete=models.PROTECT, null=True, blank=True, related_name="as_male")
    female_cross = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="as_mother")
    male_cross = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="as_father")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("station", "code"), name="cross_code_once"),
            models.CheckConstraint(
                condition=models.Q(female__isnull=True) ^ models.Q(female_cross__isnull=True), name="one_female"
            ),
            models.CheckConstraint(
                condition=models.Q(male__isnull=True) ^ models.Q(male_cross__isnull=True), name="one_male"
            ),
        )
        verbose_name_plural = "crosses"

    def __str__(self) -> str:
        return self.code


class Site(models.Model):
    """A field or farm at which plots stand."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    code = models.CharField(max_length=12)
    name = models.CharField(max_length=120, blank=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "code"), name="site_code_once"),)

    def __str__(self) -> str:
        return self.code


class Plot(models.Model):
    """A piece of ground with one line in one season: a trial plot or an increase block."""

    uid = models.UUIDField(default=uuid7, unique=True, editable=False)
    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    site = models.ForeignKey(Site, on_delete=models.PROTECT)
    code = models.CharField(max_length=40)
    season = models.PositiveSmallIntegerField()
    line = models.ForeignKey(Line, on_delete=models.PROTECT)
    trial = models.CharField(max_length=40, blank=True)
    rep = models.PositiveSmallIntegerField(null=True, blank=True)
    position = models.PositiveSmallIntegerField(null=True, blank=True)
    is_block = models.BooleanField(default=False)
    area_m2 = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    sown_on = models.DateField(null=True, blank=True)
    sown_from_note = models.CharField(max_length=200, blank=True)
    generation = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Of the seed harvested here, where it is known only as a number."
    )
    taken_back = models.BooleanField(
        default=False, help_text="The act that entered it was reversed; the code may be entered again."
    )

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "code"), name="plot_code_once"),)

    def __str__(self) -> str:
        return self.code


class Plant(models.Model):
    """A single plant or row picked from a plot: a thing that lots come from."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="plants")
    number = models.CharField(max_length=60)
    is_row = models.BooleanField(default=False)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "number"), name="plant_number_once"),)

    def __str__(self) -> str:
        return self.number


class Sender(models.Model):
    """One delivery from outside: a grower's or another station's lot under its own number."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    name = models.CharField(max_length=120)
    their_lot = models.CharField(max_length=80)
    kind_and_variety = models.CharField(max_length=120, blank=True)
    shipped_on = models.DateField(null=True, blank=True)
    carrier = models.CharField(max_length=120, blank=True)

    def __str__(self) -> str:
        return f"{self.name} {self.their_lot}"
