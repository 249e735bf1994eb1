"""Lists of ids that programs keep here for their people; nothing in the books goes by them."""

from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Q
from django.utils.dateparse import parse_date, parse_datetime

from api.brapi.asked import Asked, uuids
from api.brapi.envelope import Rows
from api.brapi.errors import BadRequest, NoSuch
from api.brapi.filters import CROP_AND_PROGRAM, Narrow, by_query, by_text, by_uid, nowhere
from api.brapi.routes import Route
from api.brapi.things import Things, Told
from api.brapi.told import instant
from api.models import SavedList
from inventory.models import Membership
from inventory.rules.reading import UNKEPT

KINDS = ("germplasm", "markers", "variants", "programs", "trials", "studies", "observationUnits", "observations",
         "observationVariables", "samples")  # fmt: skip
MOST_ITEMS = 50_000
_YEARS = range(2, 9999)  # an instant of these can be told in every zone
LONGEST_NAME, LONGEST_ABOUT, LONGEST_ITEM, MOST_EXTRAS = 200, 4_000, 400, 100


def _rows(asked: Asked) -> Rows:
    return SavedList.objects.filter(station=asked.station).select_related("owner")


def _tell(rows: Sequence[SavedList], _asked: Asked) -> list[dict[str, Any]]:
    return [
        {
            "listDbId": str(row.uid),
            "listName": row.name,
            "listType": row.kind,
            "listDescription": row.about,
            "listSource": row.source,
            "listOwnerName": row.owner.get_username(),
            "listSize": len(row.items),
            "dateCreated": instant(row.created_at),
            "dateModified": instant(row.changed_at),
            "additionalInfo": row.extra or None,
            "externalReferences": row.references or None,
        }
        for row in rows
    ]


def _tell_one(row: SavedList, asked: Asked) -> Told:
    return {**_tell([row], asked)[0], "data": row.items}


def _post(asked: Asked) -> Rows:
    """Keep lists, all or none."""
    _require_role(asked)
    now = datetime.now(UTC)
    rows = [
        SavedList(station=asked.station, owner=asked.person, created_at=now, changed_at=now)
        for _one in asked.body_objects()
    ]
    for row, sent in zip(rows, asked.body_objects(), strict=True):
        _take(row, {"listName": None, "listType": None, **sent})
    return SavedList.objects.bulk_create(rows)


def _put(asked: Asked, dbid: str) -> SavedList:
    """Change a list: what was not sent stays, what was sent as null is cleared."""
    return _changed(asked, dbid, lambda row: _take(row, asked.body_object()))


def _add_items(asked: Asked, dbid: str) -> Told:
    """Put ids behind those that are in a list; one that is in it already is not put there twice."""
    more = _items(asked.body_list())

    def put(row: SavedList) -> None:
        row.items = _items(list(dict.fromkeys([*row.items, *more])))

    return _tell_one(_changed(asked, dbid, put), asked)


def _changed(asked: Asked, dbid: str, change: Callable[[SavedList], None]) -> SavedList:
    _require_role(asked)
    with transaction.atomic():
        rows = SavedList.objects.select_for_update(of=("self",)).select_related("owner")
        row = rows.filter(station=asked.station, uid__in=uuids([dbid])).first()
        if row is None:
            raise NoSuch("list", dbid)
        change(row)
        row.changed_at = datetime.now(UTC)
        row.save()
    return row


def _require_role(asked: Asked) -> None:
    if not Membership.objects.filter(user=asked.person, station=asked.station).exists():
        raise PermissionDenied("The account of this key has no role at the station, so it keeps no lists there.")


def _take(row: SavedList, sent: Mapping[str, Any]) -> None:
    """Take over what was sent; who owns it, how long it is and when it changed are ours to say."""
    if "listName" in sent:
        row.name = _text("listName", sent["listName"], LONGEST_NAME, is_needed=True)
    if "listType" in sent:
        row.kind = _kind(sent["listType"])
    if "listDescription" in sent:
        row.about = _text("listDescription", sent["listDescription"], LONGEST_ABOUT)
    if "listSource" in sent:
        row.source = _text("listSource", sent["listSource"], LONGEST_NAME)
    if "data" in sent:
        row.items = _items([] if sent["data"] is None else sent["data"])
    if "additionalInfo" in sent:
        row.extra = _extra({} if sent["additionalInfo"] is None else sent["additionalInfo"])
    if "externalReferences" in sent:
        row.references = _references([] if sent["externalReferences"] is None else sent["externalReferences"])


def _kind(sent: Any) -> str:
    if sent not in KINDS:
        raise BadRequest(f"listType reads {str(sent)[:40]!r}. Give one of {', '.join(KINDS)}.")
    return str(sent)


def _items(sent: Any) -> list[str]:
    if not isinstance(sent, list):
        raise BadRequest("data is no array. Send an array of ids as texts.")
    if len(sent) > MOST_ITEMS:
        raise BadRequest(f"The list would have {len(sent):,} ids; {MOST_ITEMS:,} are the most. Send several lists.")
    return [_text("Each id in data", one, LONGEST_ITEM, is_needed=True) for one in sent]


def _extra(sent: Any) -> dict[str, str]:
    if not isinstance(sent, Mapping) or len(sent) > MOST_EXTRAS:
        raise BadRequest(f"additionalInfo is an object of at most {MOST_EXTRAS} texts. Send it so.")
    texts = {_text("A name", name, LONGEST_NAME): _text(f"additionalInfo.{name}"[:60], one, LONGEST_ABOUT)
             for name, one in sent.items()}  # fmt: skip
    return {name: text for name, text in texts.items() if text}


def _references(sent: Any) -> list[dict[str, str]]:
    if not isinstance(sent, list) or len(sent) > MOST_EXTRAS or not all(isinstance(one, Mapping) for one in sent):
        raise BadRequest(f"externalReferences is an array of at most {MOST_EXTRAS} objects. Send it so.")
    return [
        {
            "referenceSource": _text("referenceSource", one.get("referenceSource"), LONGEST_NAME),
            "referenceId": _text("referenceId", one.get("referenceId") or one.get("referenceID"), LONGEST_ITEM),
        }
        for one in sent
    ]


def _text(name: str, sent: Any, longest: int, *, is_needed: bool = False) -> str:
    """Read a text that both databases can keep; null is none.

    Raises:
        BadRequest: it is something else, too long, or missing.
    """
    if not isinstance(sent, str | None) or len(sent or "") > longest:
        raise BadRequest(f"{name} is a text of at most {longest:,} characters. Send it so.")
    text = (sent or "").strip()
    if is_needed and not text:
        raise BadRequest(f"{name} is missing. Give it as text.")
    if UNKEPT.search(text):
        raise BadRequest(f"{name} holds a sign that cannot be kept. Take it out.")
    return text


def _referred(name: str) -> Callable[[list[str], Asked], Q]:
    """Find lists by the ids that others have for them (1 query; a station has few lists)."""

    def condition(values: list[str], asked: Asked) -> Q:
        rows = SavedList.objects.filter(station=asked.station).exclude(references=[]).values_list("pk", "references")
        return Q(pk__in=[pk for pk, pairs in rows if any(pair.get(name) in values for pair in pairs)])

    return condition


def _moment(name: str, lookup: str) -> Narrow:
    def condition(values: list[str], _asked: Asked) -> Q:
        return Q(**{lookup: _read_moment(name, values[0] if values else "")})

    return by_query(condition)


def _read_moment(name: str, typed: str) -> datetime:
    try:
        day = parse_date(typed)
        moment = datetime(day.year, day.month, day.day, tzinfo=UTC) if day else parse_datetime(typed.replace(" ", "+"))
    except ValueError:  # it looks like one and is none, such as the 31st of February
        moment = None
    if moment is None or moment.tzinfo is None or moment.year not in _YEARS:
        raise BadRequest(f"{name} reads {typed[:40]!r}. Give an instant with its zone, 2026-09-01T10:00:00Z.")
    return moment


LISTS = Things(
    "lists", "list", "listDbId", _rows, _tell,
    {
        **CROP_AND_PROGRAM,
        "listDbId": by_uid(), "listName": by_text("name"), "listSource": by_text("source"),
        "listOwnerName": by_text("owner__username"), "listOwnerPersonDbId": nowhere,
        "externalReferenceId": by_query(_referred("referenceId")),
        "externalReferenceID": by_query(_referred("referenceId")),
        "externalReferenceSource": by_query(_referred("referenceSource")),
    },
    singles={
        "listType": by_text("kind"),
        "dateCreatedRangeStart": _moment("dateCreatedRangeStart", "created_at__gte"),
        "dateCreatedRangeEnd": _moment("dateCreatedRangeEnd", "created_at__lte"),
        "dateModifiedRangeStart": _moment("dateModifiedRangeStart", "changed_at__gte"),
        "dateModifiedRangeEnd": _moment("dateModifiedRangeEnd", "changed_at__lte"),
    },
    has_search=True, post=_post, put_one=_put, tell_one=_tell_one,
)  # fmt: skip
THINGS = (LISTS,)
ROUTES = (Route("lists/{listDbId}/data", post=_add_items), Route("lists/{listDbId}/items", post=_add_items))
