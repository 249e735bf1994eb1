"""Sheets by a program: send one, read everything found in it, answer, save it all or nothing.

All of it goes through what the pages and `manage.py sheet` go through; a sheet that one sends, another may answer.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpResponse, QueryDict
from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.parsers import CommaText, ExactJSON, Form, Octets, Workbook
from api.v1.asked import REPLAYED, asked, key_of, person_of, station_for
from api.v1.conditions import etag_of, must_match, unless_known
from api.v1.found import KindAsked, found_json, sheet_named
from api.v1.listing import Things, as_json
from api.v1.loads import load_address, load_json
from api.v1.long_sheets import checked_later, findings_later, saved_later
from api.v1.shelves import BY_NAME
from inventory.actions.sheet_drafts import GivenAnswer, answer_sheet, choose_kind
from inventory.importing.keeping import forget, keep, saved_once
from inventory.importing.kinds import kind_named
from inventory.importing.words import UnknownWord, WordMissing, fill
from inventory.models import Command, SheetDraft
from inventory.rules.mistakes import Mistake, Refused

BYTES = (CommaText.media_type, Workbook.media_type, Octets.media_type, "")  # "": an empty body says nothing of its kind
SHELF = BY_NAME["sheets"]


@dataclass(frozen=True, kw_only=True)
class SheetSent:
    """A sheet of text as one JSON object; a workbook is sent as its own bytes or as a form."""

    file_name: str
    text: str
    kind: str = ""


@dataclass(frozen=True, kw_only=True)
class AnswerSent:
    """One answer: accept, keep, leave_out or a value; "" takes it back. `seen` is the answer that stood before."""

    row: int = field(metadata={"looks": "as the findings count it: as the spreadsheet does"})
    column: str = field(default="", metadata={"looks": "its heading, as the findings name it; empty for the whole row"})
    answer: str = field(
        metadata={
            "looks": "accept takes the proposal, keep lets a question stand, leave_out passes the row over; anything "
            "else is the value instead; an empty text takes the answer back"
        }
    )
    reason: str = field(default="", metadata={"looks": "why, where a question is kept"})
    seen: str = field(default="", metadata={"looks": "the answer that stood there before, where one is put right"})


@dataclass(frozen=True, kw_only=True)
class AnswersSent:
    """Several answers."""

    answers: tuple[AnswerSent, ...] = field(default_factory=tuple)


@dataclass(frozen=True, kw_only=True)
class KindSent:
    """What a sheet lists."""

    kind: str


class Sheets(Things):
    """Sheets that are kept aside, and taking one in."""

    shelf = SHELF
    parser_classes = (ExactJSON, Form, CommaText, Workbook, Octets)
    longest = 10 * 1024 * 1024  # bytes of a JSON body

    def post(self, request: Request) -> HttpResponse:
        """Keep a sheet aside and answer with everything found in it; the same bytes are the same sheet.

        One of many rows is checked by the worker: 202 and its job, and everything found under /findings afterwards.
        """
        content, name, kind = _sent(request)
        with refusing():
            draft = keep(content, name, kind, station=station_for(request), by=person_of(request))
        if (waits := checked_later(request, draft)) is not None:
            return waits
        where = request.build_absolute_uri(reverse("api-sheet", args=[draft.uid]))
        return Response(found_json(draft), status=201, headers={"Location": where, "ETag": etag_of(_row(draft))})


class OneSheet(APIView):
    """One sheet that is kept aside."""

    shelf = SHELF

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer what it is."""
        asked(request)
        return unless_known(request, _row(_kept(request, name)))

    def patch(self, request: Request, name: str) -> HttpResponse:
        """Say what it lists."""
        draft = self._seen(request, name)
        with refusing():
            kind = kind_named(fill(KindSent, dict(request.data)).kind, draft.station.code).name
        return unless_known(request, _row(choose_kind(draft.uid, kind, station=draft.station, by=person_of(request))))

    def delete(self, request: Request, name: str) -> HttpResponse:
        """Throw it away; what was saved of it stays in the books."""
        forget(self._seen(request, name), by=person_of(request))
        return HttpResponse(status=204)

    def _seen(self, request: Request, name: str) -> SheetDraft:
        asked(request)
        draft = _kept(request, name)
        must_match(request, _row(draft))
        return draft


class SheetFindings(APIView):
    """What is found in a sheet."""

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer what `manage.py sheet --json` prints, with the answers that it has."""
        asked(request)
        draft = _kept(request, name)
        found = findings_later(request, draft)
        return unless_known(request, found_json(draft)) if found is None else found


class SheetAnswers(APIView):
    """The answers that a sheet has."""

    longest = 10 * 1024 * 1024  # bytes of a JSON body; a year's sheet may have 20,000 answers

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer them, each with who gave it."""
        asked(request)
        return unless_known(request, _answers(_kept(request, name)))

    def post(self, request: Request, name: str) -> HttpResponse:
        """Add answers; none takes the place of one that `seen` does not name."""
        asked(request)
        draft = _kept(request, name)
        return self._given(request, draft, [GivenAnswer(**vars(one)) for one in _read(request)])

    def put(self, request: Request, name: str) -> HttpResponse:
        """Put these in the place of all that it has."""
        asked(request)
        draft = _kept(request, name)
        must_match(request, _answers(draft))
        stands = {(one["row"], one["column"]): str(one["answer"]) for one in _answers(draft)["answers"]}
        new = {(one.row, one.column): {**vars(one), "seen": stands.get((one.row, one.column), "")}
               for one in _read(request)}  # fmt: skip
        gone = [place for place in stands if place not in new]
        given = [GivenAnswer(row=row, column=column, answer="", seen=stands[row, column]) for row, column in gone]
        return self._given(request, draft, [*given, *(GivenAnswer(**one) for one in new.values())])

    def _given(self, request: Request, draft: SheetDraft, given: list[GivenAnswer]) -> HttpResponse:
        kept = answer_sheet(draft.uid, given, station=draft.station, by=person_of(request))
        return unless_known(request, _answers(kept))


class SheetSave(APIView):
    """Saving a sheet."""

    def post(self, request: Request, name: str) -> HttpResponse:
        """Save it, all or nothing, and name its load; saved before, it names that one and changes nothing.

        One of many rows is saved by the worker: 202 and its job, and the load once it is sent again with the same key.
        """
        asked(request)
        key, draft = key_of(request), _kept(request, name)
        fill(Nothing, dict(request.data))
        is_again = Command.objects.filter(station=draft.station, key=key).exists()
        if not draft.kind:
            raise Refused([KindAsked(draft.station.code)])
        if (waits := saved_later(request, draft, key)) is not None:
            return waits
        load, is_new = saved_once(draft, by=person_of(request), key=key)
        told = {**load_json(load), "saved": load.rows if is_new else 0}
        headers = {"Location": load_address(request, load), **({REPLAYED: "true"} if is_again else {})}
        return Response(told, status=201 if is_new else 200, headers=headers)


@dataclass(frozen=True, kw_only=True)
class Nothing:
    """A body that says nothing."""


@contextmanager
def refusing() -> Iterator[None]:
    """Refuse what is said of a body as every refusal is, not as a thing that is not there."""
    try:
        yield
    except Mistake as mistake:
        raise Refused([mistake]) from None


def _sent(request: Request) -> tuple[bytes, str, str]:
    """Read a sheet's bytes, its file name and its kind from whatever form it was sent in."""
    sent: Any = request.data
    if isinstance(sent, bytes) or request.content_type.partition(";")[0] in BYTES:
        words = asked(request, "file_name", "kind")
        return sent or b"", words["file_name"], words["kind"]
    asked(request)
    if isinstance(sent, QueryDict):
        return _in_form(sent)
    read = fill(SheetSent, sent)
    return read.text.encode(), read.file_name, read.kind


def _in_form(sent: QueryDict) -> tuple[bytes, str, str]:
    known = ("file", "kind")
    unknown: list[Mistake] = [UnknownWord("field of it", name, known, field=name) for name in sent if name not in known]
    file: Any = sent.get("file")
    if unknown or not isinstance(file, UploadedFile):
        raise Refused(unknown or [WordMissing("file")])
    return file.read(), file.name or "", str(sent.get("kind", ""))


def _read(request: Request) -> tuple[AnswerSent, ...]:
    return fill(AnswersSent, dict(request.data)).answers


def _kept(request: Request, name: str) -> SheetDraft:
    return sheet_named(station_for(request), name)


def _row(draft: SheetDraft) -> Mapping[str, Any]:
    rows = SHELF.rows(draft.station, draft.started_by).filter(pk=draft.pk)
    return as_json(SHELF.columns, rows.values_list(*(column.path for column in SHELF.columns)).get())


def _answers(draft: SheetDraft) -> dict[str, Any]:
    """Give answers with their parts in one order: a database keeps none, and the ETag is over what is sent."""
    order = ("row", "column", "answer", "reason", "by")
    given = draft.answers.get(draft.kind, [])
    return {"answers": [{part: one[part] for part in order if part in one} for one in given]}
