"""What the floor and the line do beside their main work, each once in a real browser."""

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import expect

from inventory.actions.plots import PlotWeight, weigh_plots
from inventory.models import Lot, Receipt, Standing
from tests.browser.forms import save
from tests.make import NOW, House, house, kg_left, received, run

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]
PLOT = "ST24-N-1-1"


@pytest.fixture
def plant() -> House:
    return house()


def test_a_number_is_read_forgivingly_and_a_wrong_digit_is_caught(open_as, plant: House) -> None:
    received(plant)
    page = open_as(plant.intake, "/")
    page.fill("#scan", " 24 OOO1-5")
    page.keyboard.press("Enter")
    page.wait_for_url("**/lots/24-0001-5/")
    assert "Read O as 0" in page.inner_text("main")
    page.fill("#scan", "24-0010-5")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=does not check")
    page.get_by_role("link", name="24-0001-5").first.click()
    page.wait_for_url("**/lots/24-0001-5/")


def test_doubtful_figures_of_a_delivery_are_asked_about_and_answered_by_one_press(open_as, plant: House) -> None:
    weigh_plots([PlotWeight(plot=PLOT, mass="800")], station=plant.station, by=plant.breeder, now=NOW)
    page = open_as(plant.intake, "/do/receive/")
    said = save(page, plots=PLOT, net="1764", moisture="0.172")
    assert "Did you mean 17.2 %?" in said
    page.get_by_role("button", name="17.2").click()
    page.wait_for_selector("text=Is this pounds?")
    page.get_by_role("button", name="lb").first.click()
    page.wait_for_selector(".said")
    assert Receipt.objects.get().net_mg == pytest.approx(800_136_941, abs=1_000)
    again = save(page, "/do/receive/", plots=PLOT, net="800.1", moisture="17.2")
    assert "Already in as" in again or "already in as" in again
    assert Receipt.objects.count() == 1


def test_a_wet_lot_is_dried_as_the_page_reckons_and_split_so_that_it_adds_up(open_as, plant: House) -> None:
    received(plant, "800", moisture="18.0")
    page = open_as(plant.intake, "/floor/wet/")
    assert "24-0001-5" in page.inner_text("main")
    page.goto("/do/dry/?lot=24-0001-5")
    page.fill("#field-after", "15.0")
    page.keyboard.press("Tab")
    expect(page.locator("#drying")).to_contain_text("771.76")
    save(page, weighed="771.5")
    assert kg_left(Lot.objects.get()) == pytest.approx(771.5, abs=0.001)
    page.goto("/floor/wet/")
    assert "24-0001-5" not in page.inner_text("main")
    said = save(page, "/do/split/?lot=24-0001-5&pieces.2.mass=", pieces__1__mass="300", pieces__1__place="A-01",
                pieces__2__mass="471.5", pieces__2__place="B-01")  # fmt: skip
    assert said.startswith("split #3")
    assert Lot.objects.count() == 3


def test_the_last_plot_that_is_out_is_one_look_away(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/floor/still-out/")
    before = page.inner_text("main")
    assert PLOT in before
    save(page, "/do/receive/", plots=PLOT, net="500", at="2024-09-24")
    page.goto("/floor/still-out/")
    assert page.inner_text("main") != before


def test_seed_from_outside_keeps_its_senders_number_beside_ours(open_as, plant: House) -> None:
    page = open_as(plant.intake, "/")
    save(page, "/do/receive/?from=outside", sender="Hill Station", their_lot="HS-77", line="N-1", net="120",
         kind_and_variety="navy bean", carrier="own truck", shipped_on="2024-09-20", at="2024-09-22")  # fmt: skip
    page.goto("/lots/24-0001-5/")
    page.locator(".strip").wait_for()
    assert "Hill Station HS-77" in page.inner_text(".strip")


def test_a_light_lot_after_dark_seed_is_warned_of_and_the_last_good_settings_are_offered(open_as, plant: House) -> None:
    run(plant, received(plant, "400", plot="ST24-N-1-2"), "400", "398", number="R01", settings="air at 6")
    run(plant, received(plant, "500", plot="ST24-B-1-1"), "500", "498", number="R02")
    lot = received(plant, "300", plot=PLOT)
    page = open_as(plant.line, "/")
    page.goto(f"/line/?feed_lot={lot.number}&machine=air-screen")
    expect(page.locator("main")).to_contain_text("air at 6")
    page.fill("#field-feed", "300")
    page.keyboard.press("F2")
    page.wait_for_url("**/line/runs/R03/")
    page.fill("#field-outs-1-mass", "298")
    page.keyboard.press("F9")
    page.wait_for_selector("text=R03 is booked")
    made = Standing.objects.get(made_by__run__number="R03").lot
    page.goto(f"/lots/{made.number}/")
    assert "ran without a clean-out after R02" in page.inner_text("main")
    page.locator(".strip").wait_for()
    assert lot.number in page.inner_text(".strip")  # the parent of what came out
    page.goto(f"/lots/{lot.number}/")
    assert "0.0 kg left" in page.inner_text("main")


def test_a_blend_is_looked_at_before_it_is_made_and_wants_its_reason(open_as, plant: House) -> None:
    received(plant, "300")
    received(plant, "100", plot="ST24-N-2-1")
    page = open_as(plant.line, "/")
    page.goto("/do/blend/?parts.1.lot=24-0001-5&parts.2.lot=24-0002-8")
    page.fill("#field-place", "B-01")
    page.keyboard.press("Tab")
    expect(page.locator("#blend-ahead")).to_contain_text("75.00 %")
    assert "These are two lines" in save(page)
    page.fill("#answer-two_lines", "sold as navy beans")
    save(page, reason="one bin for the mill")
    assert kg_left(Lot.objects.order_by("pk").last()) == 400


def test_losses_and_what_the_sender_is_told_come_from_the_same_run(open_as, plant: House) -> None:
    lot = received(plant, "1000")
    run(plant, lot, "1000", "930", number="R01", taken_off={"scalpings": "40", "liftings": "26"})
    page = open_as(plant.records, "/line/losses/?to=2024-10")
    assert "4.0 kg of 1,000.0 fed are unaccounted (0.40 %)" in page.inner_text("main")
    page.goto(f"/lots/{lot.number}/statement/")
    said = page.inner_text("main")
    assert "1,000.0" in said
    assert "930.0" in said


def test_treated_seed_is_marked_for_good_and_says_its_caution(open_as, plant: House) -> None:
    received(plant, "300")
    page = open_as(plant.line, "/")
    save(page, "/do/treat/?lot=24-0001-5", product="Shieldex", dose="3 mL per kg", caution="Wear gloves.",
         reason="for sowing")  # fmt: skip
    page.goto("/lots/24-0001-5/")
    assert "Treated with Shieldex (3 mL per kg). For sowing alone: not for food" in page.inner_text("main")


def test_what_came_back_is_held_and_a_recall_names_where_the_rest_went(open_as, plant: House) -> None:
    received(plant, "300")
    page = open_as(User.objects.get(username=plant.records.username), "/")
    said = save(page, "/do/ship/?items.1.lot=24-0001-5", code="S1", recipient="A grower", items__1__mass="100")
    assert "S1" in said
    save(page, "/do/return/?shipment=S1&lot=24-0001-5", mass="20", place="B-01", reason="one bag too many")
    page.goto("/floor/holds/")
    assert "24-0001-5" in page.inner_text("main")
    page.goto("/recall/?lot=24-0001-5")
    said = page.inner_text("main")
    assert "have gone to 1 recipient" in said
    assert "100.00 % of its own seed is accounted for." in said
