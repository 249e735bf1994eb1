"""The plain pages: home, scan line, lots, one lot, other things."""

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client

from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.reversing import reverse
from inventory.importing.acts import book
from inventory.models import DataMark, Lot, Operation, Plot
from tests.make import NOW, House, cleaned, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def page(client: Client, plant: House):
    client.force_login(plant.intake)

    def read(address: str, status: int = 200) -> str:
        answer = client.get(address, follow=True)
        assert answer.status_code == status, answer.content.decode()
        return answer.content.decode()

    return read


@pytest.fixture
def bagged(plant: House) -> Lot:
    lot = cleaned(plant, received(plant), "798", "741.2")
    bag_off(Bagging(lot=lot.number, count=10), station=plant.station, by=plant.intake, now=NOW)
    return lot


def h1(html: str) -> str:
    return re.sub(r"(<[^>]+>|\s)+", " ", re.search(r"<h1>(.*?)</h1>", html, re.DOTALL)[1]).strip()


def test_home_says_what_to_do_while_there_is_no_seed(page) -> None:
    assert "No lots yet. Weigh one in, load a sheet" in page("/")


@pytest.mark.parametrize("address", ["/", "/lots/", "/of/place/F-1/", "/of/line/N-1/", "/find?q=nothing"])
def test_every_page_has_the_scan_line_as_its_only_search(page, plant: House, address: str) -> None:
    received(plant)
    html = page(address, 404 if "find" in address else 200)
    assert html.count('role="search"') == 1
    assert "Scan or type: lot, bag, sample, plot, line, place</label>" in html
    assert "None" not in html


@pytest.mark.parametrize("typed", ["24-0001-5", "2400015", "24-OOO1-5", "https://seed.example/l/2400015", "24-0001-5 "])
def test_the_scan_line_opens_a_lot(client: Client, plant: House, typed: str) -> None:
    received(plant)
    client.force_login(plant.intake)
    assert client.get("/find", {"q": typed})["Location"] == "/lots/24-0001-5/"


@pytest.mark.parametrize(
    ("typed", "opens"),
    [
        ("24-0002-8/3", "/lots/24-0002-8/bags/3/"),
        ("B-01", "/of/place/B-01/"),
        ("n1", "/of/line/N-1/"),
        ("ST24-N-1-1", "/of/plot/ST24-N-1-1/"),
    ],
)
def test_the_scan_line_opens_everything_else(client: Client, plant: House, bagged: Lot, typed: str, opens: str) -> None:
    client.force_login(plant.intake)
    assert client.get("/find", {"q": typed})["Location"] == opens
    assert client.get(opens.partition("#")[0]).status_code == 200


def test_a_mistyped_number_is_answered_with_the_one_that_was_meant(page, plant: House) -> None:
    received(plant)
    html = page("/find?q=24-0010-5", 404)
    assert (
        "24-0010-5 does not check: a digit is wrong or two are swapped. Did you mean 24-0001-5 (N-1, 800.0 kg)?" in html
    )
    assert '<a class="act" href="/find?q=24-0001-5">24-0001-5</a>' in html


@pytest.mark.parametrize(
    "typed", ["", "%00", "x" * 3000, "<script>alert(1)</script>", "'; drop table", "24-9999-0", "/"]
)
def test_anything_may_be_typed_into_the_scan_line(client: Client, plant: House, typed: str) -> None:
    client.force_login(plant.intake)
    answer = client.get(f"/find?q={typed}")
    assert answer.status_code in (200, 404)
    assert "<script>alert" not in answer.content.decode()


def test_a_lot_page_says_what_is_left_and_where(page, bagged: Lot) -> None:
    html = page(f"/lots/{bagged.number}/")
    assert h1(html) == "24-0002-8 N-1 navy"
    assert "<strong>741.2 kg left</strong>" in html
    assert html.count("bag 1<") == 1
    assert ">491.2<" in html


def test_a_lot_page_lists_what_was_made_of_it(page, plant: House, bagged: Lot) -> None:
    html = page("/lots/24-0001-5/")
    assert "clean → 24-0002-8 798.0" in html
    assert '<a href="/lots/24-0002-8/">' in html


def test_a_reversed_act_is_struck_through_with_who_and_why(page, plant: House, bagged: Lot) -> None:
    reverse(Operation.objects.get(kind="bag"), station=plant.station, by=plant.intake, reason="miscounted", now=NOW)
    html = page(f"/lots/{bagged.number}/")
    assert "<s>bag #3 of" in html
    assert "taken back 1 Jun 2025 by intake-st: miscounted" in html


def test_a_hold_and_a_treatment_are_said_in_words(page, plant: House) -> None:
    lot = received(plant)
    asked = {"station": plant.station, "now": NOW}
    treating = {"lot": lot.number, "product": "Seed coat A", "dose": "3 mL per kg", "caution": "Wear gloves."}
    book("treat", treating, by=plant.line, **asked)
    book("hold", {"lots": lot.number}, by=plant.bench, reason="germination 79 %", **asked)
    html = page(f"/lots/{lot.number}/")
    assert "▬ On hold since 1 Jun 2025: germination 79 % (bench-st)." in html
    assert "◐ Treated with Seed coat A (3 mL per kg). For sowing alone: not for food, feed or canning." in html
    assert 'class="held"' in html
    assert 'class="teeth"' in html
    book("lift", {"lot": lot.number}, by=plant.breeder, reason="tested again", **asked)
    html = page(f"/lots/{lot.number}/")
    assert "On hold" not in html
    assert "bench-st: germination 79 %" in html
    assert "breeder-st: tested again" in html


def test_a_lot_page_says_what_was_said_of_it(page, plant: House) -> None:
    lot = received(plant)
    assert "What was said of it" not in page(f"/lots/{lot.number}/")
    asked = {"station": plant.station, "by": plant.intake, "now": NOW}
    words = {"who": "A packer", "said": "dull in the can\n<b>twice</b>", "lot": lot.number}
    book("feedback", words, **asked)
    html = page(f"/lots/{lot.number}/")
    assert "dull in the can<br>&lt;b&gt;twice&lt;/b&gt;" in html
    assert f"lot {lot.number}<br>" in html
    reverse(Operation.objects.get(kind="feedback"), **asked, reason="said of another lot")
    html = page(f"/lots/{lot.number}/")
    assert "<s>dull in the can" in html
    assert "taken back 1 Jun 2025 by intake-st: said of another lot" in html


def test_a_lot_that_was_taken_back_says_so(page, plant: House) -> None:
    lot = received(plant)
    reverse(Operation.objects.get(), station=plant.station, by=plant.intake, reason="wrong tag", now=NOW)
    html = page(f"/lots/{lot.number}/")
    assert "stands for nothing now" in html
    assert "None" not in html


def test_a_number_written_otherwise_leads_to_the_one_page(client: Client, plant: House) -> None:
    received(plant)
    client.force_login(plant.intake)
    assert client.get("/lots/2400015/")["Location"] == "/lots/24-0001-5/"


def test_an_unknown_lot_is_a_sentence(page) -> None:
    assert "No lot 24-0002-8 is in the books." in page("/lots/24-0002-8/", 404)


def test_a_practice_copy_says_so_on_every_page(page) -> None:
    DataMark.objects.create(is_demo=True, banner="Demo season: made-up seed.")
    assert "Demo season: made-up seed." in page("/")


def test_the_list_of_lots_costs_the_same_for_any_number_of_them(
    page, plant: House, django_assert_max_num_queries
) -> None:
    for index in range(6):
        received(plant, str(800 + 10 * index))
    with django_assert_max_num_queries(20):
        page("/lots/")


def test_a_person_without_a_role_may_read(client: Client, plant: House) -> None:
    lot = received(plant)
    client.force_login(plant.stranger)
    assert client.get(f"/lots/{lot.number}/").status_code == 200


def test_before_any_station_is_set_up_home_says_what_to_do(client: Client) -> None:
    client.force_login(User.objects.create_user("first"))
    answer = client.get("/")
    assert answer.status_code == 404
    assert "No station is set up yet. Run bin/demo" in answer.content.decode()


def test_a_lot_shows_its_generation_and_the_heterozygosity_expected_in_it(page, plant: House) -> None:
    lot = received(plant)
    html = page(f"/lots/{lot.number}/")
    assert "F6 (3.13 % of the F1’s heterozygosity expected)" in html


@pytest.mark.parametrize(
    ("moisture", "says"),
    [("16.2", "16.2 % moisture, wet basis: DRY or COOL"), ("15.8", "15.8 % moisture, wet basis</p>")],
)
def test_a_lot_shows_its_moisture_and_what_that_asks_for(page, plant: House, moisture: str, says: str) -> None:
    lot = received(plant, moisture=moisture)
    assert says in page(f"/lots/{lot.number}/")


def test_a_lot_that_was_never_metered_says_nothing_of_moisture(page, plant: House) -> None:
    assert "moisture" not in page(f"/lots/{received(plant).number}/")


def test_a_plot_is_found_by_the_end_of_its_code_within_its_trial(client: Client, plant: House) -> None:
    line = Plot.objects.get(code="ST24-N-1-1").line
    for season, code in ((2024, "HM24-T101"), (2024, "HM24-T102"), (2025, "HM25-T102")):
        site = plant.station.site_set.get()
        Plot.objects.create(station=plant.station, site=site, code=code, season=season, line=line)
    client.force_login(plant.intake)
    assert client.get("/find", {"q": "t101"})["Location"] == "/of/plot/HM24-T101/"
    several = client.get("/find", {"q": "T102"}).content.decode()
    assert several.index("HM25-T102") < several.index("HM24-T102")
