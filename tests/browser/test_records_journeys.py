"""What the data manager and the breeder do beside sheets, each once in a real browser."""

import pytest

from grading.models import RuleEdition
from inventory.importing.acts import book
from inventory.models import Line, Lot, Operation
from tests.browser.forms import save
from tests.grading.pages.bench import a_bench, drawn
from tests.grading.station import NOW
from tests.make import House, bagged, house, received, run

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]


@pytest.fixture
def plant() -> House:
    made = house()
    received(made, "500")
    return made


def test_what_looks_wrong_leads_to_where_it_is_put_right(open_as, plant: House) -> None:
    page = open_as(plant.records, "/records/look/", width=360)
    page.get_by_role("link", name="24-0001-5 still stands on the floor (F-1).").click()
    save(page, to="A-01")
    page.goto("/records/look/")
    page.get_by_text("No sample was drawn").wait_for()  # it comes after the page, on a phone too
    assert "still stands on the floor" not in page.inner_text("main")


def test_a_renamed_line_is_found_by_its_old_name(open_as, plant: House) -> None:
    page = open_as(plant.records, "/")
    save(page, "/do/rename/?line=N-1", to="Marshlight", reason="named for its release")
    assert Line.objects.get(name="Marshlight")
    page.goto("/")
    page.fill("#scan", "N-1")
    page.keyboard.press("Enter")
    page.wait_for_url("**/of/line/Marshlight/")
    page.goto("/lots/24-0001-5/")
    assert "Marshlight" in page.inner_text("h1")


def test_a_limit_is_changed_tried_on_the_past_and_put_in_force(open_as) -> None:
    bench = a_bench()
    drawn(bench)
    words = {"sample": "G01", "portion_g": "500", "weights_g": {"splits": "9.0"}, "sound_g": "491"}
    book("grade", words, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    page = open_as(bench.plant.records, "/records/rules/draft/QM-DEMO/1/")
    limit = page.get_by_label("total defects").first
    assert limit.input_value() == "2.00"
    limit.fill("1.50")
    page.keyboard.press("F2")
    page.wait_for_url("**/records/rules/**")
    page.get_by_role("link", name="What it would change").click()
    page.wait_for_url("**/records/rules/tried/**")
    assert "1 of 1 samples would read as another grade." in page.inner_text("main")
    page.goto("/records/rules/")
    save(page, "/do/put-rules-in-force/?rule_set=QM-DEMO&edition=2", begins="2027-01-01", reason="decided")
    assert RuleEdition.objects.get().begins.isoformat() == "2027-01-01"


def test_real_books_are_not_started_over_and_the_page_says_why(open_as, plant: House) -> None:
    page = open_as(plant.records, "/records/practice/")
    assert page.locator("button[name=what]").count() == 0
    assert Lot.objects.count() == 1


def test_the_stock_of_a_line_is_one_screen_with_what_is_promised(open_as, plant: House) -> None:
    lot = run(plant, Lot.objects.get(), "500", "480", number="R01").lots[0]
    bagged(plant, lot, count=4)
    page = open_as(plant.breeder, "/")
    save(page, f"/do/promise/?lot={lot.number}", mass="100", recipient="Tollhaven")
    page.goto("/of/line/N-1/")
    said = page.inner_text("main")
    for words in (lot.number, "480.0", "100.0", "L-1"):
        assert words in said, words
    assert Operation.objects.filter(kind="promise").count() == 1
