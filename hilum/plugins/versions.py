"""Which versions of the plugin interface there are, and whether a plugin's range holds ours.

The interface has a version of its own, by the rules of Semantic Versioning 2.0.0 (semver.org): a hook, a value or a
field that is added raises the second number, one that changes or goes raises the first.
"""

import re
from collections.abc import Callable, Mapping

API_VERSION = "1.1.0"

_VERSION = re.compile(r"(0|[1-9]\d{0,5})(?:\.(0|[1-9]\d{0,5}))?(?:\.(0|[1-9]\d{0,5}))?")
_BOUND = re.compile(r"(>=|<=|==|!=|>|<)\s*(\S+)")
Version = tuple[int, int, int]
_HOLDS: Mapping[str, Callable[[Version, Version], bool]] = {
    ">=": lambda ours, theirs: ours >= theirs,
    "<=": lambda ours, theirs: ours <= theirs,
    "==": lambda ours, theirs: ours == theirs,
    "!=": lambda ours, theirs: ours != theirs,
    ">": lambda ours, theirs: ours > theirs,
    "<": lambda ours, theirs: ours < theirs,
}


def is_within(wanted: str, version: str = API_VERSION) -> bool:
    """Say whether a version lies in a range such as ">=1.0,<2": every part of it must hold.

    Raises:
        ValueError: the range or the version cannot be read.
    """
    ours = read_version(version)
    return all(_HOLDS[sign](ours, bound) for sign, bound in map(_bound, wanted.split(",")))


def read_version(text: str) -> Version:
    """Read "1", "1.2" or "1.2.3"; a part that is left out is 0.

    Raises:
        ValueError: it is something else.
    """
    found = _VERSION.fullmatch(text.strip())
    if not found:
        raise ValueError(f"{text!r} is no version such as 1.2.0")
    major, minor, patch = (int(part or 0) for part in found.groups())
    return major, minor, patch


def _bound(text: str) -> tuple[str, Version]:
    found = _BOUND.fullmatch(text.strip())
    if not found:
        raise ValueError(f"{text!r} is no part of a range such as >=1.0,<2")
    return found[1], read_version(found[2])
