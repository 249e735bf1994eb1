"""Acts as events of EPCIS 2.0: what, when, where, why, each with its exact masses beside the standard's numbers.

Loose seed of a lot is a class with a quantity, a bag is an instance; screenings are classes of their own. What the
standard has no place for stands under our own namespace: the act's masses as the ledger has them (exact decimal texts,
also those that left the store), and what was found out.
Source: EPCIS 2.0, GS1, 2022 (also ISO/IEC 19987:2024), clause 7; Core Business Vocabulary 2.0, GS1, 2022, clause 7.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Any

from inventory.rules.kinds import CORRECTING
from inventory.rules.mass import kg_text

SCHEMA_VERSION = "2.0"
CONTEXT = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"
PREFIX, NAMESPACE = "hilum", "urn:x-hilum:epcis:"
UOM = "KGM"  # kilogram: UN/CEFACT Recommendation 20
_AS_THEY_ARE = ("masses", "records", "about")  # objects of ours, which JSON-LD keeps whole

OBJECT, TRANSFORMATION = "ObjectEvent", "TransformationEvent"
OBSERVE, ADD, DELETE = "OBSERVE", "ADD", "DELETE"


@dataclass(frozen=True)
class Step:
    """How the standard speaks of a kind of act."""

    biz_step: str
    action: str = ""  # empty: a transformation
    disposition: str = ""


_MADE, _SEEN = Step("creating_class_instance"), Step("inspecting", OBSERVE)
STEPS: Mapping[str, Step] = {
    "receive": Step("commissioning", ADD, "active"),
    **dict.fromkeys(("dry", "treat", "clean", "size", "sort", "blend", "split"), _MADE),
    "bag": Step("packing"),
    "move": Step("storing", OBSERVE),
    "sample": Step("sampling", OBSERVE),
    **dict.fromkeys(("test", "grade", "measure", "limit"), _SEEN),
    "ship": Step("shipping", OBSERVE, "in_transit"),
    "return": Step("receiving", OBSERVE, "returned"),
    "sow": Step("decommissioning", DELETE, "inactive"),
    "write off": Step("destroying", DELETE, "destroyed"),
    "count": Step("cycle_counting", OBSERVE),
    "hold": Step("holding", OBSERVE),
    "lift": Step("holding", OBSERVE),
    "label": Step("encoding", OBSERVE),
    "promise": Step("reserving", OBSERVE),
}
OTHER = Step("other", OBSERVE)
HELD = "non_sellable_other"
WHOLE = ("dry", "treat")  # the whole of what stood there became another seed of the same number


@dataclass(frozen=True)
class Mass:
    """One signed mass of an act [mg]: of a lot at a place, loose or in a bag, or outside the store.

    Args:
        seed: address of the lot, a class; bag: address of the numbered bag, an instance.
        is_whole: the bag was filled or emptied by it; a part of a bag is spoken of as seed of its lot.
    """

    mg: int
    seed: str = ""
    lot: str = ""
    bag: str = ""
    bag_no: int = 0
    is_whole: bool = False
    place: str = ""
    place_code: str = ""
    account: str = ""
    stream: str = ""

    @property
    def thing(self) -> str:
        """What the standard is told of: the bag where all of it came or went, else the lot."""
        return self.bag if self.is_whole else self.seed

    def as_json(self) -> dict[str, Any]:
        """Write it with an exact decimal text."""
        if self.account:
            words = {"account": self.account, "stream": self.stream}
        else:
            bag = str(self.bag_no or "")
            words = {"of": self.bag or self.seed, "lot": self.lot, "bag": bag, "place": self.place_code}
        return {**{key: word for key, word in words.items() if word}, "kg": kg_text(self.mg)}


@dataclass(frozen=True)
class Act:
    """An act as its event needs it.

    Args:
        key: of its row; about, reverses: keys of the acts it points at.
        at, recorded_at: in the station's zone.
        masses: as the ledger has them; stood: what was there before, where the kind of act needs it.
        named: lot classes it speaks of, where it moves none.
        makes: numbers of the lots that it says what they are.
        sources, destinations: pairs of type and address.
        ilmd: of the lots that are made.
        station: address under which the classes of screenings stand.
    """

    key: int
    uid: str
    kind: str
    at: datetime
    recorded_at: datetime
    masses: tuple[Mass, ...] = ()
    stood: tuple[Mass, ...] = ()
    named: tuple[str, ...] = ()
    makes: tuple[str, ...] = ()
    sources: tuple[tuple[str, str], ...] = ()
    destinations: tuple[tuple[str, str], ...] = ()
    ilmd: Mapping[str, Any] = field(default_factory=dict)
    records: tuple[Mapping[str, Any], ...] = ()
    about: int | None = None
    reverses: int | None = None
    station: str = ""

    @property
    def event_id(self) -> str:
        """Its name in the document (RFC 9562)."""
        return f"urn:uuid:{self.uid}"

    @property
    def corrects(self) -> bool:
        """It says of an earlier act that it was otherwise."""
        return self.kind in CORRECTING and self.reverses is None


def context_of() -> list[Any]:
    """The document's context: the standard's, and our namespace."""
    ours = {f"{PREFIX}:{term}": {"@id": f"{NAMESPACE}{term}", "@type": "@json"} for term in _AS_THEY_ARE}
    return [CONTEXT, {PREFIX: NAMESPACE, **ours}]


def document(events: Sequence[Mapping[str, Any]], *, made_at: datetime, about: Mapping[str, Any]) -> dict[str, Any]:
    """Put events into a document.

    Args:
        about: which lot it tells of; it stands under our namespace.
    """
    return {
        "@context": context_of(),
        "type": "EPCISDocument",
        "schemaVersion": SCHEMA_VERSION,
        "creationDate": instant_text(made_at),
        f"{PREFIX}:about": dict(about),
        "epcisBody": {"eventList": [dict(event) for event in events]},
    }


def event_of(act: Act) -> dict[str, Any]:
    """Write an act as an event."""
    step = STEPS.get(act.kind, OTHER)
    if act.kind == "receive" and any(mass.account == "received" for mass in act.masses):
        step = Step("receiving", ADD, "active")
    what = _observed(act, step) if step.action else _transformed(act)
    return {
        "type": OBJECT if step.action else TRANSFORMATION,
        "eventID": act.event_id,
        "eventTime": instant_text(act.at),
        "eventTimeZoneOffset": offset_text(act.at),
        "recordTime": instant_text(act.recorded_at),
        **what,
        "bizStep": step.biz_step,
        **({"disposition": step.disposition} if step.disposition else {}),
        **_persistent(act.kind),
        **_where(act.masses),
        **_parties("source", act.sources),
        **_parties("destination", act.destinations),
        **_ours(act, step),
    }


def instant_text(moment: datetime) -> str:
    """Write an instant in UTC with Z (RFC 3339)."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def offset_text(moment: datetime) -> str:
    """Write how far a local time is from UTC: "-05:00".

    Raises:
        ValueError: the moment has no zone.
    """
    offset = moment.utcoffset()
    if offset is None:
        raise ValueError("a time without a zone has no offset")
    minutes = round(offset / timedelta(minutes=1))
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def _transformed(act: Act) -> dict[str, Any]:
    """What went in and what came out: the whole where the seed itself was changed, else what the masses say."""
    stood = act.stood if act.kind in WHOLE else ()
    before, after = _by_thing(stood), _by_thing((*stood, *act.masses))
    if not stood:
        before = {thing: -mg for thing, mg in after.items() if mg < 0}
        after = {thing: mg for thing, mg in after.items() if mg > 0}
    bags = _bags((*stood, *act.masses))
    after |= _by_thing(_as_class(mass, act.station) for mass in act.masses if mass.account == "screenings")
    lists = {
        "inputEPCList": [thing for thing in before if thing in bags],
        "inputQuantityList": _quantities(before, bags),
        "outputEPCList": [thing for thing in after if thing in bags],
        "outputQuantityList": _quantities(after, bags),
    }
    found = {name: things for name, things in lists.items() if things}
    has_both = all(any(name.startswith(side) for name in found) for side in ("input", "output"))
    return found if has_both else {**found, "transformationID": act.event_id}


def _observed(act: Act, step: Step) -> dict[str, Any]:
    masses = [mass for mass in (*(act.stood if act.kind == "count" else ()), *act.masses) if mass.seed]
    if step.action == DELETE and any(mass.mg > 0 for mass in masses):
        masses = [replace(mass, is_whole=False) for mass in masses]  # what was put back is of no bag that went
    bags = _bags(masses)
    is_handled = step.action == OBSERVE and act.kind != "count"
    amounts = _handled(masses) if is_handled else _by_thing(masses)
    quantities = _quantities({thing: abs(mg) for thing, mg in amounts.items()}, bags)
    quantities = quantities or [{"epcClass": seed} for seed in act.named if not bags]
    told = {"epcList": list(bags), "quantityList": quantities}
    return {"action": step.action, **({name: things for name, things in told.items() if things} or {"epcList": []})}


def _handled(masses: Iterable[Mass]) -> dict[str, int]:
    """What was in the hands of those who did it: what they took, or what they brought where they took nothing [mg]."""
    each = list(masses)
    taken = _by_thing(mass for mass in each if mass.mg < 0)
    return {**_by_thing(mass for mass in each if mass.mg > 0), **taken}


def _by_thing(masses: Iterable[Mass]) -> dict[str, int]:
    sums: dict[str, int] = {}
    for mass in masses:
        if mass.thing:
            sums[mass.thing] = sums.get(mass.thing, 0) + mass.mg
    return sums


def _bags(masses: Iterable[Mass]) -> dict[str, None]:
    return dict.fromkeys(mass.bag for mass in masses if mass.is_whole)


def _as_class(mass: Mass, station: str) -> Mass:
    return Mass(mass.mg, seed=f"{station}/take-offs/{mass.stream}")


def _quantities(sums: Mapping[str, int], bags: Iterable[str]) -> list[dict[str, Any]]:
    return [_quantity(thing, mg) for thing, mg in sums.items() if thing not in bags]


def _quantity(thing: str, mg: int) -> dict[str, Any]:
    # The standard wants a JSON number: what is exact stands in the masses beside it.
    return {"epcClass": thing, "quantity": float(kg_text(mg)), "uom": UOM}


def _persistent(kind: str) -> dict[str, Any]:
    way = {"hold": "set", "lift": "unset"}.get(kind)
    return {"persistentDisposition": {way: [HELD]}} if way else {}


def _where(masses: Iterable[Mass]) -> dict[str, Any]:
    """Where it was read and where it stands afterwards, each where it is one place."""
    seed = [mass for mass in masses if mass.place]
    came, went = ({mass.place for mass in seed if (mass.mg > 0) is is_coming} for is_coming in (True, False))
    read = went or came
    return {
        **({"readPoint": {"id": min(read)}} if len(read) == 1 else {}),
        **({"bizLocation": {"id": min(came)}} if len(came) == 1 else {}),
    }


def _parties(side: str, pairs: Sequence[tuple[str, str]]) -> dict[str, Any]:
    return {f"{side}List": [{"type": kind, side: address} for kind, address in pairs]} if pairs else {}


def _ours(act: Act, step: Step) -> dict[str, Any]:
    lost = sum(mass.mg for mass in act.masses if mass.account == "unaccounted")
    ilmd = {f"{PREFIX}:{name}": value for name, value in act.ilmd.items()}
    return {
        **({"ilmd": ilmd} if ilmd and step.action in ("", ADD) else {}),
        f"{PREFIX}:operation": act.kind,
        **({f"{PREFIX}:masses": [mass.as_json() for mass in act.masses]} if act.masses else {}),
        **({f"{PREFIX}:unaccounted": kg_text(lost)} if lost else {}),
        **({f"{PREFIX}:records": [dict(record) for record in act.records]} if act.records else {}),
    }
