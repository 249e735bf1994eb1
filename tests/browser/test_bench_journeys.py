"""What the bench does beside the pan, each once in a real browser."""

from io import BytesIO

import pytest
from django.contrib.auth.models import User
from PIL import Image
from playwright.sync_api import expect

from grading.models import BenchManner, FileSample, PanPhoto, Sample
from inventory.importing.acts import book
from inventory.models import Membership
from tests.browser.forms import fill, save
from tests.grading.pages.bench import LOT, a_bench, drawn
from tests.grading.station import NOW, Bench

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]
PAN = {"portion_g": "500.30", "weights_g__splits": "2.40", "weights_g__damaged": "3.10", "sound_g": "494.75",
       "seed_weight_g_per_100": "36.0"}  # fmt: skip


@pytest.fixture
def bench() -> Bench:
    made = a_bench()
    drawn(made)
    return made


def test_a_grade_says_what_it_stands_on_and_a_second_sample_narrows_it(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/")
    said = save(page, "/bench/pan/G01/", gross_g="520", dockage_g="19.7", **PAN)
    assert "No. 1." in said
    assert "probed; the rule asks 8" in said
    rows = page.locator(".factors tbody").inner_text()
    assert "% of the cleaned weight" in rows
    assert "% of the uncleaned weight" in rows
    page.click("text=Rule set QM-DEMO, edition 1")
    expect(page.locator("main")).to_contain_text("In force on 10 Oct 2024")
    drawn(bench, "G02", points="3")
    said = save(page, "/bench/pan/G02/", **PAN)
    assert "All samples of the lot together (G02, G01)" in said
    assert "probed; the rule asks 8: short" in said


def test_advice_says_when_to_stop_picking_where_it_was_switched_on(open_as, bench: Bench) -> None:
    BenchManner.objects.create(user=bench.plant.bench, advises=True)
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    page.evaluate("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
    fill(page, portion_g="500.30", weights_g__contrasting_classes="6.0", seed_weight_g_per_100="36.0", picked="250")
    page.keyboard.press("Tab")
    expect(page.locator("#so-far")).to_contain_text("After 250 g it is already beyond No. 1")


def test_a_stop_finding_holds_the_lot_at_once_and_a_named_person_lifts_it(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    page.check("input[name='stop.odour']")
    save(page, **PAN)
    page.goto(f"/lots/{LOT}/")
    assert "odour" in page.inner_text("main")
    said = save(page, f"/do/lift/?lot={LOT}", reason="aired")
    assert "Nothing was saved yet" in said
    assert "breeder or records" in said
    page = open_as(bench.plant.breeder, "/")
    save(page, f"/do/lift/?lot={LOT}", reason="aired for a week")
    page.goto("/floor/holds/")
    assert LOT not in page.inner_text("main")


def test_a_grading_goes_blind_to_another_grader_and_their_pair_is_drawn(open_as, bench: Bench) -> None:
    book("regrade plan", {"one_in": "1"}, station=bench.plant.station, by=bench.plant.records, now=NOW)
    save(open_as(bench.plant.bench, "/"), "/bench/pan/G01/", **PAN)
    records = open_as(bench.plant.records, "/bench/samples/")
    assert "1 file sample is due to go back" in records.inner_text("main")
    records.get_by_role("button", name="Lay").first.click()
    records.wait_for_load_state()
    again = Sample.objects.get(is_blind=True)
    second = User.objects.create_user("bench-2")
    Membership.objects.create(station=bench.plant.station, user=second, role="bench")
    page = open_as(second, f"/bench/pan/{again.number}/")
    assert LOT not in page.inner_text("main")
    save(page, **PAN)
    records.goto("/bench/graders/")
    assert records.locator("svg.square").count() > 0


def test_seeds_sizes_and_colour_are_told_beside_the_line_and_weights_that_spread_are_asked_about(
    open_as, bench: Bench
) -> None:
    page = open_as(bench.plant.bench, "/bench/tests/seed-weight/")
    uneven = {f"readings__{place}": grams for place, grams in enumerate(("36.0", "36.2", "39.9", "36.1"), 1)}
    said = save(page, lot=LOT, **uneven)
    assert "spread" in said
    even = {f"readings__{place}": grams for place, grams in enumerate(("36.0", "36.2", "36.3", "36.1"), 1)}
    save(page, "/bench/tests/seed-weight/", lot=LOT, **even)
    save(page, "/bench/tests/colour/", lot=LOT, lightness="62.1", a="4.2", b="15.0", illuminant="D65", observer="2")
    screens = {"screens__1__screen": "18/64", "screens__1__pct": "38.6", "screens__2__screen": "pan",
               "screens__2__pct": "61.4", "shape": "round"}  # fmt: skip
    save(page, f"/bench/tests/sizes/?screens.2.screen=&lot={LOT}", **screens)
    page.goto(f"/bench/tests/of/{LOT}/")
    expect(page.locator("main")).to_contain_text("36.15 g, mean of 4")
    assert page.locator("svg.swatch").count() == 1
    page.goto(f"/bench/looks/{LOT}/")
    assert LOT in page.inner_text("main")


def test_a_photograph_of_the_pan_stands_at_its_sample(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/")
    save(page, "/bench/pan/G01/", **PAN)
    picture = BytesIO()
    Image.new("RGB", (640, 480), "tan").save(picture, "JPEG")
    page.set_input_files("#photo", {"name": "pan.jpg", "mimeType": "image/jpeg", "buffer": picture.getvalue()})
    page.locator("form[action$='/photo'] button").click()
    page.wait_for_selector("img.photo")
    assert PanPhoto.objects.get().sample.number == "G01"


def test_a_kept_sample_is_put_on_its_shelf_taken_out_and_found_in_the_register(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/")
    save(page, "/do/keep-file-sample/?sample=G01", place="C-8", until="2028-03-31")
    page.goto("/bench/file-samples/")
    assert "C-8" in page.inner_text("main")
    save(page, "/do/take-file-sample-out/?sample=G01", who="the inspector", reason="asked for")
    assert FileSample.objects.count() == 2
    page.goto("/bench/file-samples/")
    assert "the inspector" in page.inner_text("main")
