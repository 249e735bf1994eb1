"""A form that was sent after its session had ended: what was typed is carried over the sign-in and loses nothing."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponseRedirect, QueryDict

from inventory.importing.acts import act_of
from inventory.rules.mistakes import Refused

_KEY = "carried_form"
_NOT_KEPT = ("csrfmiddlewaretoken", "password")
LONGEST = 200_000  # characters of all fields: a run with all its spouts has a few hundred


class SignInFirst(LoginRequiredMiddleware):
    """Leads to the sign-in form, and keeps what a form held that was sent without a session."""

    def handle_no_permission(self, request: HttpRequest, view_func: Any) -> HttpResponseRedirect:
        """Keep the form beside the session, then ask for a name."""
        if request.method == "POST":
            _keep(request)
        return super().handle_no_permission(request, view_func)


def carried(request: HttpRequest) -> dict[str, str]:
    """Take what was carried over the sign-in for this address; it is given once."""
    kept = request.session.get(_KEY)
    if not isinstance(kept, dict) or kept.get("path") != request.path:
        return {}
    del request.session[_KEY]
    return {str(name): str(value) for name, value in kept["typed"].items()}


def carry(request: HttpRequest, path: str, typed: Mapping[str, str]) -> None:
    """Keep what a form holds until its page is opened again; a form that is longer than any of ours is not kept."""
    if sum(map(len, typed.values())) <= LONGEST:
        request.session[_KEY] = {"path": path, "typed": dict(typed)}


def _keep(request: HttpRequest) -> None:
    posted: QueryDict = request.POST
    hidden = (*_NOT_KEPT, *_secrets(request))
    carry(request, request.path, {name: str(posted[name]) for name in posted if name not in hidden})


def _secrets(request: HttpRequest) -> tuple[str, ...]:
    """Name the secrets among the fields of an act's form; they are typed again."""
    verb = request.resolver_match.kwargs.get("verb", "") if request.resolver_match else ""
    try:
        return act_of(verb).secrets
    except Refused:
        return ()
