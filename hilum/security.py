"""Tells browsers what our pages may load: our own files, and nothing from anywhere else."""

from collections.abc import Callable

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
Answer = Callable[[HttpRequest], HttpResponse]


def content_policy(get_response: Answer) -> Answer:
    """Send the policy with every answer; a later Django brings this itself, so no package is worth adding for it."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response

    return answer


def readable_path(get_response: Answer) -> Answer:
    """Read a NUL in an address as the sign for what cannot be read: nothing is named so, and PostgreSQL stops at it."""

    def answer(request: HttpRequest) -> HttpResponse:
        if "\0" in request.path_info:
            request.path_info = request.path_info.replace("\0", "\ufffd")
        return get_response(request)

    return answer


@login_not_required
def sign_in_first(request: HttpRequest) -> HttpResponse:
    """Lead the admin's own sign-in form to ours, so that there is one; whoever may not see the admin is told so."""
    if request.user.is_authenticated:
        raise PermissionDenied
    return redirect_to_login(request.GET.get("next", "/admin/"))
