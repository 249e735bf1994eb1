"""One lot's page: what it will do for, its acts, its boxes, its strip, its pictures as files."""

import re
from decimal import Decimal
from xml.dom import minidom

import pytest
from django.test import Client

from hilum.plugins import Curve, Judged, Panel, Replicates, Swatch, Use
from inventory.actions.bagging import Bagging, bag_off
from inventory.importing.acts import book
from inventory.models import Lot
from inventory.pages import one_lot
from tests.make import NOW, House, cleaned, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def page(client: Client, plant: House):
    client.force_login(plant.intake)

    def read(address: str, status: int = 200) -> str:
        answer = client.get(address)
        assert answer.status_code == status, answer.content.decode()
        return re.sub(r"\s+", " ", answer.content.decode())

    return read


@pytest.fixture
def clean(plant: House) -> Lot:
    return cleaned(plant, received(plant), "798", "741.2")


def plain(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", html))


class Boxes:
    """A host whose one plugin shows these boxes."""

    def __init__(self, *panels: Panel) -> None:
        self.panels = panels

    def lot_panels(self, _number: str, _station: str, _person: str) -> tuple[Panel, ...]:
        return self.panels


def judged(**more: object) -> Judged:
    return Judged(**{"name": "stones", "reading": Decimal("0.62"), "limit": Decimal("0.50"), "shown": "0.62 %", **more})


def sieved(before_words: str) -> Curve:
    points = ((Decimal(4), Decimal(0)), (Decimal(6), Decimal(100)))
    return Curve("L", "screen [mm]", "passed [%]", points, ((Decimal(4), Decimal(0), Decimal(5)),), before_words)


def boxed(monkeypatch: pytest.MonkeyPatch, *panels: Panel) -> None:
    monkeypatch.setattr(one_lot, "the_host", lambda: Boxes(*panels))


def test_it_says_what_the_lot_will_do_for_and_why_not(page, plant: House, clean: Lot, monkeypatch) -> None:
    boxed(monkeypatch, Panel("Germination", (), uses=(Use("sowing", "no", "germination 79 % is under 85 %"),)))
    words = plain(page(f"/lots/{clean.number}/"))
    assert "sowing: ✕ no, germination 79 % is under 85 %" in words
    assert "ship: ✓ yes" in words
    assert "can: no result" in words
    book("hold", {"lots": clean.number}, by=plant.bench, reason="weevils", station=plant.station, now=NOW)
    assert "ship: ✕ no, on hold: weevils" in plain(page(f"/lots/{clean.number}/"))


def test_its_acts_are_filled_with_the_lot_and_those_of_others_come_last(page, clean: Lot) -> None:
    html = page(f"/lots/{clean.number}/")
    assert f'<a class="do" href="/do/move/?lot={clean.number}">Move</a>' in html
    assert f'<a class="do others" href="/do/blend/?parts={clean.number}">Blend</a>' in html
    assert html.index(">Ship</a>") < html.index(">Blend</a>")
    assert f'value="{clean.number}"' in page(f"/do/move/?lot={clean.number}")


def test_a_lot_without_seed_has_no_acts(page, plant: House) -> None:
    lot = received(plant)
    shipping = {"code": "S1", "recipient": "a shed", "items": {"1": {"lot": lot.number}}}
    book("ship", shipping, by=plant.intake, station=plant.station, now=NOW, answers={"not_sampled": "test"})
    html = page(f"/lots/{lot.number}/")
    assert 'class="acts-of"' not in html
    assert "ship: ✕ no, nothing is left" in plain(html)


def test_judged_numbers_stand_on_posts_with_words_and_marks(page, clean: Lot, monkeypatch) -> None:
    boxed(monkeypatch, Panel("Grade", (("Rule set", "X"),), says="No. 2.", posts=(judged(words="over No. 1 by 0.12"),)))
    html = page(f"/lots/{clean.number}/")
    assert "✕ over No. 1 by 0.12" in plain(html)
    assert "<p>No. 2.</p>" in html
    assert "<summary>All that was found</summary>" in html


def test_replicates_a_curve_and_colours_are_drawn_with_their_words(page, clean: Lot, monkeypatch) -> None:
    curve = sieved("2 earlier lots")
    dots = Replicates("germination", (Decimal(89), Decimal(91)), Decimal(90), "%", Decimal(11), Decimal(85))
    boxed(
        monkeypatch,
        Panel("Germination", (), posts=(judged(),), replicates=dots),
        Panel("Size", (), says="Half passes 5 mm.", curve=curve, swatches=(Swatch("this lot", "#836e59"),)),
    )
    html = page(f"/lots/{clean.number}/")
    assert (
        "2 replicates, mean 90 %; the bracket is the spread that is allowed, 11; the post is the threshold: 89, 91."
        in plain(html)
    )
    assert html.count('class="reading"') == 4
    assert 'fill="#836e59"' in html
    assert "Grey: 2 earlier lots, from least to most." in plain(html)
    assert "style=" not in html


def test_what_a_plugin_says_is_shown_as_text(page, clean: Lot, monkeypatch) -> None:
    boxed(monkeypatch, Panel("<b>Grade</b>", (), says="<script>1</script>", posts=(judged(name="<i>"),)))
    html = page(f"/lots/{clean.number}/")
    assert "<script>1" not in html
    assert "<i>" not in html


def test_a_piece_that_takes_longer_is_loaded_after_the_page_and_is_a_link_without_script(
    page, clean, monkeypatch
) -> None:
    boxed(monkeypatch, Panel("Like its line?", (), later="/bench/looks/1/"))
    assert 'hx-get="/bench/looks/1/" hx-trigger="load" hx-target="this"' in page(f"/lots/{clean.number}/")


def test_the_strip_goes_from_the_line_over_the_plot_to_what_was_made_of_it(client: Client, page, clean: Lot) -> None:
    def piece(address: str) -> str:
        return client.get(address, headers={"HX-Request": "true"}).content.decode()

    words = plain(piece(f"/lots/{clean.number}/descent"))
    assert "From N-1 → ST24-N-1-1 → 24-0001-5 → this" in words
    assert "100.0 %" in words
    assert "this → 24-0002-8" in plain(piece("/lots/24-0001-5/descent"))


def test_a_blend_says_of_what_it_was_made_before_its_longest_road(
    client: Client, page, plant: House, clean: Lot
) -> None:
    other = received(plant, "300", "ST24-N-1-2")
    parts = [{"lot": clean.number, "loose": "100"}, {"lot": other.number}]
    made = book("blend", {"parts": parts, "place": "A-01"}, by=plant.line, station=plant.station, now=NOW).lots[0]
    words = plain(client.get(f"/lots/{made.number}/descent", headers={"HX-Request": "true"}).content.decode())
    assert f"Made of {other.number} 75.0 %, {clean.number} 25.0 %. The road of the greatest share:" in words


def test_the_newest_act_comes_first_and_f8_leads_to_it(page, plant: House, clean: Lot) -> None:
    bag_off(Bagging(lot=clean.number, count=10), station=plant.station, by=plant.intake, now=NOW)
    html = page(f"/lots/{clean.number}/")
    assert html.index("bag #3 of") < html.index("clean R1 of")
    assert 'data-key="F8" href="/booked/3/?take=back"' in html
    assert "autofocus" in page("/booked/3/?take=back")


def test_an_act_says_where_its_numbers_come_from(page, clean: Lot) -> None:
    words = plain(page("/booked/1/"))
    assert "Where its numbers come from" in words
    assert "Net800" in words
    assert "PlotsST24-N-1-1" in words
    assert "happened 24 Sep 2024" in words


@pytest.mark.parametrize(("ending", "kind"), [("svg", "image/svg+xml"), ("csv", "text/csv")])
def test_the_ribbon_is_a_page_and_a_file(client: Client, plant: House, clean: Lot, ending: str, kind: str) -> None:
    client.force_login(plant.intake)
    answer = client.get(f"/lots/24-0001-5/pictures/kilos/?format={ending}")
    assert answer["Content-Type"] == f"{kind}; charset=utf-8"
    assert f'filename="kilos-of-24-0001-5.{ending}"' in answer["Content-Disposition"]
    assert "798.0" in answer.content.decode()
    assert client.get("/lots/24-0001-5/pictures/kilos/").status_code == 200


def test_every_picture_of_a_box_is_well_formed_xml_and_a_table(
    client: Client, plant: House, clean, monkeypatch
) -> None:
    curve = sieved("2 & more")
    boxed(monkeypatch, Panel("Grade", (), posts=(judged(words="a < b & c"),)), Panel("Size", (), curve=curve))
    client.force_login(plant.intake)
    for name in ("grade", "size", "kilos"):
        text = client.get(f"/lots/{clean.number}/pictures/{name}/?format=svg").content.decode()
        assert minidom.parseString(text).documentElement.tagName == "svg"  # noqa: S318 - our own drawing
        assert "," in client.get(f"/lots/{clean.number}/pictures/{name}/?format=csv").content.decode()


def test_a_picture_that_a_lot_has_not_is_a_sentence(page, clean: Lot) -> None:
    assert f"{clean.number} has no such picture." in page(f"/lots/{clean.number}/pictures/nothing/", 404)


@pytest.mark.parametrize("forward", ["", "?forward=yes"])
def test_a_trace_is_drawn_with_its_sentence_and_its_list(page, plant: House, clean: Lot, forward: str) -> None:
    html = page(f"/trace/24-0001-5/{forward}")
    words = plain(html)
    assert ("24-0001-5 led to 1 lot." if forward else "24-0001-5 goes back to 1 line and 1 plot.") in words
    assert 'class="node this"' in html
    assert page(f"/trace/24-0001-5/?format=csv{forward.replace('?', '&')}").startswith("What,Kind,Day,kg,Share")


def test_a_bag_is_traced_from_its_lots_page_in_one_step(page, plant: House, clean: Lot) -> None:
    bag_off(Bagging(lot=clean.number, count=10), station=plant.station, by=plant.intake, now=NOW)
    assert f'href="/trace/{clean.number}/3/"' in page(f"/lots/{clean.number}/")
    assert "goes back to 1 line, 1 plot and 2 lots" in page(f"/trace/{clean.number}/3/")


def test_the_strip_without_script_is_the_drawing(client: Client, plant: House, clean: Lot) -> None:
    client.force_login(plant.intake)
    assert client.get(f"/lots/{clean.number}/descent")["Location"] == f"/trace/{clean.number}/"


def test_tracing_what_is_unknown_is_a_sentence(page) -> None:
    assert "24-0009" in page("/trace/24-0009-0/", 404)


def test_the_page_keeps_within_its_queries(
    client: Client, plant: House, clean: Lot, django_assert_max_num_queries
) -> None:
    bag_off(Bagging(lot=clean.number, count=20), station=plant.station, by=plant.intake, now=NOW)
    client.force_login(plant.intake)
    client.get(f"/lots/{clean.number}/")
    with django_assert_max_num_queries(30):
        client.get(f"/lots/{clean.number}/")
