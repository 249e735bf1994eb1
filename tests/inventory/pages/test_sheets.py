"""Sheets in: a file is looked through and answered on its page, saved once, taken back whole."""

import re
import zipfile
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client, RequestFactory

from fixtures_demo.dirty_sheet import PATH
from fixtures_demo.practice import practice_copy
from hilum.uploads import body_limit
from inventory.models import Load, Lot, Operation, Receipt, SheetDraft, Station
from inventory.queries.verifying import verify
from inventory.rules.lot_number import LotNumber
from tests.make import House, bagged, house, received

pytestmark = pytest.mark.django_db
SHEET = "Date;Lot;Plot;Net;Moist\n2024-09-24;24-0001-5;ST24-N-1-1;800;16.2\n2024-09-24;24-0002-8;ST24-N-1-2;640;0.162\n"


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path: Path) -> Path:
    settings.DATA_DIR = tmp_path
    return tmp_path


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def desk(client: Client, plant: House) -> Client:
    client.force_login(plant.people["records"])
    return client


def dropped(client: Client, content: bytes, name: str = "kept.csv", kind: str = "") -> HttpResponse:
    return client.post("/records/sheets/", {"file": SimpleUploadedFile(name, content), "kind": kind})


def text(answer: HttpResponse) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def forms(answer: HttpResponse) -> list[dict[str, str]]:
    """What each form of the page would send with its first button."""
    found = []
    for form in re.findall(r"<form.*?</form>", answer.content.decode(), re.S):
        sent = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form))
        button = re.search(r'<button name="answer" value="([^"]*)"', form)
        if button and "row" in sent and not re.search(r'name="value"', form):
            found.append({**sent, "answer": button[1]})
    return found


def asked(answer: HttpResponse) -> list[dict[str, str]]:
    return [form for form in forms(answer) if form["answer"] != "ask"]


def accept(client: Client, address: str, row: int, column: str) -> HttpResponse:
    return client.post(address, {"row": row, "column": column, "answer": "accept"})


def test_an_empty_desk_says_what_will_happen(desk: Client) -> None:
    shown = text(desk.get("/records/sheets/"))
    assert "Drop a file. You will see every problem first. Nothing is saved until you say so." in shown
    assert "No sheet was saved yet." in shown


def test_a_sheet_is_dropped_answered_saved_and_taken_back(desk: Client, plant: House) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    page = desk.get(address)
    assert "2 rows of intake" in text(page)
    assert "1 thing to decide before anything is saved" in text(page)
    assert [(form["row"], form["column"], form["answer"]) for form in asked(page)] == [("3", "Moist", "accept")]
    assert Operation.objects.count() == 0
    page = desk.post(address, asked(page)[0], follow=True)
    assert "Nothing is open." in text(page)
    saved = desk.post(f"{address}save")
    assert saved["Location"] == "/records/loads/L1/"
    assert "Saved 2 rows as load L1" in text(desk.get(saved["Location"]))
    assert Receipt.objects.filter(operation__load__number=1).count() == 2
    back = desk.post("/records/loads/L1/", {"reason": "the wrong year"}, follow=True)
    assert "is taken back: 2 acts reversed" in text(back)
    assert "the same file can be loaded again" in text(back)
    assert verify(plant.station).differences == []


def test_the_same_file_again_says_so_and_changes_nothing(desk: Client) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    accept(desk, address, 3, "Moist")
    desk.post(f"{address}save")
    before = Operation.objects.count()
    again = desk.get(dropped(desk, SHEET.encode(), "other name.csv")["Location"], follow=True)
    assert again.redirect_chain[-1][0] == "/records/loads/L1/"
    assert "This file is loaded already: load L1" in text(again)
    assert Operation.objects.count() == before


def test_a_save_that_is_sent_twice_is_one_load(desk: Client) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    accept(desk, address, 3, "Moist")
    first, second = desk.post(f"{address}save"), desk.post(f"{address}save")
    assert first["Location"] == second["Location"] == "/records/loads/L1/"
    assert Load.objects.count() == 1


def test_nothing_is_saved_while_something_is_open(desk: Client) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    answer = desk.post(f"{address}save")
    assert answer.status_code == 422
    assert "One thing is still to decide. Nothing was saved." in text(answer)
    assert Operation.objects.count() == 0


def test_answers_wait_for_whoever_closed_the_browser(desk: Client, plant: House, client: Client) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    accept(desk, address, 3, "Moist")
    other = Client()
    other.force_login(plant.people["records"])
    assert "kept.csv" in text(other.get("/records/sheets/"))
    assert "kept.csv is looked through and not saved yet" in text(other.get("/area/floor/"))
    assert dropped(other, SHEET.encode())["Location"] == address
    shown = text(other.get(address))
    assert "taken as proposed" in shown
    assert "records-st" in shown


def test_of_two_people_who_answer_one_question_the_second_is_told(desk: Client) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    page = desk.get(address)
    desk.post(address, asked(page)[0])
    answer = desk.post(address, {**asked(page)[0], "answer": "leave_out"})
    assert answer.status_code == 422
    assert "Row 3, Moist was answered by records-st since you opened this page" in text(answer)
    assert SheetDraft.objects.get().answers["intake"][0]["answer"] == "accept"


def test_an_answer_is_asked_again_when_its_giver_wants_it(desk: Client) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    accept(desk, address, 3, "Moist")
    page = desk.post(
        address, {"row": 3, "column": "Moist", "answer": "ask", "seen": "accept"}, follow=True
    )  # fmt: skip
    assert "1 thing to decide" in text(page)


def test_another_value_is_read_like_the_cell(desk: Client) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    sent = {"row": 3, "column": "Moist", "answer": "value", "value": "17,1"}
    assert "Nothing is open." in text(desk.post(address, sent, follow=True))
    assert desk.post(address, {**sent, "value": " ", "seen": "17,1"}).status_code == 422
    assert desk.post(address, {**sent, "value": "x" * 501, "seen": "17,1"}).status_code == 422


def test_all_proposals_of_a_column_are_taken_with_one_press(desk: Client) -> None:
    rows = "".join(f"2024-09-24;24-000{n}-{c};ST24-N-1-{n};80{n};0.16\n" for n, c in ((1, 5), (2, 8)))
    address = dropped(desk, f"Date;Lot;Plot;Net;Moist\n{rows}".encode())["Location"]
    assert "Take this and 1 more proposal in Moist" in text(desk.get(address))
    assert "Nothing is open." in text(desk.post(address, {"all": "Moist"}, follow=True))


def test_rows_that_are_left_out_together_are_asked_nothing_more(desk: Client, plant: House) -> None:
    received(plant, "800", lot="24-0001-5", moisture="16.2")
    received(plant, "640", "ST24-N-1-2", lot="24-0002-8", moisture="16.2")
    rows = "2024-09-24;24-0031;ST24-N-1-1;800;0.16\n2024-09-24;24-0032;ST24-N-1-2;640;0.16\nTOTAL;;;1440;\n"
    address = dropped(desk, f"Date;Lot;Plot;Net;Moist\n{rows}".encode())["Location"]
    before = text(desk.get(address))
    assert "2 rows of intake, 1 more row is a total or a remark." in before
    assert "Leave this row and 1 more like it out" in before
    after = text(desk.post(address, {"all": "Lot"}, follow=True))
    assert "2 rows of intake, 2 of them are left out, 1 more row is a total or a remark. Nothing is open." in after


def test_a_cell_shows_what_it_was_answered_to_be(desk: Client) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    desk.post(address, {"row": 2, "column": "Lot", "answer": "value", "value": "24-0041"})
    accept(desk, address, 3, "Moist")
    shown = text(desk.get(address))
    assert "24-0001-5 → 24-0041" in shown
    assert "taken as proposed, 16.2" in shown


def test_a_load_is_not_taken_back_without_a_reason(desk: Client) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    accept(desk, address, 3, "Moist")
    desk.post(f"{address}save")
    answer = desk.post("/records/loads/L1/", {"reason": " "})
    assert answer.status_code == 422
    assert "Write why: taking a load back is kept with its reason." in text(answer)
    desk.post("/records/loads/L1/", {"reason": "the wrong year"})
    assert Load.objects.get().unloaded_at is not None
    assert re.search(r"<s>receive #1 of \S+</s>", desk.get("/records/loads/L1/").content.decode())
    assert "is looked through and not saved yet" not in text(desk.get("/area/floor/"))


def test_a_load_whose_lots_were_used_stays_and_names_what_stands_on_it(desk: Client, plant: House) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    accept(desk, address, 3, "Moist")
    desk.post(f"{address}save")
    bagged(plant, Lot.objects.get(number="24-0001-5"), count=32)
    answer = desk.post("/records/loads/L1/", {"reason": "the wrong year"})
    assert answer.status_code == 422
    assert "It was not taken back: all of it goes back, or nothing" in text(answer)
    assert "was used by bag #3" in text(answer)
    assert Load.objects.get().unloaded_at is None


def test_the_sheet_stands_beside_with_its_cells_marked(desk: Client) -> None:
    address = dropped(desk, SHEET.replace("24-0001-5", "24-OO01-5").encode())["Location"]
    html = desk.get(address).content.decode()
    assert 'id="c-E3" class="question"' in html
    assert 'href="#c-E3"' in html
    assert 'id="c-B2" class="note"' in html


def test_a_list_that_cannot_be_told_is_asked_about(desk: Client) -> None:
    address = dropped(desk, b"a;b\n1;2\n")["Location"]
    assert "Say what it lists." in text(desk.get(address))
    answer = desk.post(address, {"kind": "intake"}, follow=True)
    assert "It can't be read as this" in text(answer)


def test_a_sheet_is_thrown_away_with_its_file(desk: Client, own_folder: Path) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    assert len(list((own_folder / "sheets").iterdir())) == 1
    desk.post(address, {"throw": "yes"})
    assert list((own_folder / "sheets").iterdir()) == []
    assert desk.get(address).status_code == 404
    assert desk.post(f"{address}save").status_code == 404


def test_a_sheet_whose_file_is_gone_says_so(desk: Client, own_folder: Path) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    next((own_folder / "sheets").iterdir()).write_bytes(b"other")
    assert "kept.csv is no longer kept on this computer. Drop the file again" in text(desk.get(address))
    assert desk.post(f"{address}save").status_code == 422


def bomb() -> bytes:
    """A workbook of 20 kB that unpacks to 20 MB."""
    book = BytesIO()
    with zipfile.ZipFile(book, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 20 * 1024**2)
    return book.getvalue()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "Nothing was saved yet"),
        (b"%PDF-1.7 hello", "not a sheet but a PDF document"),
        (b"PK\x03\x04 broken", "damaged"),
        (b"\x00\x01\x02", "not text"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\x00" * 600, "office document"),
        (bomb(), "far larger than a sheet"),
    ],
)
def test_a_file_that_is_no_sheet_is_refused_with_a_sentence(desk: Client, content: bytes, says: str) -> None:
    answer = dropped(desk, content, "x.xlsx")
    assert answer.status_code == 422
    assert says in text(answer)
    assert SheetDraft.objects.count() == 0


def test_a_form_without_a_file_says_what_to_do(desk: Client) -> None:
    answer = desk.post("/records/sheets/", {"kind": ""})
    assert answer.status_code == 422
    assert "Choose a file" in text(answer)


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_a_text_sheet_is_read_in_the_encodings_people_have(desk: Client, encoding: str) -> None:
    address = dropped(desk, SHEET.replace("Net", "Poids net (kg)").encode(encoding))["Location"]
    assert "2 rows of intake" in text(desk.get(address))


def test_a_file_over_the_limit_is_not_kept(desk: Client, settings) -> None:
    answer = dropped(desk, b"x" * (16 * 1024 * 1024 + 1), "large.csv")
    assert answer.status_code == 422
    assert "16 MB" in text(answer)


def test_a_body_that_says_it_is_huge_is_read_away_and_kept_nowhere(desk: Client) -> None:
    form, sent = "multipart/form-data; boundary=x", 18 * 1024**2
    answer = desk.post("/records/sheets/", b"x" * sent, content_type=form)
    assert answer.status_code == 413
    assert "What you sent has 18 MB; a file may have 16 MB. Nothing was read or saved." in text(answer)


def test_of_a_huge_body_only_a_piece_is_in_memory_at_a_time(rf: RequestFactory) -> None:
    class Endless:
        left = 200 * 1024**2

        def read(self, size: int = -1) -> bytes:
            assert 0 < size <= 64 * 1024
            self.left -= size
            return b"x" * size

        readline = read

    body = Endless()
    request = rf.generic("POST", "/records/sheets/", CONTENT_LENGTH=str(body.left), **{"wsgi.input": body})
    assert body_limit(lambda _request: HttpResponse())(request).status_code == 413
    assert body.left == 0


def test_whoever_may_not_load_is_told_who_may(client: Client, plant: House) -> None:
    client.force_login(plant.people["bench"])
    assert "Records loads sheets" in text(client.get("/records/sheets/"))
    answer = dropped(client, SHEET.encode())
    assert "bench may not load a sheet; records may" in text(answer)
    assert SheetDraft.objects.count() == 0


def test_another_stations_sheet_is_not_here(desk: Client) -> None:
    address = dropped(desk, SHEET.encode())["Location"]
    SheetDraft.objects.update(station=Station.objects.create(code="ZZ", name="Another"))
    assert desk.get(address).status_code == 404


def test_every_kind_has_an_empty_sheet(desk: Client) -> None:
    links = re.findall(r'href="(/records/sheets/empty/[^"]+)"', desk.get("/records/sheets/").content.decode())
    assert len(links) >= 4
    for link in links:
        assert openpyxl.load_workbook(BytesIO(desk.get(link).content)).worksheets[0].max_row == 1
    assert desk.get("/records/sheets/empty/moon.xlsx").status_code == 404


def test_the_sheet_as_it_was_kept_is_loaded_by_page_with_each_proposal_taken(client: Client) -> None:
    station = practice_copy()
    client.force_login(station.membership_set.get(role="records").user)
    address = dropped(client, PATH.read_bytes(), PATH.name)["Location"]
    page = client.get(address)
    assert "14 rows of intake" in text(page)
    assert "7 things to decide" in text(page)
    for form in asked(page):
        assert client.post(address, form).status_code == 302
    saved = client.post(f"{address}save")
    assert "Saved 13 rows as load L1" in text(client.get(saved["Location"]))
    # 1,680 − 92.6 = 1,587.4 lb × 453,592.37 mg = 720,032,528.138 mg, by the definition of the pound
    assert Receipt.objects.get(lot__number="24-0003-1").net_mg == 720_032_528
    assert verify(station).differences == []


def test_a_longer_sheet_asks_the_database_no_more_often(
    desk: Client, plant: House, django_assert_max_num_queries
) -> None:
    def rows(count: int) -> bytes:
        numbers = [LotNumber(24, n + 1).text for n in range(count)]
        lines = [f"2024-09-{1 + n % 28:02d};{lot};ST24-N-1-{1 + n % 2};{500 + n * 3}" for n, lot in enumerate(numbers)]
        return ("Date;Lot;Plot;Net\n" + "\n".join(lines)).encode()

    for count in (5, 80):
        address = dropped(desk, rows(count))["Location"]
        with django_assert_max_num_queries(45):
            assert desk.get(address).status_code == 200
