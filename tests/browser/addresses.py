"""Every page of the site with an address to open it at on the demo's books; a page without one fails the test.

A view whose answer is no page of its own says so in `NOT_PAGES`.
"""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse

import inventory
from inventory.importing.acts import all_acts


def by_hand() -> set[str]:
    """Name the acts whose page has a template of its own."""
    templates = Path(inventory.__file__).parent / "templates" / "inventory" / "acts"
    return {file.stem.replace("_", " ") for file in templates.glob("*.html")} & set(all_acts())


# Name of an address with parts -> the parts to open it with.
EXAMPLES: Mapping[str, Sequence[Mapping[str, Any]]] = {
    "figure": ({"name": "blend-plan"}, {"name": "cleaning"}),
    "looks": ({"number": "25-0007-0"},),
    "lab-results": ({"number": "24-0021-7"}, {"number": "25-0007-0"}),
    "lab": tuple({"kind": kind} for kind in ("germination", "seed-weight", "sizes", "colour", "moisture")),
    "sample": ({"number": "G04"}, {"number": "G16"}),
    "pan-of": ({"number": "G04"},),
    "lot": ({"number": "24-0016-5"}, {"number": "24-0021-7"}, {"number": "25-0017-6"}),
    "bag": ({"number": "24-0016-5", "bag_no": 14}, {"number": "25-0017-6", "bag_no": 41}),
    "thing": (
        {"kind": "place", "name": "B-01"},
        {"kind": "line", "name": "QN-2104"},
        {"kind": "plot", "name": "QM25-I1"},
        {"kind": "cross", "name": "Q19-04"},
        {"kind": "shipment", "name": "S1"},
        {"kind": "container", "name": "steel-1"},
    ),
    "lot-picture": tuple({"number": "24-0021-7", "what": what} for what in ("kilos", "grade", "germination")),
    "trace": ({"ref": "24-0021-7"}, {"ref": "Q19-11"}),
    "season": ({"ref": "QB-2103"}, {"ref": "24-0021-7"}),
    "line-page": ({"name": "QN-2104"}, {"name": "QB-2103"}),
    "area": ({"name": "floor"}, {"name": "bench"}, {"name": "breeding"}),
    # Every act's page is asked for in test_acts; here those laid out by hand, and some of the plain ones they all are.
    "act": tuple({"verb": verb.replace(" ", "-")} for verb in sorted({*by_hand(), "decide", "split", "write off"})),
    "run": ({"number": "R14"}, {"number": "R03"}),
    "statement": ({"number": "24-0001-5"},),
    "booked": ({"number": 120},),
    "load": ({"number": 1}, {"number": 7}),
    "rules-edition": ({"rule_set": "CA-BEANS", "edition": "2025-07-25"}, {"rule_set": "QM-DEMO", "edition": "1"}),
    "rules-draft": ({"rule_set": "CA-BEANS", "edition": "2025-07-25"}, {"rule_set": "QM-DEMO", "edition": "1"}),
    "rules-tried": ({"rule_set": "QM-DEMO", "edition": "1"},),
}
NOT_PAGES: Mapping[str, str] = {
    "thing-from": "is a piece of a thing's page",
    "lot-epcis": "is a file",
    "lot-descent": "is a piece of the lot's page",
    "lots-act": "leads to the act that was chosen",
    "photo": "is a picture",
    "job-file": "is a file",
    "take-reading": "is a press and no page",
    "plugin-paper": "is a paper of a plugin",
    "sheet": "is looked at with a sheet in it, in test_sheets",
    "save-sheet": "is a press and no page",
    "sheet-template": "is a workbook",
    "backup": "is a press and no page",
    "rules-discard": "is a press and no page",
    "attach-photo": "is a press and no page",
    "pan-look": "is a piece of the pan",
    "sign-in": "is looked at signed out",
    "sign-out": "is a press and no page",
    "scan": "answers a script",
    "blend-look": "is a piece of the blend's page",
    "run-sheet": "is a file",
    "bagging-look": "is a piece of the bag-off page",
    "line-look": "is a piece of the line's page",
    "weigh-in-look": "is a piece of the weigh-in page",
    "drying-look": "is a piece of the page that dries a lot",
    "shipment-load-look": "is a piece of the page that loads a shipment",
    "scanned": "leads to what was scanned",
    "labels": "is a PDF",
    "print-labels": "is a press and no page",
    "envelopes": "is a PDF",
    "paper": "is a PDF",
    "cards": "is a PDF",
    "grade-report": "is a PDF",
    "print-sample-tags": "is a press and no page",
    "sample-tags": "is a PDF",
}
_OTHERS = ("api/", "brapi/", "^brapi", "admin/")


def addresses() -> list[str]:
    """List the address of every page.

    Raises:
        LookupError: a page has parts and no example.
    """
    return list(dict.fromkeys(_walk(get_resolver())))


def _walk(resolver: URLResolver, before: str = "") -> Iterator[str]:
    for pattern in resolver.url_patterns:
        route = before + str(pattern.pattern)
        if route.startswith(_OTHERS):
            continue
        if isinstance(pattern, URLResolver):
            yield from _walk(pattern, route)
        else:
            yield from _opened(pattern, route)


def _opened(pattern: URLPattern, route: str) -> Iterator[str]:
    name = pattern.name or ""
    if name in NOT_PAGES:
        return
    if "<" not in route:
        yield f"/{route}"
    elif name in EXAMPLES:
        yield from (reverse(name, kwargs=dict(parts)) for parts in EXAMPLES[name])
    else:
        raise LookupError(
            f"Name an example of {name or route} in tests/browser/addresses.py, or say why it is no page."
        )
