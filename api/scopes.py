"""What a key may be given: a resource with read or write, as in `lots:read`; plain read and write stand for all.

An address that is not listed here is opened by the broad scopes alone, so that a new one is never open by mistake.
"""

from collections.abc import Iterable, Sequence
from http import HTTPStatus

from rest_framework.exceptions import APIException

from inventory.importing.acts import all_acts, plain_verb
from inventory.importing.plugin_settings import settable, verb_of_setting
from inventory.rules.reading import listed

READ, WRITE = VERBS = ("read", "write")
RESOURCES = {
    "lots": "lots, bags, stock, places, holds, runs and shipments, and where seed came from",
    "lines": "lines, crosses, plots and what the breeder enters about them",
    "samples": "samples, portions, tests, sizes, colours and grades",
    "observations": "field notes and the variables they are read by",
    "sheets": "sheets in and the loads they made",
    "readings": "readings of balances and meters",
    "changes": "what changed since, and the addresses that are told of it",
    "jobs": "long work and its files",
    "plugins": "which plugins there are, and the addresses that they bring",
    "records": "people, places, rules and corrections of the books",
}
SCOPES = (*VERBS, *(f"{resource}:{verb}" for resource in RESOURCES for verb in VERBS))

# The part of an address behind /api/v1 or /brapi/v2 -> its resource.
_PARTS = {
    "lots": ("lots", "bags", "stock", "operations", "holds", "places", "containers", "machines", "runs", "shipments",
             "promises", "trace", "recall", "seedlots", "treatments", "receipts", "moistures", "labels", "senders"),
    "lines": ("lines", "crosses", "plots", "germplasm", "pedigree", "breedingmethods", "crossingprojects",
              "plannedcrosses", "programs", "seasons", "locations", "trials", "studies", "studytypes", "lists",
              "decisions", "field-weights", "sites", "pollinations", "weather", "plot-stages", "plants", "classes",
              "line-names", "feedback"),
    "samples": ("samples", "portions", "seed-tests", "sizes", "colours", "seed-weights", "outcome", "figures",
                "rule-sets", "purity-tests", "health-tests", "variety-tests", "trays", "file-samples",
                "card-judgements", "photos", "measurements", "seed-limits"),
    "observations": ("notes", "observations", "observationunits", "observationlevels", "variables", "traits", "scales",
                     "methods"),
    "sheets": ("sheets", "loads", "sheet-kinds"),
    "readings": ("readings", "devices"),
    "changes": ("changes", "webhooks", "deliveries"),
    "jobs": ("jobs",),
    "plugins": ("plugins", "x"),
}  # fmt: skip
_RESOURCE_OF = {part: resource for resource, parts in _PARTS.items() for part in parts}
# Acts of our own that belong elsewhere than to the lots; those of the bench come from their own app.
_LINES = (
    "add line", "rename", "merge", "came from", "add class", "add cross", "pollinate", "add plot", "add plant",
    "field weight", "decide", "feedback", "log weather", "note stage",
)  # fmt: skip
_NOTES = ("note", "note sample", "amend note")
_RECORDS = (
    "adjust", "reassign", "write off", "reverse", "correct", "add person", "change role", "add place", "add container",
    "add site", "check tare", "gs1 numbers",
)  # fmt: skip

_RESOURCE_OF_ACT = {
    **dict.fromkeys(_LINES, "lines"),
    **dict.fromkeys(_RECORDS, "records"),
    **dict.fromkeys(_NOTES, "observations"),
}


class ScopeMissing(APIException):
    """A key that was not given what it is used for."""

    status_code = HTTPStatus.FORBIDDEN

    def __init__(self, scope: str, given: Sequence[str]) -> None:
        has = f"it has {listed(list(given), 'and')}" if given else "it has none"
        says = f"This key was not given the scope {scope}; {has}. Use one that was: the page Connections makes it."
        super().__init__(says)
        self.auth_header = f'Bearer realm="hilum", error="insufficient_scope", scope="{scope}"'  # RFC 6750, section 3.1


def resource_of(address: str) -> str:
    """Name the resource of an address, "" where broad scopes alone open it: "/api/v1/bags/24-0016-5/3" -> "lots"."""
    parts = [part for part in address.split("/") if part]
    if len(parts) > 3 and parts[2] == "acts":
        return _of_act(parts[3])
    if len(parts) > 3 and parts[1:3] == ["v2", "search"]:
        return _RESOURCE_OF.get(parts[3], "")
    return _RESOURCE_OF.get(parts[2], "") if len(parts) > 2 else ""


def opens(given: Iterable[str], resource: str, verb: str) -> bool:
    """Say whether one of the scopes of a key opens a resource for reading or writing."""
    return bool({verb, f"{resource}:{verb}"} & set(given))


def wanted(resource: str, verb: str) -> str:
    """Name the narrowest scope that would have opened it."""
    return f"{resource}:{verb}" if resource else verb


def in_order(scopes: Sequence[str]) -> list[str]:
    """Put scopes in the order in which they are listed, each once, without those that a broader one covers."""
    return [scope for scope in SCOPES if scope in scopes and (scope in VERBS or scope.partition(":")[2] not in scopes)]


def _of_act(slug: str) -> str:
    verb = plain_verb(slug)
    act = all_acts().get(verb)
    if act is None:
        return ""
    if any(verb == verb_of_setting(one) for one in settable()):
        return "records"
    if act.words.__module__.startswith(("grading.", "inventory.importing.measurements")):
        return "samples"
    return _RESOURCE_OF_ACT.get(verb, "lots")
