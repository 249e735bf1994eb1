"""What plugins add to the books: measurements by their methods, and how far each has heard of the acts."""

from django.db import models

from inventory.models.ledger import Lot, Operation
from inventory.models.stations import Station


class Measured(models.Model):
    """A measurement by a plugin's method: what was typed, and what it came to then.

    Both are kept as exact texts, so that it is read on without the plugin that brought it.
    """

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="measured")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="measured")
    plugin = models.CharField(max_length=40)
    kind = models.CharField(max_length=60)
    typed = models.JSONField(help_text="Name of each value and its text, or texts.")
    results = models.JSONField(help_text="Name, value and unit of each result.")

    class Meta:
        indexes = (models.Index(fields=("station", "kind"), name="measured_by_kind"),)

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.kind} of {self.lot}"


class PluginSettings(models.Model):
    """What a plugin is set to at a station; the acts that set it tell by whom and when."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    plugin = models.CharField(max_length=40)
    texts = models.JSONField(default=dict, help_text="Name of each setting and its value as exact text.")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "plugin"), name="plugin_set_once"),)

    def __str__(self) -> str:
        return f"{self.plugin} at {self.station}"


class PluginSecrets(models.Model):
    """What of a plugin's settings nobody but the plugin reads."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    plugin = models.CharField(max_length=40)
    texts = models.JSONField(default=dict, help_text="As those that are no secrets.")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "plugin"), name="plugin_secrets_once"),)

    is_secret = True  # stays out of what is handed to others

    def __str__(self) -> str:
        return f"secrets of {self.plugin} at {self.station}"


class ToldPlugin(models.Model):
    """The newest act of a station of which a plugin has heard."""

    station = models.ForeignKey(Station, on_delete=models.CASCADE)
    plugin = models.CharField(max_length=80)
    seq = models.PositiveBigIntegerField(default=0)
    failed = models.TextField(blank=True, help_text="Why it has not heard of the next one.")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "plugin"), name="plugin_told_once"),)

    def __str__(self) -> str:
        return f"{self.plugin} heard of {self.seq} at {self.station}"
