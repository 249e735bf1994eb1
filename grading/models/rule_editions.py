"""A station's own editions of rule sets: drafts outside the books, what was put in force or withdrawn within them."""

from django.conf import settings
from django.db import models

from inventory.models import Operation, Station


class RulesDraft(models.Model):
    """An edition that is being worked on: outside the books, and replaced as often as somebody likes."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    rule_set = models.CharField(max_length=40)
    edition = models.CharField(max_length=40)
    text = models.TextField(help_text="The rule set as JSON, as it was sent.")
    drafted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    drafted_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("station", "rule_set", "edition"), name="rules_draft_once"),)

    def __str__(self) -> str:
        return f"{self.rule_set}:{self.edition}"


class RuleEdition(models.Model):
    """An edition that was put in force, whole and as it was sent; it ends the edition of its id before it."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="rule_edition")
    rule_set = models.CharField(max_length=40)
    edition = models.CharField(max_length=40)
    begins = models.DateField(help_text="The first day it grades samples of.")
    text = models.TextField(help_text="The rule set as JSON, as it was sent.")

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.rule_set}:{self.edition}"


class RulesWithdrawn(models.Model):
    """An edition that was taken out of force, ours or one that came with the app."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="rules_withdrawn")
    rule_set = models.CharField(max_length=40)
    edition = models.CharField(max_length=40)
    ends = models.DateField(help_text="The last day it grades samples of.")

    written_with_operation = True

    class Meta:
        verbose_name_plural = "rules withdrawn"

    def __str__(self) -> str:
        return f"{self.rule_set}:{self.edition}"
