"""What the demo's books lack for pages to be at their heaviest: lots that carry everything, a sheet of many rows."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from inventory.importing.acts import book
from inventory.models import Station
from inventory.rules.lot_number import damm_digit

ROWS = 400
MASS = "200"
_EVERYTHING: tuple[tuple[str, Mapping[str, Any]], ...] = (
    ("size curve", {"screens": [{"screen": "18/64", "pct": "38.6"}, {"screen": "16/64", "pct": "52.1"},
                                {"screen": "pan", "pct": "9.3"}], "shape": "round"}),
    ("colour", {"lightness": "68.4", "a": "2.7", "b": "14.0", "illuminant": "D65", "observer": "2"}),
    ("seed health", {"pathogen": "halo blight", "method": "grow-out", "tested": 1000, "found": 0}),
    ("variety purity", {"counted": "plants", "looked_at": 1000, "off_types": 1}),
    ("purity", {"working_g": "500.0", "inert_g": "0.4", "other_crop_g": "0.1"}),
)  # fmt: skip


def heavy_pages(client: Client) -> list[str]:
    """Book what makes pages heavy, and name them: a lot with everything, one nobody graded, a sheet of many rows."""
    graded = "24-0021-7"
    _measure(graded)
    ungraded = _out_of_an_uncleaned_run()
    _measure(ungraded)
    return [f"/lots/{graded}/", f"/bench/tests/of/{graded}/", f"/lots/{ungraded}/", _sheet_of_many_rows(client)]


def _measure(lot: str) -> None:
    for verb, words in _EVERYTHING:
        _book(verb, {"lot": lot, **words}, "records")


def _out_of_an_uncleaned_run() -> str:
    """Run a white lot after a black one over an uncleaned machine, and what came of it once more."""
    black, white = _received("QM25-I3"), _received("QM25-I1")
    _run("R81", black)
    return _run("R83", _run("R82", white, is_cleaned_out=False), is_cleaned_out=False)


def _received(plot: str) -> str:
    answers = {"already_in": "another load", "field_differs": "as it stood"}
    return _book("receive", {"plots": [plot], "net": MASS, "place": "F-1"}, "records", answers)[0]


def _run(number: str, lot: str, *, is_cleaned_out: bool = True) -> str:
    """Run a lot whole, and give what came out clean."""
    words = {"number": number, "machines": "air-screen", "feed_lot": lot, "feed": MASS, "outs": [{"mass": MASS}]}
    return _book("clean", {**words, "is_cleaned_out": is_cleaned_out}, "records")[0]


def _book(verb: str, words: Mapping[str, Any], who: str, answers: Mapping[str, str] | None = None) -> list[str]:
    station, by = Station.objects.get(), User.objects.get(username=who)
    asked = {"answers": dict(answers or {}), "key": "", "reason": ""}
    return [lot.number for lot in book(verb, words, station=station, by=by, **asked).lots]


def _sheet_of_many_rows(client: Client) -> str:
    rows = [f"2026-03-{1 + n % 28:02},{_number(n)},QM25-I1,{842 + n},42,{800 + n},16.2,F-1" for n in range(ROWS)]
    text = "\n".join(["Date,Lot,Plot,Gross,Tare,Net,Moisture,Place", *rows])
    answer = client.post("/records/sheets/", {"file": SimpleUploadedFile("many.csv", text.encode())})
    return answer.headers["Location"]


def _number(n: int) -> str:
    digits = f"26{n + 1:04}"
    return f"{digits[:2]}-{digits[2:]}-{damm_digit(digits)}"
