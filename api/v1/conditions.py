"""Conditional requests (RFC 9110, section 13): what is read is not sent twice, and what changed is not written over.

Every GET answers with a strong ETag over its whole body; sent back as If-None-Match it is answered 304. Whatever is
changed or deleted in place (PUT, PATCH, DELETE) names by If-Match what its sender saw:

    def put(self, request: Request, name: str) -> Response:
        must_match(request, body_that_get_answers_now)  # 428 without If-Match, 412 where it has changed
        ...
        return unless_known(request, body_after)
"""

import hashlib
from collections.abc import Callable, Mapping
from http import HTTPStatus
from typing import Any

import orjson
from django.http import HttpResponse
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.utils.encoders import JSONEncoder

from api.unusable import Unusable
from inventory.rules.mistakes import Mistake


class SeenMissing(Mistake):
    """A change that does not say what its sender saw."""

    code = "seen_missing"

    def __init__(self, tag: str) -> None:
        super().__init__(
            "A change needs the header If-Match with the ETag of what you read, so that nobody's work is written over. "
            f"Read it again and send its ETag, now {tag}."
        )


class ChangedMeanwhile(Mistake):
    """A change of something that is not as its sender saw it."""

    code = "changed_meanwhile"

    def __init__(self) -> None:
        super().__init__("It was changed since you read it; nothing was changed by you. Read it again, then decide.")


class SeenUnnamed(Unusable):
    """Answered where If-Match is missing (RFC 6585, section 3)."""

    status_code = HTTPStatus.PRECONDITION_REQUIRED


class NoLongerSo(Unusable):
    """Answered where If-Match names another state."""

    status_code = HTTPStatus.PRECONDITION_FAILED


def etag_of(body: Mapping[str, Any]) -> str:
    """Give the strong ETag of a body as it is sent."""
    return _tag(as_bytes(body))


def as_bytes(body: Mapping[str, Any]) -> bytes:
    """Write a body as JSON; instants in UTC with Z, ids as text."""
    return orjson.dumps(body, JSONEncoder().default, orjson.OPT_UTC_Z | orjson.OPT_NON_STR_KEYS)


def unless_known(request: Request, body: Mapping[str, Any], *, status: int = 200, **headers: str) -> HttpResponse:
    """Answer with the body and its ETag, or 304 where If-None-Match says that the sender has it already.

    The body is written once, for its tag and for the answer.
    """
    written = as_bytes(body)
    return unless_tagged(request, _tag(written), lambda: written, JSONRenderer.media_type, status=status, **headers)


def unless_tagged(
    request: Request, tag: str, write: Callable[[], bytes], media_type: str, *, status: int = 200, **headers: str
) -> HttpResponse:
    """Answer with what `write` gives, or 304 without asking it where If-None-Match names the tag."""
    known = [one.removeprefix("W/") for one in _named(request, "If-None-Match")]  # compared weakly, RFC 9110, 13.1.2
    if tag.removeprefix("W/") in known or known == ["*"]:
        return HttpResponse(status=304, headers={"ETag": tag})
    more = {"ETag": tag, "Cache-Control": "private, no-cache", **headers}
    return HttpResponse(write(), status=status, content_type=media_type, headers=more)


def weak_tag(says: bytes) -> str:
    """Give the tag of what says the same and is not the same bytes: it bears the moment at which it was written."""
    return f"W/{_tag(says)}"


def must_match(request: Request, body: Mapping[str, Any]) -> None:
    """Let a change through only upon what its sender saw; a weak tag is none (RFC 9110, 13.1.1).

    Args:
        body: what a GET of the same address answers now.

    Raises:
        SeenUnnamed: without If-Match (428).
        NoLongerSo: it names another state (412).
    """
    tag, seen = etag_of(body), _named(request, "If-Match")
    if not seen:
        raise SeenUnnamed(SeenMissing(tag))
    if tag not in seen and seen != ["*"]:
        raise NoLongerSo(ChangedMeanwhile())


def _tag(written: bytes) -> str:
    return f'"{hashlib.sha256(written).hexdigest()[:32]}"'


def _named(request: Request, header: str) -> list[str]:
    return [one for tag in request.headers.get(header, "").split(",") if (one := tag.strip())]
