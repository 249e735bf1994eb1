"""Keys of programs in the set-up pages: seen and deleted by superusers, made on the page
Connections or by `manage.py token`."""

from django.contrib import admin
from django.http import HttpRequest

from api.models import Token


@admin.register(Token)
class Tokens(admin.ModelAdmin):  # type: ignore[type-arg]  # Django takes the argument in its stubs only
    """Keys without their secrets."""

    list_display = (
        "name",
        "begins",
        "user",
        "station",
        "device",
        "scopes",
        "created_at",
        "expires_at",
        "last_used_at",
        "revoked_at",
    )
    exclude = ("secret_hash",)

    def has_add_permission(self, _request: HttpRequest) -> bool:
        """A key is made where its secret can be shown once."""
        return False

    def has_change_permission(self, _request: HttpRequest, _row: object = None) -> bool:
        """A key is not changed: delete it and make another."""
        return False

    def has_delete_permission(self, request: HttpRequest, _row: object = None) -> bool:
        """Superusers end a key."""
        return bool(getattr(request.user, "is_superuser", False))
