"""Set-up pages: word lists and accounts can be edited; the ledger and all that is kept from it can only be read."""

from django import forms
from django.apps import apps
from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.models import User
from django.db.models import Model
from django.http import HttpRequest

from inventory.models import Container, MarketClass, Membership, Place, Site, Station
from inventory.rules.roles import ROLES

WORD_LISTS: tuple[type[Model], ...] = (MarketClass, Site, Place, Container)


class ReadOnly(admin.ModelAdmin):  # type: ignore[type-arg]  # Django takes the argument in its stubs only
    """Shows rows; what is written here is written by acts alone."""

    list_per_page = 50
    show_full_result_count = False

    def has_add_permission(self, _request: HttpRequest) -> bool:
        """Nobody adds."""
        return False

    def has_change_permission(self, _request: HttpRequest, _row: object = None) -> bool:
        """Nobody changes."""
        return False

    def has_delete_permission(self, _request: HttpRequest, _row: object = None) -> bool:
        """Nobody deletes."""
        return False


class WordList(admin.ModelAdmin):  # type: ignore[type-arg]  # Django takes the argument in its stubs only
    """A list of words: added to and mended by staff, and never deleted, since old acts name its rows."""

    def has_delete_permission(self, _request: HttpRequest, _row: object = None) -> bool:
        """A word that was used stays."""
        return False


class BySuperusers(admin.ModelAdmin):  # type: ignore[type-arg]  # Django takes the argument in its stubs only
    """Who may do what is set by superusers alone."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        """Superusers add."""
        return bool(getattr(request.user, "is_superuser", False))

    def has_change_permission(self, request: HttpRequest, _row: object = None) -> bool:
        """Superusers change."""
        return self.has_add_permission(request)

    def has_view_permission(self, request: HttpRequest, _row: object = None) -> bool:
        """Superusers look."""
        return self.has_add_permission(request)


class People(BySuperusers, UserAdmin):  # type: ignore[type-arg]  # the same
    """Accounts; one that acted is closed (not active) instead of deleted, and the database keeps it so."""

    search_fields = ()
    list_filter = ("is_active", "is_staff")

    def has_delete_permission(self, _request: HttpRequest, _row: object = None) -> bool:
        """An account is closed, not deleted."""
        return False


class MembershipForm(forms.ModelForm):  # type: ignore[type-arg]  # the same
    """A role is one of the five."""

    role = forms.ChoiceField(choices=[(role, role) for role in ROLES])

    class Meta:
        model = Membership
        fields = ("station", "user", "role")


class Memberships(BySuperusers):
    """Who works at which station in which role."""

    form = MembershipForm
    list_display = ("user", "role", "station")

    def has_delete_permission(self, request: HttpRequest, _row: object = None) -> bool:
        """A role may be taken away."""
        return self.has_add_permission(request)


class Stations(BySuperusers):
    """Stations are set up once."""

    def has_delete_permission(self, _request: HttpRequest, _row: object = None) -> bool:
        """A station stays."""
        return False


admin.site.unregister(User)
admin.site.register(User, People)
admin.site.register(Membership, Memberships)
admin.site.register(Station, Stations)
for word_list in WORD_LISTS:
    admin.site.register(word_list, WordList)
for model in apps.get_app_config("inventory").get_models():
    if not admin.site.is_registered(model):
        admin.site.register(model, ReadOnly)
