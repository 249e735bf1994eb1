"""The pan in a real browser: letters and weights at the speed of a keypad, taps, keys alone, what comes back."""

import json
import time
from datetime import timedelta

import pytest
from playwright.sync_api import Page

from grading.models import BenchManner, Portion
from grading.queries.shipped import shipped_text
from inventory.importing.acts import book
from tests.browser.access import faults
from tests.browser.reader import scan
from tests.grading.pages.bench import LOT, a_bench, drawn
from tests.grading.station import NOW, Bench

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.slow, pytest.mark.browser]
KEYPAD = 180  # ms a key: a trained hand without looking (common practice, no source)
PAGES = ("/bench/pan/", "/bench/pan/G01/", "/bench/samples/", "/bench/samples/G01/", "/bench/tray/",
         "/bench/tests/", "/bench/tests/seed-weight/", f"/bench/tests/of/{LOT}/", "/bench/file-samples/")  # fmt: skip


@pytest.fixture
def bench() -> Bench:
    made = a_bench()
    drawn(made)
    return made


def typed(page: Page, keys: str, delay: int = KEYPAD) -> None:
    """Type keys as a hand does; "|" is Enter."""
    for key in keys:
        page.keyboard.press("Enter" if key == "|" else key, delay=delay // 3)
        page.wait_for_timeout(delay * 2 // 3)


def line(page: Page) -> str:
    return page.inner_text("#closure")


def eight_dishes(bench: Bench) -> None:
    """The station's own limits with two dishes more, in force before a second sample is drawn."""
    document = json.loads(shipped_text("QM-DEMO"))
    document |= {"edition": "2", "in_force": {"from": "2026-04-01", "until": None}}
    document["factors"] |= {"mouldy": {"words": "mouldy"}, "insect_bored": {"words": "insect bored"}}
    station, by = bench.plant.station, bench.plant.records
    begins = {"rule_set": "QM-DEMO", "edition": "2", "begins": "2026-04-01"}
    book("draft rules", {"document": document}, station=station, by=by, now=NOW)
    book("put rules in force", begins, station=station, by=by, now=NOW, reason="eight dishes")
    usual = {"number": "G02", "lot": LOT, "mass": "2", "points": "8", "at": "2026-04-02"}
    book("bench sample", usual, station=station, by=by, now=NOW + timedelta(days=3))


def test_eight_dishes_by_letter_and_weight_take_less_than_forty_seconds(open_as, bench: Bench) -> None:
    eight_dishes(bench)
    page = open_as(bench.plant.bench, "/bench/pan/G02/")
    assert page.locator(".dish[data-letter]").count() == 8
    began = time.monotonic()
    typed(page, "500.30|s2.40|d3.10|t0.00|f0.10|c0.55|b0.20|m0.35|i0.15|")
    page.focus("#field-sound_g")
    typed(page, "493.45")
    page.keyboard.press("F2")
    page.wait_for_url("**/bench/samples/G02/")
    assert time.monotonic() - began < 40
    kept = Portion.objects.get()
    assert [kept.weights_g[dish] for dish in ("splits", "mouldy", "insect_bored")] == ["2.40", "0.35", "0.15"]
    assert kept.edition == "2"


def test_letters_go_to_their_dishes_however_quickly_they_are_typed(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    for word in ("500.30", "s2.40", "d3.10", "f0.10"):
        page.keyboard.type(word)
        page.keyboard.press("Enter")
    assert "dishes 5.60" in line(page)


def test_the_line_under_the_dishes_is_exact_while_one_types_and_the_server_says_the_same(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    typed(page, "500.30|s2.40|d3.10|f0.10|", 60)
    page.fill("#field-sound_g", "494.65")
    seen = line(page)
    assert seen == "✓ portion 500.30 = dishes 5.60 + sound 494.65 + 0.05 missing, closes"
    page.evaluate("document.getElementById('check').hidden = false")
    page.click("#check")
    page.wait_for_load_state()
    assert line(page) == seen


SUMS = (
    ("0.3", "0.1", "0.2", "✓ portion 0.3 = dishes 0.1 + sound 0.2 + 0.0 missing, closes"),
    ("500", "2", "497.5", "✓ portion 500.0 = dishes 2.0 + sound 497.5 + 0.5 missing, closes"),
    ("500", "2", "497.49", "✕ portion 500.00 = dishes 2.00 + sound 497.49 + 0.51 missing, does not close yet"),
    ("500,0", "24,0", "494,6", "✕ portion 500,0 = dishes 24,0 + sound 494,6 − 18,6 too much, does not close yet"),
)


def test_sums_are_those_of_paper(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    for portion, splits, sound, says in SUMS:
        for field, value in (("portion_g", portion), ("weights_g-splits", splits), ("sound_g", sound)):
            page.fill(f"#field-{field}", value)
        assert line(page) == says


def test_a_balance_that_types_its_unit_is_read_and_no_letter_of_it_goes_to_a_dish(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    page.focus("#field-weights_g-splits")
    scan(page, "  2.40 g")
    page.keyboard.press("Enter")
    assert page.input_value("#field-weights_g-splits").strip() == "2.40"


def test_pieces_are_counted_by_tapping_and_the_last_tap_is_taken_back_by_one_key(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    tap = page.locator("[data-letter=T] .tap")
    for _ in range(3):
        tap.click()
    assert page.input_value("#field-counts-stones") == "3"
    page.keyboard.press("F8")
    assert page.input_value("#field-counts-stones") == "2"
    assert page.inner_text("#heard").endswith("taken back")


def test_a_weight_is_taken_back_to_what_stood_before(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    typed(page, "500|s2.4|s9.9|", 60)
    assert page.input_value("#field-weights_g-splits") == "9.9"
    page.keyboard.press("F8")
    assert page.input_value("#field-weights_g-splits") == "2.4"


def test_letters_type_words_in_a_field_for_words_and_do_nothing_when_switched_off(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    page.focus("#reason")
    typed(page, "stones", 60)
    assert page.input_value("#reason") == "stones"
    BenchManner.objects.create(user=bench.plant.bench, uses_letters=False)
    page.reload()
    page.focus("#field-portion_g")
    typed(page, "s", 60)
    assert page.evaluate("document.activeElement.id") == "field-portion_g"


def test_a_pan_that_does_not_close_comes_back_by_keys_alone_and_is_closed(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    typed(page, "500.3|s24.0|d3.1|f0.1|", 60)
    page.fill("#field-sound_g", "494.7")
    page.keyboard.press("F2")
    page.wait_for_selector("#wrong")
    assert "Splits 24.0: did you mean 2.4?" in page.inner_text("#wrong")
    assert page.input_value("#field-weights_g-splits") == "24.0"
    page.focus("#wrong button")
    page.keyboard.press("Enter")
    page.wait_for_url("**/bench/samples/G01/")
    assert Portion.objects.get().weights_g["splits"] == "2.4"


def test_a_second_press_of_close_is_one_portion(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    typed(page, "500.3|s2.4|", 60)
    page.fill("#field-sound_g", "497.9")
    page.keyboard.press("F2")
    page.keyboard.press("F2")
    page.wait_for_url("**/bench/samples/G01/")
    assert Portion.objects.count() == 1


def test_a_scanned_tag_opens_the_next_pan_from_wherever_the_cursor_was(open_as, bench: Bench) -> None:
    from inventory.rules.label_codes import LabelKind, label_code  # noqa: PLC0415 - beside its only use

    second = drawn(bench, "G02")
    page = open_as(bench.plant.bench, "/bench/samples/G01/")
    scan(page, label_code(LabelKind.SAMPLE, second.pk))
    page.wait_for_url("**/bench/pan/G02/")


def test_a_pan_left_for_another_tag_comes_back_as_it_was_typed(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    typed(page, "500.3|s2.4|", 60)
    page.check("input[name='stop.odour']")
    page.goto("/bench/samples/")
    page.goto("/bench/pan/G01/")
    assert page.input_value("#field-weights_g-splits") == "2.4"
    assert page.is_checked("input[name='stop.odour']")
    assert "still here" in page.inner_text("#heard")
    page.uncheck("input[name='stop.odour']")
    page.fill("#field-sound_g", "497.9")
    page.keyboard.press("F2")
    page.wait_for_url("**/bench/samples/G01/")
    page.goto("/bench/pan/G01/")
    assert page.input_value("#field-weights_g-splits") == ""


def test_a_question_mark_says_what_counts_as_the_dish_under_the_cursor(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/pan/G01/")
    typed(page, "s?", 60)
    assert "Counts in: total defects." in page.inner_text("[data-letter=S] .meaning")
    assert page.input_value("#field-weights_g-splits") == ""


def test_a_count_is_typed_by_keys_alone_and_leads_to_its_picture(open_as, bench: Bench) -> None:
    page = open_as(bench.plant.bench, "/bench/tests/germination/")
    page.focus("#field-lot")
    typed(page, f"{LOT}|94|96|93|93|", 60)
    page.keyboard.press("F2")
    page.wait_for_url(f"**/bench/tests/of/{LOT}/")
    assert page.locator(".replicates .reading").count() == 4


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_no_page_of_the_bench_stands_in_anybodys_way(open_as, bench: Bench, *, dark: bool) -> None:
    page = open_as(bench.plant.bench, "/", dark=dark)
    assert [fault for address in PAGES for fault in faults(page, address, (320, 360, 1366), colours_alone=dark)] == []
