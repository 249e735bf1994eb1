"""What only programs need said: how a scope is had, what the codes of HTTP itself mean here."""

from collections.abc import Mapping
from http import HTTPStatus

from inventory.importing.words import WordMissing
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import field_words

# Several different things stand in the way, or none that has a code of ours: title, and what to do.
OF_HTTP: Mapping[HTTPStatus, tuple[str, str]] = {
    HTTPStatus.BAD_REQUEST: (
        "A request that cannot be read as it was sent",
        "The body is no JSON object, or several parameters cannot be read; `detail` says where.",
    ),
    HTTPStatus.UNAUTHORIZED: (
        "No key, or one that opens nothing",
        "Send the header Authorization: Bearer and a key that holds; the page Connections makes one.",
    ),
    HTTPStatus.FORBIDDEN: (
        "A key without the scope for this",
        "`detail` names the scope; GET /api/v1/me tells which the key has. A role that may not has the code may_not.",
    ),
    HTTPStatus.NOT_FOUND: ("Nothing at this address", "GET /api/v1 names every address."),
    HTTPStatus.METHOD_NOT_ALLOWED: (
        "A method that does nothing at this address",
        "The header Allow names those that do. What was booked is never changed or deleted: it is reversed.",
    ),
    HTTPStatus.NOT_ACCEPTABLE: (
        "A kind of answer that is not given at this address",
        "Send Accept: application/json. Lists as CSV, NDJSON or a workbook stand at /api/v1/{list}/export?format=csv.",
    ),
    HTTPStatus.CONFLICT: (
        "Several things are asked",
        "Each stands in `errors` with its code. Send the same again with a reason for each code under `answers`.",
    ),
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE: (
        "A body of a kind that is not read at this address",
        "Send one JSON object with Content-Type: application/json.",
    ),
    HTTPStatus.UNPROCESSABLE_ENTITY: (
        "Several things stand in the way",
        "Each stands in `errors` with its own code, field and sentence. Nothing was written.",
    ),
    HTTPStatus.TOO_MANY_REQUESTS: (
        "A key that asks too often",
        "Wait as many seconds as the header Retry-After says, then send the same again.",
    ),
}


# What a page shows beside the sentence, and a program has to ask for.
_HOW = {
    "still_open": "Its findings name each: all that are no note.",
    "answered_meanwhile": 'unless you name it as "seen" with another.',
}


def title_of_http(status: HTTPStatus) -> str:
    """Say in one line what a status means here."""
    return OF_HTTP[status][0] if status in OF_HTTP else status.phrase


def said(mistake: Mistake) -> str:
    """Give the sentence of a mistake, in a program's words where a terminal's stand in it."""
    if isinstance(mistake, WordMissing):
        return f'{field_words(mistake.field)} is missing. Send it in the body as "{mistake.field.split(".")[-1]}".'
    says = mistake.says.replace("since you opened this page", "since you read it")
    return f"{says.removesuffix('; change it below if it is wrong.')} {_HOW.get(mistake.code, '')}".rstrip()
