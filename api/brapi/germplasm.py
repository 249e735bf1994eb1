"""Germplasm: lines, and crosses as the seed that comes of them; passport data, breeding methods, new lines."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, overload

from django.db.models import Model, Q, QuerySet
from django.db.models.functions import Lower

from api.brapi.asked import Asked, read_query, uuids
from api.brapi.core import as_told
from api.brapi.envelope import Rows
from api.brapi.errors import BadRequest, NoSuch
from api.brapi.filters import CROP_AND_PROGRAM, NO_REFERENCES, Narrow, by_constant, by_told, keepable, nowhere
from api.brapi.routes import Route
from api.brapi.studies import lines_sown_in
from api.brapi.things import Things
from api.brapi.told import extra
from inventory.actions.lines import NewLine, add_lines
from inventory.models import Cross, Line, LineName
from inventory.queries.notation import Parentage
from inventory.queries.passports import Passport, passports_of
from inventory.rules.pedigree import Cross as Crossing
from inventory.rules.taxon import CROP, GENUS, SEED_COLLECTION, SPECIES, STATUS_WORDS

Thing = Line | Cross
_METHODS = {
    "single-cross": ("Single cross", "SCR", "Two lines were crossed."),
    "three-way-cross": ("Three-way cross", "TWC", "One parent was a cross itself."),
    "complex-cross": ("Complex cross", "CCR", "Both parents were crosses, or one was made of crosses."),
    "backcross": ("Backcross", "BCR", "One parent was crossed to again."),
    "selfing": ("Selfing", "SLF", "One line was selfed."),
}


class LinesAndCrosses(Sequence[Thing]):
    """Lines first, then crosses, each by its key: two queries that are paged as one list."""

    def __init__(self, lines: "QuerySet[Line]", crosses: "QuerySet[Cross]") -> None:
        self.lines, self.crosses = lines, crosses
        self._counts: tuple[int, int] | None = None

    def narrowed(self, lines: Q, crosses: Q) -> "LinesAndCrosses":
        """Keep some of both."""
        return LinesAndCrosses(self.lines.filter(lines), self.crosses.filter(crosses))

    def none(self) -> "LinesAndCrosses":
        """Keep nothing."""
        return LinesAndCrosses(self.lines.none(), self.crosses.none())

    def counts(self) -> tuple[int, int]:
        """Count both once (2 queries)."""
        self._counts = self._counts or (self.lines.count(), self.crosses.count())
        return self._counts

    def __len__(self) -> int:
        return sum(self.counts())

    @overload
    def __getitem__(self, wanted: int) -> Thing: ...

    @overload
    def __getitem__(self, wanted: slice) -> Sequence[Thing]: ...

    def __getitem__(self, wanted: int | slice) -> Thing | Sequence[Thing]:
        """Cut a page out, or take one."""
        if isinstance(wanted, int):
            return self[wanted : wanted + 1][0]
        start, end = wanted.start or 0, len(self) if wanted.stop is None else wanted.stop
        lines = self.counts()[0]
        rows: list[Thing] = list(_stable(self.lines)[start:end]) if start < lines else []
        return [*rows, *_stable(self.crosses)[max(start - lines, 0) : end - lines]] if end > lines else rows


def _stable(rows: "QuerySet[Any]") -> "QuerySet[Any]":
    return rows.order_by("pk")


def every(asked: Asked) -> LinesAndCrosses:
    """Give all lines and crosses of a station, also lines that turned out to be another."""
    lines = Line.objects.filter(station=asked.station).select_related("market_class", "merged_into", "cross")
    crosses = Cross.objects.filter(station=asked.station)
    return LinesAndCrosses(lines, crosses.select_related("female", "male", "female_cross", "male_cross"))


def standing(asked: Asked) -> LinesAndCrosses:
    """Give the lines that stand and all crosses; one that was merged is found by its own DbId alone."""
    return every(asked).narrowed(Q(merged_into__isnull=True), Q())


def dbid_of(thing: Thing) -> str:
    """Give the DbId of a line or cross."""
    return str(thing.uid)


def name_of(thing: Thing) -> str:
    """Give the name of a line or the code of a cross."""
    return thing.name if isinstance(thing, Line) else thing.code


def tell(things: Sequence[Thing], asked: Asked) -> list[dict[str, Any]]:
    """Tell a page of germplasm."""
    return [
        _told(thing, passport, asked)
        for thing, passport in zip(things, passports_of(asked.station, things), strict=True)
    ]


def _told(thing: Thing, passport: Passport, asked: Asked) -> dict[str, Any]:
    method = method_of(passport.parentage)
    return {
        "germplasmDbId": dbid_of(thing),
        "germplasmName": name_of(thing),
        "germplasmPUI": passport.puid,
        "defaultDisplayName": name_of(thing),
        "accessionNumber": passport.accenumb,
        "commonCropName": CROP,
        "genus": passport.genus,
        "species": passport.species,
        "speciesAuthority": passport.spauthor,
        "instituteName": asked.station.name,
        "biologicalStatusOfAccessionCode": passport.sampstat,
        "biologicalStatusOfAccessionDescription": STATUS_WORDS.get(passport.sampstat),
        "breedingMethodDbId": method,
        "breedingMethodName": method_name(method),
        "pedigree": passport.ancest,
        "synonyms": [{"synonym": name, "type": "former name"} for name in passport.accename[1:]],
        "storageTypes": [{"code": code, "description": _storage(code)} for code in passport.storage],
        "additionalInfo": _extra(thing),
    }


def _storage(code: str) -> str:
    return "Seed collection" if code == SEED_COLLECTION else code


def _extra(thing: Thing) -> dict[str, str]:
    if isinstance(thing, Cross):
        return extra(kind="cross")
    merged = thing.merged_into
    return extra(
        kind="line", marketClass=thing.market_class, crossName=thing.cross,
        mergedIntoDbId=merged.uid if merged else None, mergedIntoName=merged,
    )  # fmt: skip


def method_name(method: str) -> str | None:
    """Say a breeding method by its DbId."""
    return _METHODS[method][0] if method else None


def method_of(parentage: Parentage | None) -> str:
    """Give the DbId of the breeding method by the crosses behind something, "" where there are none."""
    if parentage is None or not isinstance(parentage.pedigree, Crossing):
        return ""
    female, male = parentage.pedigree.female, parentage.pedigree.male
    if female == male:
        return "selfing"
    if parentage.recurrent:
        return "backcross"
    inner = [side for side in (female, male) if isinstance(side, Crossing)]
    if not inner:
        return "single-cross"
    is_plain = all(isinstance(side, str) for cross in inner for side in (cross.female, cross.male))
    return "three-way-cross" if len(inner) == 1 and is_plain else "complex-cross"


def _methods(_asked: Asked) -> list[dict[str, str]]:
    return [
        {"breedingMethodDbId": dbid, "breedingMethodName": name, "abbreviation": short, "description": says}
        for dbid, (name, short, says) in _METHODS.items()
    ]


def _mcpd(asked: Asked, dbid: str) -> Mapping[str, Any]:
    read_query(asked, ())
    thing = found(asked, dbid)
    passport = passports_of(asked.station, [thing])[0]
    return {
        "germplasmDbId": dbid,
        "germplasmPUI": passport.puid,
        "accessionNumber": passport.accenumb,
        "accessionNames": list(passport.accename) or None,
        "genus": passport.genus,
        "species": passport.species,
        "speciesAuthority": passport.spauthor,
        "commonCropName": passport.cropname,
        "biologicalStatusOfAccessionCode": passport.sampstat,
        "ancestralData": passport.ancest,
        "breedingInstitutes": [{"instituteName": passport.bredname}] if passport.bredname else None,
        "storageTypeCodes": list(passport.storage) or None,
        "remarks": passport.remarks,
    }


def found(asked: Asked, dbid: str) -> Thing:
    """Find a line or cross by its DbId (2 queries, and 2 that count).

    Raises:
        NoSuch: it is not here.
    """
    wanted = uuids([dbid])
    for rows in (every(asked).lines, every(asked).crosses):
        if thing := rows.filter(uid__in=wanted).first():
            return thing
    raise NoSuch("germplasm", dbid)


def both(lines: Callable[[list[str], Asked], Q], crosses: Callable[[list[str], Asked], Q]) -> Narrow:
    """Narrow lines by one condition and crosses by another."""

    def narrow(rows: Rows, values: Sequence[str], asked: Asked) -> Rows:
        if not isinstance(rows, LinesAndCrosses):
            raise TypeError("this narrows lines and crosses")
        kept = keepable(values)
        return rows.narrowed(lines(kept, asked), crosses(kept, asked))

    return narrow


def _nobody(_values: list[str], _asked: Asked) -> Q:
    return Q(pk__in=())


def _uid(values: list[str], _asked: Asked) -> Q:
    return Q(uid__in=uuids(values))


def _pui(values: list[str], asked: Asked) -> Q:
    return _uid([value.casefold().removeprefix("urn:uuid:") for value in values], asked)


def _alike(model: type[Model], field: str) -> Callable[[list[str], Asked], Q]:
    """Read a text in upper and lower case alike."""

    def condition(values: list[str], _asked: Asked) -> Q:
        low = model._default_manager.alias(low=Lower(field)).filter(low__in=[value.lower() for value in values])
        return Q(**{f"{field}__in": values}) | Q(pk__in=low.values("pk"))

    return condition


def _synonym(values: list[str], asked: Asked) -> Q:
    low = [value.lower() for value in values]
    names = LineName.objects.filter(station=asked.station).alias(low=Lower("name"))
    return Q(pk__in=names.filter(Q(name__in=values) | Q(low__in=low)).values("line"))


def _child_of(values: list[str], _asked: Asked) -> Q:
    return Q(cross__uid__in=uuids(values))


def _made_of(values: list[str], _asked: Asked) -> Q:
    some = uuids(values)
    return (
        Q(female__uid__in=some) | Q(male__uid__in=some) | Q(female_cross__uid__in=some) | Q(male_cross__uid__in=some)
    )  # fmt: skip


def _line_parent(values: list[str], _asked: Asked) -> Q:
    children = Cross.objects.filter(uid__in=uuids(values))
    return Q(pk__in=children.filter(female__isnull=False).values("female")) | Q(
        pk__in=children.filter(male__isnull=False).values("male")
    )


def _cross_parent(values: list[str], _asked: Asked) -> Q:
    some = uuids(values)
    children = Cross.objects.filter(uid__in=some)
    return (
        Q(pk__in=Line.objects.filter(uid__in=some, cross__isnull=False).values("cross"))
        | Q(pk__in=children.filter(female_cross__isnull=False).values("female_cross"))
        | Q(pk__in=children.filter(male_cross__isnull=False).values("male_cross"))
    )


def _sown(name: str) -> Narrow:
    """Keep the lines that were sown in studies that say one of the values under a name; crosses are not sown."""
    return both(lambda values, asked: Q(pk__in=lines_sown_in(name, values, asked)), _nobody)


FILTERS: dict[str, Narrow] = {
    **CROP_AND_PROGRAM, **NO_REFERENCES,
    "germplasmDbId": both(_uid, _uid),
    "germplasmName": both(_alike(Line, "name"), _alike(Cross, "code")),
    "germplasmPUI": both(_pui, _pui),
    "accessionNumber": both(_alike(Line, "name"), _alike(Cross, "code")),
    "synonym": both(_synonym, _nobody),
    "genus": by_constant(GENUS),
    "species": by_constant(SPECIES),
    "binomialName": by_constant(f"{GENUS} {SPECIES}"),
    "familyCode": both(lambda values, asked: Q(cross__in=Cross.objects.filter(_alike(Cross, "code")(values, asked))),
                       _alike(Cross, "code")),
    **{name: _sown(name) for name in ("trialDbId", "trialName", "studyDbId", "studyName")},
    "collection": nowhere, "instituteCode": nowhere,
}  # fmt: skip


def _post(asked: Asked) -> Rows:
    """Enter lines, all or none."""
    lines = [_new_line(one, asked) for one in asked.body_objects()]
    add_lines(lines, station=asked.station, by=asked.person, key=asked.key)
    rows = {line.name: line for line in every(asked).lines.filter(name__in=[line.name for line in lines])}
    return [rows[line.name] for line in lines]


_KEPT = ("germplasmName", "commonCropName", "synonyms", "additionalInfo")


def _new_line(sent: Mapping[str, Any], asked: Asked) -> NewLine:
    name, crop = sent.get("germplasmName"), sent.get("commonCropName")
    if not isinstance(name, str) or not name.strip():
        raise BadRequest("germplasmName is missing. Give the name of the line.")
    if crop is not None and str(crop).casefold() != CROP.casefold():
        raise BadRequest(f"{name[:60]} is of {str(crop)[:40]!r}. Only {CROP} is kept here.")
    told = sent.get("additionalInfo") or {}
    if not isinstance(told, Mapping):
        raise BadRequest("additionalInfo is no object. Send texts by name.")
    tell_unkept(asked, sent, _KEPT)
    return NewLine(
        name=" ".join(name.split()), synonyms=_synonyms(sent),
        market_class=str(told.get("marketClass") or ""), cross=str(told.get("crossName") or ""),
    )  # fmt: skip


def _synonyms(sent: Mapping[str, Any]) -> tuple[str, ...]:
    rows = sent.get("synonyms") or []
    if not isinstance(rows, list):
        raise BadRequest("synonyms is no array. Send an array of objects.")
    names = [row.get("synonym") if isinstance(row, Mapping) else row for row in rows]
    return tuple(str(name) for name in names if name)


def tell_unkept(
    asked: Asked, sent: Mapping[str, Any], kept: Iterable[str], told: Mapping[str, Any] | None = None
) -> None:
    """Warn of what was sent and is not kept here, each name once.

    Args:
        kept: names that are.
        told: what is told of the thing that is changed; what is sent back as it was told is no matter.
    """
    for name in sorted(name for name, value in sent.items() if value is not None and name not in kept):
        if told is not None and name in told and told[name] == sent[name]:
            continue
        says = f"{name[:80]} is not kept here and changed nothing."
        if says not in asked.warnings:
            asked.warnings.append(says)


GERMPLASM = Things(
    "germplasm", "germplasm", "germplasmDbId", standing, tell,
    {**FILTERS, "parentDbId": both(_child_of, _made_of), "progenyDbId": both(_line_parent, _cross_parent)},
    has_search=True, post=_post, find=found,
)  # fmt: skip
METHODS = Things(
    "breedingmethods", "breeding method", "breedingMethodDbId", _methods, as_told,
    {"breedingMethodDbId": by_told("breedingMethodDbId")},
)  # fmt: skip
THINGS = (GERMPLASM, METHODS)
ROUTES = (Route("germplasm/{germplasmDbId}/mcpd", _mcpd),)
