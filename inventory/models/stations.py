"""Stations, who works at them, and the counters that belong to a station."""

from django.conf import settings
from django.db import models


class Station(models.Model):
    """A place that keeps and grades seed: the unit of permission, of numbering and of the chain."""

    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=120)
    zone = models.CharField(max_length=64, default="UTC", help_text="IANA zone in which times are shown.")
    floor = models.CharField(max_length=20, default="F-1", help_text="Place of a delivery that names none.")
    line_end = models.CharField(max_length=20, default="L-1", help_text="Place of what a run gave that names none.")

    def __str__(self) -> str:
        return self.code


class Membership(models.Model):
    """What a person may do at a station."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE)
    role = models.CharField(max_length=20)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "user"), name="one_role_per_person_and_station"),)

    def __str__(self) -> str:
        return f"{self.user} is {self.role} at {self.station}"


class LotCounter(models.Model):
    """The highest running lot number of a year: a row and not a sequence, so that no number is skipped."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    year = models.PositiveSmallIntegerField()
    last = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "year"), name="one_counter_per_year"),)

    def __str__(self) -> str:
        return f"{self.station} {self.year:02d}: {self.last}"


class ChainHead(models.Model):
    """The newest link of a station's chain of operations; locked last in every act."""

    station = models.OneToOneField(Station, on_delete=models.PROTECT)
    seq = models.PositiveBigIntegerField(default=0)
    hash = models.CharField(max_length=64, default="")

    def __str__(self) -> str:
        return f"{self.station} #{self.seq}"


class DataMark(models.Model):
    """Says what this database holds: a demo or practice copy calls itself so and may be deleted whole."""

    only = models.BooleanField(primary_key=True, default=True)
    is_demo = models.BooleanField(default=False)
    banner = models.CharField(max_length=200, blank=True)
    today = models.DateField(null=True, blank=True, help_text="The demo's own day; empty for real data.")

    class Meta:
        constraints = (models.CheckConstraint(condition=models.Q(only=True), name="one_data_mark"),)

    def __str__(self) -> str:
        return self.banner or "real data"
