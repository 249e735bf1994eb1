"""Signing in: one form, and a count of wrong passwords that slows guessing at any door."""

from datetime import UTC, datetime
from typing import Any

from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.contrib.auth.models import User
from django.contrib.auth.views import LoginView, PasswordChangeView
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse
from django.urls import reverse_lazy

from inventory.actions.signing_in import forget_wrong_passwords, note_wrong_password
from inventory.queries.signing_in import MOST_WRONG, locked_until


class CountingBackend(ModelBackend):
    """Django's own accounts; after ten wrong passwords a name is locked for a quarter of an hour, right or not.

    The count stands in the backend and not in the form, so that the admin's form is held to it too. It is our own
    table of two columns: a package for this brings address headers, caches and settings that a small site gets wrong.
    """

    def authenticate(
        self, request: HttpRequest | None, username: str | None = None, password: str | None = None, **kwargs: Any
    ) -> User | None:
        """Check a name and password unless the name is locked."""
        if username is None or password is None:
            return None
        now = datetime.now(UTC)
        if locked_until(username, now):
            raise PermissionDenied
        user = super().authenticate(request, username, password, **kwargs)
        if user is None:
            note_wrong_password(username, at=now)
        else:
            forget_wrong_passwords(username)
        return user


class SignInForm(AuthenticationForm):
    """One text and one password field."""

    def get_invalid_login_error(self) -> ValidationError:
        """Say what to do next, without telling which of the two is wrong."""
        if locked_until(self.cleaned_data.get("username", ""), datetime.now(UTC)):
            says = (
                f"{MOST_WRONG} wrong passwords were typed for this name, so it is locked for a quarter of an hour. "
                "Wait, or ask the records desk for a new password."
            )
            return ValidationError(says, code="locked")
        return ValidationError("Name and password do not belong together. Type both again.", code="no_match")


class SignIn(LoginView):
    """The sign-in page."""

    form_class = SignInForm
    template_name = "inventory/sign_in.html"

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Bring the form back; a locked name is told apart for programs too."""
        response = super().form_invalid(form)
        response.status_code = 429 if form.has_error("__all__", "locked") else 422
        return response


class OwnPassword(PasswordChangeView):
    """A person sets another password; other browsers are signed out by it."""

    template_name = "inventory/password.html"
    success_url = reverse_lazy("home")

    def form_invalid(self, form: PasswordChangeForm) -> HttpResponse:
        """Bring the form back with what stands in the way."""
        response = super().form_invalid(form)
        response.status_code = 422
        return response
