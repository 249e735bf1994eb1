"""What samples looked like against a class card."""

from django.db import models

from inventory.models import Lot, Operation, Station


class CardJudgement(models.Model):
    """A sample held against a class card: what was said of it, what was measured by then, and the card as it was."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="card_judgement")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="card_judgements")
    sample = models.ForeignKey("grading.Sample", on_delete=models.PROTECT, related_name="card_judgements")
    grader = models.CharField(max_length=150, help_text="Who looked, as named; not always who wrote it down.")
    card_id = models.CharField(max_length=40)
    edition = models.CharField(max_length=40)
    card = models.JSONField(default=dict, help_text="The card in its written form, as it was then.")
    words = models.JSONField(default=dict, help_text="Thing looked at: word.")
    measured = models.JSONField(default=dict, help_text="What the books held of the lot then: exact text.")

    written_with_operation = True

    def __str__(self) -> str:
        return f"{self.sample} by {self.card_id}"
