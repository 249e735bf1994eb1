"""`manage.py sheet` and `unload`: exit statuses, JSON, plain words, templates."""

import json
from pathlib import Path

import openpyxl
import pytest

from inventory.models import Load, Operation
from tests.inventory.management.asking import Answer, ask
from tests.make import House, house

pytestmark = pytest.mark.django_db
ROWS = (
    "Date;Lot;Line;Plot;Gross;Tare;Net;Moist;Bin",
    "2024-09-24;24-0001;N-1;ST24-N-1-1;842;42;800;16.2;F-1",
    "2024-09-25;24-OOO2;N-1;ST24-N-1-2;742;42;700;0.16;F-1",
)


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "in.csv"
    path.write_text("\n".join(ROWS))
    return path


def answered(tmp_path: Path, *answers: object) -> str:
    path = tmp_path / "answers.json"
    path.write_text(json.dumps(answers))
    return str(path)


ACCEPT = {"row": 3, "column": "Moist", "answer": "accept"}


def sheet(path: Path | str, *more: str) -> Answer:
    return ask("sheet", str(path), "--kind", "intake", "--json", *more)


def test_open_questions_are_exit_status_one_and_the_json_is_as_promised(plant, path):
    answer = sheet(path)
    assert answer.status == 1
    assert answer.json == {
        "sheet": "in.csv",
        "rows": 2,
        "findings": [
            {
                "row": 3, "column": "Lot", "cell": "B3", "value": "24-OOO2", "level": "note",
                "says": "Read O as 0: 24-0002-8.", "proposal": "24-0002-8",
            },
            {
                "row": 3, "column": "Moist", "cell": "H3", "value": "0.16", "level": "question",
                "says": "0.16 % is too dry for beans. Did you mean 16.0 %?", "proposal": "16.0",
            },
        ],
        "saved": 0,
        "load": None,
    }  # fmt: skip


def test_save_with_anything_open_saves_nothing(plant, path):
    assert sheet(path, "--save").status == 1
    assert Operation.objects.count() == 0


def test_it_saves_with_the_answers_and_names_the_load(plant, path, tmp_path):
    checked = sheet(path, "--answers", answered(tmp_path, ACCEPT))
    assert (checked.status, checked.json["saved"]) == (0, 0)
    saved = sheet(path, "--save", "--answers", answered(tmp_path, ACCEPT), "--by", "records-st")
    assert (saved.status, saved.json["saved"], saved.json["load"]) == (0, 2, "L1")


def test_who_alone_may_load_need_not_be_named(plant, path, tmp_path):
    assert sheet(path, "--save", "--answers", answered(tmp_path, ACCEPT)).json["saved"] == 2
    assert Load.objects.get().by == plant.records


def test_the_same_file_again_is_exit_status_nought_and_names_the_load(plant, path, tmp_path):
    sheet(path, "--save", "--answers", answered(tmp_path, ACCEPT))
    for again in (sheet(path), sheet(path, "--save")):
        assert (again.status, again.json["saved"], again.json["load"]) == (0, 0, "L1")
        assert "load L1" in again.json["findings"][0]["says"]


def test_unload_takes_it_back_once(plant, path, tmp_path):
    sheet(path, "--save", "--answers", answered(tmp_path, ACCEPT))
    assert ask("unload", "l1").out.strip() == "Load L1 (in.csv) is taken back: 2 acts reversed."
    again = ask("unload", "L1")
    assert again.status == 1
    assert "was taken back already" in again.err
    unknown = ask("unload", "L7")
    assert unknown.status == 2
    assert "'L7' is no load here. The newest is L1 (in.csv)." in unknown.err
    assert ask("verify").status == 0


def test_it_speaks_plainly_to_people(plant, path):
    answer = ask("sheet", str(path), "--kind", "intake")
    assert (
        "  question  row 3, Moist, H3 '0.16': 0.16 % is too dry for beans. Did you mean 16.0 %? [proposed: 16.0]"
        in (answer.out.splitlines())
    )
    assert "1 to answer before anything is saved" in answer.out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("nowhere.xlsx", "--kind", "intake"), "'nowhere.xlsx': No such file or directory."),
        ((".", "--kind", "intake"), "'.': Is a directory."),
        (("in.csv",), "Say what the sheet lists: --kind intake, runs, plots"),
        (("in.csv", "--kind", "intaek"), "'intaek' is no kind of sheet. Did you mean intake or notes?"),
        (("--kind", "intake"), "Name the sheet to read, or --template"),
    ],
)
def test_what_cannot_be_used_is_exit_status_two(plant, words, says):
    answer = ask("sheet", *words)
    assert answer.status == 2
    assert says in answer.err


@pytest.mark.parametrize("content", [b"", b"\x00\x01\x02", b"PK\x03\x04broken", b"just some words\nand more\n"])
def test_a_file_that_is_no_sheet_is_exit_status_two_with_a_sentence(plant, tmp_path, content):
    path = tmp_path / "in.xlsx"
    path.write_bytes(content)
    answer = sheet(path)
    assert answer.status == 2
    assert answer.err.strip().endswith(".")


def test_headings_alone_are_exit_status_two(plant, tmp_path):
    path = tmp_path / "in.csv"
    path.write_text(ROWS[0])
    assert sheet(path).status == 2


@pytest.mark.parametrize("text", ["[", "{}", "\udcff", '[{"row": "x"}]'])
def test_answers_that_cannot_be_read_are_exit_status_two(plant, path, tmp_path, text):
    answers = tmp_path / "answers.json"
    answers.write_bytes(text.encode("utf-8", "surrogateescape"))
    assert sheet(path, "--answers", str(answers)).status == 2


def test_a_template_is_read_back_and_offers_what_is_in_the_books(plant, tmp_path):
    path = tmp_path / "empty.xlsx"
    assert ask("sheet", "--kind", "intake", "--template", str(path)).status == 0
    book = openpyxl.load_workbook(path)
    lists = [cell.value for column in book["Lists"].columns for cell in column]
    assert {"N-1", "ST24-N-1-1", "F-1"} <= set(lists)
    assert book.worksheets[0].data_validations.count == 3
    sheet_ = book.worksheets[0]
    headings = [cell.value for cell in sheet_[1]]
    values = {"Date": "2024-09-24", "Line": "N-1", "Plot": "ST24-N-1-1", "Net (kg)": 800}
    sheet_.append([values.get(heading) for heading in headings])
    book.save(path)
    answer = sheet(path)
    assert (answer.status, answer.json["rows"], answer.json["findings"]) == (0, 1, [])
