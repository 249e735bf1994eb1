"""Keys for programs."""

from django.conf import settings
from django.db import models


class Token(models.Model):
    """A program's key: only a print of its secret is kept, so that a copy of the database opens nothing."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="api_tokens")
    secret_hash = models.CharField(max_length=64, unique=True)
    scopes = models.CharField(max_length=200, help_text="Joined with commas: read, write.")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.user} ({self.scopes})"

    def may(self, scope: str) -> bool:
        """Say whether this key was given a scope."""
        return scope in self.scopes.split(",")
