"""Tests: trays that are due, forms that ask before they book, results as sentence, picture and table."""

import re

import pytest
from django.test import Client

from grading.models import ColourReading, GerminationTray, SeedTest, SeedWeight, SizeCurve
from inventory.importing.acts import book
from inventory.queries.verifying import verify
from tests.grading.pages.bench import LOT, a_bench, text
from tests.grading.refusals import coloured, screened
from tests.grading.station import NOW, Bench

pytestmark = pytest.mark.django_db
COUNTS = {f"replicates.{place}": count for place, count in enumerate(("94", "96", "93", "93"), 1)}


@pytest.fixture
def bench(client: Client) -> Bench:
    made = a_bench()
    client.force_login(made.plant.bench)
    return made


def told(bench: Bench, verb: str, words) -> None:
    book(verb, words, station=bench.plant.station, by=bench.plant.bench, now=NOW)


def test_a_tray_is_due_on_its_day_and_gone_once_it_is_counted(client: Client, bench: Bench) -> None:
    told(bench, "set tray", {"lot": LOT, "at": "2024-11-04"})
    assert GerminationTray.objects.get().count_on.isoformat() == "2024-11-12"
    assert f"{LOT} 4 Nov 2024 ◐ due 12 Nov 2024 Count" in text(client.get("/bench/tests/"))
    assert f"The germination tray of {LOT} is due" in text(client.get("/"))
    client.post("/bench/tests/germination/", {"key": "k", "lot": LOT, **COUNTS})
    assert "No tray is laid out." in text(client.get("/bench/tests/"))
    assert verify(bench.plant.station).is_whole


def test_a_count_leads_to_its_picture(client: Client, bench: Bench) -> None:
    answer = client.post("/bench/tests/germination/", {"key": "k", "lot": LOT, "mass": "0.3", **COUNTS}, follow=True)
    said = text(answer)
    assert answer.redirect_chain == [(f"/bench/tests/of/{LOT}/", 302)]
    assert "T01: 94 %; the replicates spread over 3 points of 10 allowed." in said
    assert "9 above 85 %" in said
    assert answer.content.decode().count('class="reading"') == 4
    assert SeedTest.objects.get().drawn_mg == 300_000


def test_a_count_downloads_as_a_picture_and_a_table(client: Client, bench: Bench) -> None:
    client.post("/bench/tests/germination/", {"key": "k", "lot": LOT, **COUNTS})
    svg = client.get(f"/bench/tests/of/{LOT}/?picture=germination&format=svg&test=T01")
    assert svg.content.decode().strip().startswith("<svg")
    assert b",1,94,94,3,10" in client.get(f"/bench/tests/of/{LOT}/?picture=germination&format=csv").content
    assert client.get(f"/bench/tests/of/{LOT}/?picture=germination&format=svg&test=T99").status_code == 200


def test_a_spread_that_is_too_wide_says_to_test_again(client: Client, bench: Bench) -> None:
    wide = {f"replicates.{place}": count for place, count in enumerate(("95", "81", "92", "84"), 1)}
    said = text(client.post("/bench/tests/germination/", {"key": "k", "lot": LOT, **wide}, follow=True))
    assert "spread over 14 points and 13 are allowed: test again" in said
    assert "above 85 %" not in said
    assert LOT in text(client.get("/bench/tests/"))


@pytest.mark.parametrize(("field", "typed", "says"), [
    ("replicates.2", "94.5", "Give whole seedlings"), ("replicates.3", "101", "count again"),
    ("replicates.4", "", "has 3 replicates"), ("lot", "24-0061-5", "24-0061-5"), ("mass", "some", "some"),
    ("dead.1", "-2", "Dead"),
])  # fmt: skip
def test_what_cannot_be_is_said_and_everything_stays(client: Client, bench: Bench, field, typed, says) -> None:
    answer = client.post("/bench/tests/germination/", {"key": "k", "lot": LOT, **COUNTS, field: typed})
    assert answer.status_code == 422
    assert says in text(answer)
    assert 'value="96"' in answer.content.decode() or field == "replicates.2"
    assert not SeedTest.objects.exists()


def test_hundred_seeds_that_spread_too_wide_are_asked_about_and_kept_with_a_reason(
    client: Client, bench: Bench
) -> None:
    readings = {f"readings.{place}": grams for place, grams in enumerate(("36.0", "36.2", "38.0", "36.1"), 1)}
    answer = client.post("/bench/tests/seed-weight/", {"key": "k", "lot": LOT, **readings})
    assert answer.status_code == 422
    assert "Weigh 4 × 100 seeds again." in text(answer)
    again = {"key": "k", "lot": LOT, **readings, "answer.weigh_again": "weighed twice, mixed sizes"}
    assert client.post("/bench/tests/seed-weight/", again).status_code == 302
    assert "36.58 g, mean of 4" in text(client.get(f"/bench/tests/of/{LOT}/"))
    assert SeedWeight.objects.count() == 1


def test_a_reading_that_is_no_number_is_said_at_its_own_field(client: Client, bench: Bench) -> None:
    readings = {f"readings.{place}": grams for place, grams in enumerate(("36.0", "x", "36.4", "36.1"), 1)}
    page = client.post("/bench/tests/seed-weight/", {"key": "k", "lot": LOT, **readings}).content.decode()
    assert 'href="#field-readings-2"' in page


def flat(words, name="") -> dict[str, str]:
    """Words as a form's fields."""
    if isinstance(words, dict):
        return {
            key: each for one, value in words.items() for key, each in flat(value, f"{name}.{one}".strip(".")).items()
        }
    if isinstance(words, list | tuple):
        return {
            key: each for place, value in enumerate(words, 1) for key, each in flat(value, f"{name}.{place}").items()
        }
    return {name: str(words)}


def test_sizes_are_a_sentence_a_curve_a_table_and_files(client: Client, bench: Bench) -> None:
    answer = client.post("/bench/tests/sizes/", {"key": "k", **flat(screened())}, follow=True)
    assert SizeCurve.objects.count() == 1
    page = answer.content.decode()
    assert "No other lot of its line was sized on such screens." in page
    assert 'class="curve"' in page
    svg = client.get(f"/bench/tests/of/{LOT}/?picture=sizes&format=svg")
    assert svg.headers["Content-Type"].startswith("image/svg+xml")
    assert svg.content.decode().strip().startswith("<svg")
    assert b"screen,opening mm,passed %" in client.get(f"/bench/tests/of/{LOT}/?picture=sizes&format=csv").content


def test_the_curve_stands_on_the_band_of_the_other_lots_of_its_line(client: Client, bench: Bench) -> None:
    bench.lots("24-0017-9", plot="QM24-P-1-1")
    told(bench, "size curve", screened(lot="24-0017-9"))
    told(bench, "size curve", screened())
    page = client.get(f"/bench/tests/of/{LOT}/").content.decode()
    assert 'class="before"' in page
    assert "It lies within what the other lots of its line passed, on every screen." in page


def test_a_colour_is_a_square_beside_the_usual_one_with_the_difference_in_words(client: Client, bench: Bench) -> None:
    bench.lots("24-0017-9", plot="QM24-P-1-1")
    told(bench, "colour", coloured(lot="24-0017-9", lightness="60"))
    client.post("/bench/tests/colour/", {"key": "k", **flat(coloured(lightness="50"))})
    page = client.get(f"/bench/tests/of/{LOT}/").content.decode()
    assert ColourReading.objects.count() == 2
    assert len(re.findall(r'<rect class="rim"[^>]* fill="#[0-9a-f]{6}"', page)) == 2
    assert "style=" not in page
    assert "by CIEDE2000" in page
    assert "darker by 10.0" in page
    asked = f"/bench/tests/of/{LOT}/?picture=colour&format="
    picture = client.get(f"{asked}svg").content.decode()
    assert picture.count('class="rim"') == 2
    table = client.get(f"{asked}csv").content.decode().splitlines()
    assert table[0] == "what,on a screen"
    assert len(table) == 3


def test_a_moisture_is_entered_and_says_what_to_do(client: Client, bench: Bench) -> None:
    typed = {"key": "k", "lot": LOT, "moisture": "17.2"}
    assert client.post("/bench/tests/moisture/", typed).status_code == 302
    assert "17.2 % moisture, wet basis: " in text(client.get(f"/bench/tests/of/{LOT}/"))


def test_a_lot_without_tests_says_so_and_leads_to_each_form(client: Client, bench: Bench) -> None:
    said = text(client.get(f"/bench/tests/of/{LOT}/"))
    for words in ("no germination test", "not weighed", "no size curve", "not read"):
        assert words in said
    assert "None" not in said


def test_a_form_nobody_knows_and_a_lot_nobody_knows_are_pages_not_found(client: Client, bench: Bench) -> None:
    assert client.get("/bench/tests/crystal-ball/").status_code == 404
    assert client.get("/bench/tests/of/24-0061-5/").status_code == 404


def test_the_same_count_sent_twice_is_one_test(client: Client, bench: Bench) -> None:
    for _ in range(2):
        assert client.post("/bench/tests/germination/", {"key": "k", "lot": LOT, **COUNTS}).status_code == 302
    assert SeedTest.objects.count() == 1


def test_the_pages_ask_the_books_no_more_with_many_lots_than_with_few(
    client: Client, bench: Bench, django_assert_max_num_queries
) -> None:
    for number in ("24-0017-9", "24-0018-7", "24-0019-8", "24-0020-1"):
        bench.lots(number, plot="QM24-P-1-1")
        told(bench, "size curve", screened(lot=number))
        told(bench, "set tray", {"lot": number, "at": "2024-11-04"})
    with django_assert_max_num_queries(30):
        client.get("/bench/tests/of/24-0017-9/")
    with django_assert_max_num_queries(20):
        client.get("/bench/tests/")
