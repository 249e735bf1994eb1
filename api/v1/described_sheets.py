"""What the addresses of sheets and loads do, each by its method."""

from collections.abc import Mapping

from rest_framework.views import APIView

from api.parsers import XLSX
from api.v1 import loads, sheets
from api.v1.describing import ANY, Tell, Told, content, key, later, prefer, query, reads, seen, sends
from api.v1.examples import ANSWERS, SHEET
from api.v1.shapes import Shape, row_shape, words_shape
from inventory.importing.kinds import all_kinds

_FOUND: Shape = {"$ref": "#/components/schemas/Found"}
_GIVEN: Shape = {
    "type": "object", "required": ["answers"], "properties": {"answers": {"type": "array", "items": ANY}},
}  # fmt: skip
_SAVED = {
    "200": content("the load it was saved as before; nothing was changed", ANY),
    "201": content("the load it is saved as", ANY),
    "202": later("its saving; sent again with the same key, the load once that is done"),
}


def _sheet_sent() -> Told:
    told = sends(
        "Send a sheet and read everything found in it; nothing is saved", words_shape(sheets.SheetSent), SHEET,
        {"201": content("the sheet, kept aside, with its findings", _FOUND), "202": later("the sheet's check")},
        prefer(),
        query("file_name", "of the file, where its bytes are the body"),
        query("kind", f"what it lists, where its bytes are the body: {', '.join(all_kinds())}"),
    )  # fmt: skip
    octets = {"schema": {"type": "string", "format": "binary"}}
    form: Shape = {
        "type": "object", "required": ["file"],
        "properties": {"file": {"type": "string", "format": "binary"}, "kind": {"type": "string"}},
    }  # fmt: skip
    forms = {"text/csv": octets, XLSX: octets, "application/octet-stream": octets}
    told["requestBody"]["content"].update({"multipart/form-data": {"schema": form}, **forms})
    return told


def _found() -> Told:
    told = reads("Everything found in a sheet", _FOUND)
    return {**told, "responses": {**told["responses"], "202": later("the check of a sheet of many rows")}}


def _answers_given(summary: str, *more: Told) -> Told:
    answer = {"200": content("all answers that it has now", _GIVEN)}
    return sends(summary, words_shape(sheets.AnswersSent), ANSWERS, answer, *more)


# Addresses that do several things, each by its method.
TOLD_OF_SHEETS: Mapping[tuple[type[APIView], str], Tell] = {
    (sheets.Sheets, "POST"): lambda _view: _sheet_sent(),
    (sheets.OneSheet, "GET"): lambda view: reads("One sheet that is kept aside", row_shape(view.shelf.columns)),
    (sheets.SheetFindings, "GET"): lambda _view: _found(),
    (sheets.SheetAnswers, "GET"): lambda _view: reads("The answers that a sheet has", _GIVEN),
    (loads.OneLoad, "GET"): lambda _view: reads("One load with the answers it was saved with", ANY),
    (sheets.OneSheet, "PATCH"): lambda view: sends(
        "Say what a sheet lists", words_shape(sheets.KindSent), {"kind": "intake"},
        {"200": content("the sheet", row_shape(view.shelf.columns))}, seen(),
    ),
    (sheets.OneSheet, "DELETE"): lambda _view: {
        "summary": "Throw a sheet away that is kept aside", "parameters": [seen()],
        "responses": {"204": {"description": "it is gone; what was saved of it stays"}},
    },
    (sheets.SheetAnswers, "POST"): lambda _view: _answers_given("Answer what was asked of a sheet"),
    (sheets.SheetAnswers, "PUT"): lambda _view: _answers_given("Put these in the place of all answers", seen()),
    (sheets.SheetSave, "POST"): lambda _view: sends(
        "Save a sheet, all or nothing", words_shape(sheets.Nothing), {}, _SAVED, prefer(), key("save-sheet")
    ),
    (loads.Unload, "POST"): lambda _view: sends(
        "Take a load back, all of it", words_shape(loads.Why), {"reason": "loaded by mistake"},
        {"201": content("how many acts were reversed", ANY)}, key("unload"),
    ),
}  # fmt: skip
