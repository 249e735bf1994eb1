"""How a person likes the bench laid out; no act upon seed."""

from django.conf import settings
from django.db import models


class BenchManner(models.Model):
    """A grader's own tray: order and letters of the dishes, and what the bench shows and sounds."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="bench_manner")
    order = models.JSONField(default=list, blank=True, help_text="Names of dishes in the order of the tray.")
    letters = models.JSONField(default=dict, blank=True, help_text="Dish: letter.")
    uses_letters = models.BooleanField(default=True, help_text="One letter goes to a dish.")
    sounds = models.BooleanField(default=False, help_text="A tick for each weight that was taken.")
    shows_grade = models.BooleanField(default=False, help_text="The grade so far is seen while one picks.")
    advises = models.BooleanField(default=False, help_text="Says when a portion tells already.")

    def __str__(self) -> str:
        return f"the tray of {self.user}"
