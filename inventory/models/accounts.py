"""What is kept about signing in."""

from django.db import models


class WrongPassword(models.Model):
    """A wrong password for a name, known or not; ten within a quarter of an hour lock that name."""

    account = models.CharField(max_length=150)
    at = models.DateTimeField()

    class Meta:
        indexes = (models.Index(fields=("account", "at"), name="wrong_password_by_account"),)

    def __str__(self) -> str:
        return f"{self.account} at {self.at:%Y-%m-%d %H:%M}"
