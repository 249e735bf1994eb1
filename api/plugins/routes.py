"""The addresses that plugins bring, under `/api/v1/x/NAME/`: asked for with the same keys, and each fault named."""

import logging
from collections.abc import Callable, Iterator, Sequence
from functools import wraps
from http import HTTPStatus
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse

from api.problems import MEDIA_TYPE
from hilum.plugins import Plugin
from hilum.plugins.mounting import Route, mounted

logger = logging.getLogger("hilum.plugins")


def plugin_routes() -> Iterator[Route]:
    """Give the addresses of every plugin that the site started with."""
    plugins: Sequence[Plugin] = settings.HILUM_STARTED.plugins
    for plugin in plugins:
        if plugin.routes:
            yield from mounted(plugin, plugin.routes, f"v1/x/{plugin.slug}/", _guarded(plugin.slug))


def _guarded(plugin: str) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    def guard(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def answer(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            try:
                return view(request, *args, **kwargs)
            except (Http404, PermissionDenied, SuspiciousOperation):
                raise
            except Exception as error:
                logger.exception("The plugin %s failed at %s.", plugin, request.path)
                return _failed(plugin, request.path, error)

        return answer

    return guard


def _failed(plugin: str, where: str, error: Exception) -> HttpResponse:
    status = HTTPStatus.SERVICE_UNAVAILABLE
    says = (
        f"The plugin {plugin} failed at this address ({type(error).__name__}: {error}). Tell whoever brought it; all "
        "other addresses go on."
    )
    body = {
        "type": "about:blank", "title": status.phrase, "status": int(status), "detail": says, "instance": where,
        "code": "plugin_failed",
    }  # fmt: skip
    return JsonResponse(body, status=status, content_type=MEDIA_TYPE)
