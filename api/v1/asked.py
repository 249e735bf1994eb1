"""What stands behind the question mark of an address: read or refused, never passed over."""

from collections.abc import Mapping

from rest_framework.exceptions import ParseError
from rest_framework.request import Request

from inventory.importing.words import UnknownWord
from inventory.rules.reading import quoted

_YES, _NO = ("1", "true", "yes"), ("", "0", "false", "no")


def asked(request: Request, *known: str) -> Mapping[str, str]:
    """Read the parameters of an address.

    Args:
        known: the parameters that are read there.

    Raises:
        ParseError: there is another, which would change nothing while its sender believes it does.
    """
    for name in request.query_params:
        if name not in known:
            raise ParseError(UnknownWord("parameter here", name, known or ("none",)).says)
    return {name: request.query_params.get(name, "") for name in known}


def yes_or_no(name: str, typed: str) -> bool:
    """Read a parameter that is yes or no; empty is no.

    Raises:
        ParseError: it is neither.
    """
    if typed.casefold() not in (*_YES, *_NO):
        raise ParseError(f"{name} reads {quoted(typed[:40])}. Give true or false.")
    return typed.casefold() in _YES
