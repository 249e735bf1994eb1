"""Crosses as they were made and as they were planned, and the one crossing project that a station has."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from api.brapi.asked import Asked, uuids
from api.brapi.envelope import Rows
from api.brapi.errors import BadRequest
from api.brapi.filters import (
    CROP_AND_PROGRAM,
    NO_REFERENCES,
    Narrow,
    by_one_of,
    by_query,
    by_text,
    by_told,
    by_uid,
    program_id,
)
from api.brapi.germplasm import Thing, dbid_of, every, name_of, tell_unkept
from api.brapi.things import Things
from api.brapi.told import CROP, instant, made_id
from inventory.actions.crosses import NewCross, add_crosses
from inventory.models import Cross, Line, Pollination, Station

TODO, DONE = "TODO", "DONE"
_KEPT = ("crossType", "parent1", "parent2", "crossingProjectDbId", "crossingProjectName")
_OFFERED = ("", "BIPARENTAL", "SELF")


def project_id(station: Station) -> str:
    """Give the DbId of a station's crossing project."""
    return made_id(station.pk, "crossing project")


def _project_name(station: Station) -> str:
    return f"Crosses of {station.name}"


def _crosses(asked: Asked) -> "QuerySet[Cross]":
    """Give all crosses with their parents, what stands in the crossing log, and whether seed came of them."""
    stands = Pollination.objects.filter(operation__reversed_by__isnull=True).select_related("operation")
    log = Prefetch("pollinations", stands.order_by("operation__at", "pk"), to_attr="log")
    crosses = Cross.objects.filter(station=asked.station).prefetch_related(log)
    parents = ("female__merged_into", "male__merged_into", "female_cross", "male_cross")
    this = OuterRef("pk")
    return crosses.select_related(*parents).annotate(
        is_done=Exists(Line.objects.filter(cross=this))
        | Exists(Cross.objects.filter(Q(female_cross=this) | Q(male_cross=this)))
        | Exists(stands.filter(cross=this, pods_set__gt=0))
    )


def _tell(crosses: Sequence[Any], asked: Asked) -> list[dict[str, Any]]:
    return [
        {
            "crossDbId": str(cross.uid),
            "crossName": cross.code,
            "plannedCrossDbId": str(cross.uid),
            "plannedCrossName": cross.code,
            **_parents_and_project(cross, asked.station),
            "pollinationEvents": [_pollination(row) for row in cross.log] or None,
            "crossAttributes": _sums(cross.log),
        }
        for cross in crosses
    ]


def _tell_planned(crosses: Sequence[Any], asked: Asked) -> list[dict[str, Any]]:
    return [
        {
            "plannedCrossDbId": str(cross.uid),
            "plannedCrossName": cross.code,
            "status": DONE if cross.is_done else TODO,
            **_parents_and_project(cross, asked.station),
        }
        for cross in crosses
    ]


def _parents_and_project(cross: Cross, station: Station) -> dict[str, Any]:
    female, male = parents_of(cross)
    project = {"crossingProjectDbId": project_id(station), "crossingProjectName": _project_name(station)}
    if female == male:
        return {**project, "crossType": "SELF", "parent1": _parent(female, "SELF")}
    return {
        **project, "crossType": "BIPARENTAL", "parent1": _parent(female, "FEMALE"), "parent2": _parent(male, "MALE"),
    }  # fmt: skip


def parents_of(cross: Cross) -> tuple[Thing, Thing]:
    """Give female and male; a line that turned out to be another stands for that one."""
    female, male = cross.female or cross.female_cross, cross.male or cross.male_cross
    if female is None or male is None:
        raise TypeError(f"{cross.code} has no two parents, which its table does not allow")
    return _now(female), _now(male)


def _now(thing: Thing) -> Thing:
    return (thing.merged_into or thing) if isinstance(thing, Line) else thing


def _parent(thing: Thing, role: str) -> dict[str, Any]:
    return {"germplasmDbId": dbid_of(thing), "germplasmName": name_of(thing), "parentType": role}


def _pollination(row: Pollination) -> dict[str, Any]:
    return {
        "pollinationNumber": str(row.operation.seq), "pollinationSuccessful": row.pods_set > 0,
        "pollinationTimeStamp": instant(row.operation.at),
    }  # fmt: skip


def _sums(log: Sequence[Pollination]) -> list[dict[str, str]] | None:
    sums = {
        "buds pollinated": sum(row.buds_tried for row in log), "pods set": sum(row.pods_set for row in log),
        "seeds taken": sum(row.seeds_taken for row in log),
    }  # fmt: skip
    return (
        [{"crossAttributeName": name, "crossAttributeValue": str(one)} for name, one in sums.items()] if log else None
    )


def _projects(asked: Asked) -> list[dict[str, Any]]:
    station = asked.station
    project: dict[str, Any] = {
        "crossingProjectDbId": project_id(station), "crossingProjectName": _project_name(station),
        "programDbId": program_id(station), "programName": station.name, "commonCropName": CROP,
    }  # fmt: skip
    if asked.flag("includePotentialParents", default=False):
        project["potentialParents"] = _potential(asked)
    return [project]


def _potential(asked: Asked) -> list[dict[str, Any]]:
    """Tell each line and cross that was a parent, once for each side (2 queries)."""
    roles: dict[tuple[str, str], dict[str, Any]] = {}
    for cross in _crosses(asked).order_by("pk"):
        for thing, role in zip(parents_of(cross), ("FEMALE", "MALE"), strict=True):
            roles[(dbid_of(thing), role)] = _parent(thing, role)
    return list(roles.values())


def _post(asked: Asked) -> Rows:
    return _entered(asked, "crossName", ("crossName", "plannedCrossDbId", "plannedCrossName"))


def _post_planned(asked: Asked) -> Rows:
    return _entered(asked, "plannedCrossName", ("plannedCrossName", "status"))


def _entered(asked: Asked, named: str, kept: Sequence[str]) -> Rows:
    """Enter crosses, all or none."""
    sent = asked.body_objects()
    for one in sent:
        tell_unkept(
            asked, one, (*kept, "crossType", "parent1", "parent2", "crossingProjectDbId", "crossingProjectName")
        )
        if one.get("status") not in (None, TODO):
            asked.warnings.append("status is what the crossing log says; it was not taken over.")
    known = _parents_sent(sent, asked)
    crosses = [_new_cross(one, named, known) for one in sent]
    add_crosses(crosses, station=asked.station, by=asked.person, key=asked.key)
    rows = {cross.code: cross for cross in _crosses(asked).filter(code__in=[cross.code for cross in crosses])}
    return [rows[cross.code] for cross in crosses]


def _parents_sent(sent: Sequence[Mapping[str, Any]], asked: Asked) -> dict[str, str]:
    """Find the names of all parents that were sent by their DbIds (2 queries)."""
    parents = [one.get(side) for one in sent for side in ("parent1", "parent2")]
    dbids = uuids(str(parent.get("germplasmDbId")) for parent in parents if isinstance(parent, Mapping))
    some = every(asked).narrowed(Q(uid__in=dbids), Q(uid__in=dbids))
    things: list[Thing] = [*some.lines, *some.crosses]
    return {dbid_of(thing): name_of(_now(thing)) for thing in things}


def _new_cross(sent: Mapping[str, Any], named: str, known: Mapping[str, str]) -> NewCross:
    name = sent.get(named)
    if not isinstance(name, str) or not name.strip():
        raise BadRequest(f"{named} is missing. Give the code of the cross.")
    if (sent.get("crossType") or "") not in _OFFERED:
        raise BadRequest(f"{name[:60]} is {str(sent['crossType'])[:40]}. Crosses here are BIPARENTAL or SELF.")
    first = _parent_sent(sent, "parent1", name, known)
    is_self = sent.get("crossType") == "SELF" or first[1] == "SELF"
    second = first if is_self else _parent_sent(sent, "parent2", name, known)
    is_turned = first[1] == "MALE" or second[1] == "FEMALE"
    female, male = (second, first) if is_turned else (first, second)
    return NewCross(code=" ".join(name.split()), female=female[0], male=male[0])


def _parent_sent(sent: Mapping[str, Any], side: str, cross: str, known: Mapping[str, str]) -> tuple[str, str]:
    """Read the name of a parent and what it was."""
    parent = sent.get(side)
    if not isinstance(parent, Mapping):
        raise BadRequest(f"{cross[:60]} has no {side}. Give an object with germplasmDbId and parentType.")
    role = str(parent.get("parentType") or "")
    if role not in ("", "FEMALE", "MALE", "SELF"):
        raise BadRequest(f"{side} of {cross[:60]} is {role[:40]!r}. Give FEMALE, MALE or SELF.")
    dbid = str(parent.get("germplasmDbId") or "").casefold()
    name = known.get(dbid) if dbid else str(parent.get("germplasmName") or "")
    if not name:
        raise BadRequest(f"{side} of {cross[:60]} is not here. Give a germplasmDbId of GET germplasm.")
    return name, role


def _is_status(values: list[str], _asked: Asked) -> Q:
    wanted = {value.upper() for value in values}
    known = [is_done for is_done, word in ((True, DONE), (False, TODO)) if word in wanted]
    return Q(is_done__in=known)


_PROJECT: dict[str, Narrow] = {
    "crossingProjectDbId": by_one_of(lambda station: (project_id(station),)),
    "crossingProjectName": by_one_of(lambda station: (_project_name(station),)),
}
_ALL: dict[str, Narrow] = {**CROP_AND_PROGRAM, **NO_REFERENCES, **_PROJECT}
THINGS = (
    Things(
        "crosses", "cross", "crossDbId", _crosses, _tell,
        {**_ALL, "crossDbId": by_uid(), "crossName": by_text("code")}, has_one=False, post=_post,
    ),
    Things(
        "plannedcrosses", "planned cross", "plannedCrossDbId", _crosses, _tell_planned,
        {**_ALL, "plannedCrossDbId": by_uid(), "plannedCrossName": by_text("code"), "status": by_query(_is_status)},
        has_one=False, post=_post_planned,
    ),
    Things(
        "crossingprojects", "crossing project", "crossingProjectDbId", _projects,
        lambda rows, _asked: rows,
        {**_ALL, "crossingProjectDbId": by_told("crossingProjectDbId")}, flags=("includePotentialParents",),
    ),
)  # fmt: skip
ROUTES = ()
