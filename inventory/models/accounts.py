"""What is kept about signing in."""

from django.conf import settings
from django.db import models


class WrongPassword(models.Model):
    """A wrong password for a name, known or not; ten within a quarter of an hour lock that name."""

    account = models.CharField(max_length=150)
    at = models.DateTimeField()

    class Meta:
        indexes = (models.Index(fields=("account", "at"), name="wrong_password_by_account"),)

    def __str__(self) -> str:
        return f"{self.account} at {self.at:%Y-%m-%d %H:%M}"


class Preference(models.Model):
    """How a person works: the language of the pages and the unit in which masses are shown and typed."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="preference")
    language = models.CharField(max_length=5, default="en")
    unit = models.CharField(max_length=3, default="kg")

    def __str__(self) -> str:
        return f"{self.user}: {self.language}, {self.unit}"
