"""Weigh-in: what the books know beside the form, what is asked, logged one after the other."""

import re
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.http import HttpResponse
from django.test import Client

from inventory.actions.places import NewContainer, add_containers
from inventory.actions.plots import PlotWeight, weigh_plots
from inventory.models import Lot, Operation, Plot, Receipt, Sender
from inventory.queries.numbers import next_number
from inventory.queries.verifying import verify
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
PLOT = "ST24-N-1-1"
Log = Callable[..., HttpResponse]


@pytest.fixture
def plant(client: Client) -> House:
    made = house()
    bins = [
        NewContainer(code=f"SB-{number:02d}", kind="steel bin", tare="42.0", checked_on="2025-01-10")
        for number in (7, 8, 9)
    ]
    add_containers(bins, station=made.station, by=made.records, now=NOW)
    weights = [PlotWeight(plot=PLOT, mass="780", is_estimate=True)]
    weigh_plots(weights, station=made.station, by=made.breeder, now=NOW)
    client.force_login(made.intake)
    return made


@pytest.fixture
def log(client: Client, plant: House) -> Log:
    """Send the form as it is sent from the page; what is not said is as usual."""
    usual = {"plots": PLOT, "gross": "842", "containers": "SB-07", "key": "k1", "then": "again"}
    return lambda **typed: client.post("/do/receive/", {**usual, **typed}, follow=True)


def text(answer: HttpResponse) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode())).replace("&#x27;", "'")


def press(answer: HttpResponse, words: str) -> str:
    """The value of the button with these words."""
    found = re.search(rf'name="take" value="([^"]*)">{re.escape(words)}</button>', answer.content.decode())
    assert found, text(answer)
    return found[1]


def test_line_field_weight_tare_and_net_stand_beside_while_it_is_typed(client: Client, plant: House) -> None:
    Plot.objects.filter(code=PLOT).update(area_m2=Decimal(8000))
    asked = {"plots": PLOT, "gross": "  842.0 kg", "containers": "7", "moisture": "17"}
    said = text(client.get("/weigh-in/look", asked))
    assert f"{PLOT} N-1 navy, 0.80 ha" in said
    assert "The field says about 780.0 kg." in said
    assert "SB-07 steel bin 42.0 kg, checked 10 Jan 2025" in said
    assert "Net 800.0 kg ✓ as the field said" in said
    assert "☂ DRY or COOL" in said
    assert "Read '7' as SB-07." in said


def test_a_net_far_from_the_fields_is_not_called_as_the_field_said(client: Client, plant: House) -> None:
    assert "as the field said" not in text(client.get("/weigh-in/look", {"plots": PLOT, "net": "700"}))


def test_small_plots_are_said_in_square_metres(client: Client, plant: House) -> None:
    Plot.objects.filter(code=PLOT).update(area_m2=Decimal("14.4"))
    assert "N-1 navy, 14.4 m²" in text(client.get("/weigh-in/look", {"plots": PLOT}))


def test_several_bins_are_named_by_their_numbers(client: Client, plant: House) -> None:
    said = text(client.get("/weigh-in/look", {"gross": "1,966.0", "containers": "bin 7, 8, 9"}))
    assert "Net 1,840.0 kg" in said


def test_pounds_from_the_scale_are_read_as_such_and_said(client: Client, plant: House) -> None:
    said = text(client.get("/weigh-in/look", {"gross": "ST,GS,+ 1856.3 lb", "containers": "7"}))
    assert "Read 1,856.3 as pounds, as it is written: 842.004 kg." in said
    assert "Net 800.003516" in said  # 1856.3 × 0.45359237 − 42


def test_what_cannot_be_read_yet_is_said_and_nothing_breaks(client: Client, plant: House) -> None:
    asked = {"plots": "ST24-N-9-9, ", "gross": "28", "containers": "SB-07", "moisture": "wet"}
    said = text(client.get("/weigh-in/look", asked))
    assert "is not a plot we know" in said
    assert "less than the container" in said
    assert client.get("/weigh-in/look").status_code == 200


def test_a_delivery_is_logged_and_the_page_is_open_for_the_next(log: Log) -> None:
    answer = log(moisture="16.2")
    lot = Lot.objects.get()
    assert f"Logged as {lot.number}." in text(answer)
    assert f"Last five {lot.number} N-1 800.0" in text(answer)
    assert 'data-key="F4"' in answer.content.decode()


def test_the_next_number_stands_beside_the_key_and_is_what_the_lot_gets(client: Client, plant: House, log: Log) -> None:
    becomes = next_number(plant.station)
    assert f"becomes {becomes}" in text(client.get("/do/receive/"))
    log()
    assert Lot.objects.get().number == becomes
    assert next_number(plant.station) != becomes


def test_notes_of_what_was_read_otherwise_are_said_after_saving(log: Log) -> None:
    assert "Read 'bin 8' as SB-08." in text(log(containers="bin 8"))


QUESTIONS = {
    "a gross below its container": (
        {"gross": "28.0"},
        "Gross 28.0 kg is less than the container, 42.0 kg. Weigh again, or scan the right container.",
    ),
    "a moisture as a fraction": ({"moisture": "0.162"}, "0.162 % is too dry for beans. Did you mean 16.2 %?"),
    "a moisture on dry basis": (
        {"moisture": "21.1"},
        "21.1 % is high for beans coming in (15 to 18). Is it on dry basis? That would be 17.4 % wet basis.",
    ),
    "a net far from the field's": (
        {"gross": "700"}, f"This bag is 658.0 kg; plot {PLOT} weighed 780.0 kg in the field. "
        "Check the tag, or say why and go on.",
    ),
    "a bin of which there is none": ({"containers": "bin 5"}, "'bin 5' is not a container we know."),
    "a scale that moves": ({"gross": "US,GS,+842.0 kg"}, "The scale was still moving at 842.0 kg."),
}  # fmt: skip


@pytest.mark.parametrize("case", QUESTIONS)
def test_it_asks_before_it_saves(log: Log, case: str) -> None:
    typed, says = QUESTIONS[case]
    answer = log(**typed)
    assert says in text(answer)
    assert not Lot.objects.exists()


def test_pounds_are_taken_with_one_press_and_the_container_stays_what_it_is(log: Log) -> None:
    answer = log(gross="1811.5")  # lb: 821.7 kg with the bin, 779.7 without
    assert "Is this pounds?" in text(answer)
    log(gross="1811.5", take=press(answer, "It is lb: 802.6 kg"))
    receipt = Receipt.objects.get()
    assert (receipt.tare_mg, receipt.net_mg) == (42_000_000, 821_682_578 - 42_000_000)


def test_pounds_are_asked_about_even_where_seed_of_the_plot_came_before(log: Log, plant: House) -> None:
    received(plant)
    assert "Is this pounds?" in text(log(gross="1811.5"))


def test_a_further_bag_of_a_plot_is_not_held_against_all_of_its_weight(log: Log, plant: House) -> None:
    received(plant)
    assert "Logged as" in text(log(gross="142"))


def test_a_further_bag_that_is_more_than_all_of_its_plot_is_asked_about(log: Log, plant: House) -> None:
    received(plant)
    assert f"This bag is 1,258.0 kg; plot {PLOT} weighed 780.0 kg in the field." in text(log(gross="1300"))


def test_kilograms_are_kept_with_one_press(log: Log) -> None:
    answer = log(gross="1811.5")
    log(gross="1811.5", take=press(answer, "No, it is kg"))
    assert Receipt.objects.get().net_mg == 1_769_500_000


def test_a_bag_that_is_in_already_is_shown_beside_the_one_typed_now(client: Client, log: Log) -> None:
    first = log()
    number = Lot.objects.get().number
    answer = log(key="k2")
    assert f"A bag of 800.0 kg from plot {PLOT} is already in as {number}. Same bag?" in text(answer)
    assert re.search(rf"In already from the same ground .*{number} \d+ \w+ \d+, \d\d:\d\d {PLOT} 800.0", text(answer))
    assert (first.status_code, Lot.objects.count()) == (200, 1)


def test_an_error_stands_by_its_field(log: Log) -> None:
    html = log(plots="ST24-N-9-9").content.decode()
    assert 'href="#field-plots"' in html
    assert 'id="field-plots-error-1"' in html


def test_sent_twice_it_is_logged_once(log: Log, plant: House) -> None:
    log()
    assert "Logged as" in text(log())
    assert (Lot.objects.count(), Operation.objects.filter(kind="receive").count()) == (1, 1)
    assert not verify(plant.station).differences


def test_the_form_again_with_other_words_after_it_was_saved_saves_nothing(log: Log) -> None:
    log()
    answer = log(gross="843")
    assert "This page was saved already" in text(answer)
    assert Lot.objects.count() == 1


def test_what_was_typed_is_kept_when_the_session_ended(client: Client, plant: House, log: Log) -> None:
    plant.intake.set_password("beans-and-more")
    plant.intake.save()
    client.logout()
    answer = log(moisture="16.2")
    words = {"username": plant.intake.username, "password": "beans-and-more"}
    back = client.post(f"{answer.redirect_chain[-1][0]}", words, follow=True).content.decode()
    for name, value in {"plots": PLOT, "gross": "842", "containers": "SB-07", "moisture": "16.2"}.items():
        assert f'name="{name}" value="{value}"' in back
    assert not Lot.objects.exists()


def test_seed_from_outside_keeps_its_senders_number_beside_ours(client: Client, plant: House) -> None:
    page = client.get("/do/receive/", {"from": "outside"})
    assert "Weigh in seed from outside" in text(page)
    typed = {
        "sender": "A grower", "their_lot": "7781", "line": "N-1", "kind_and_variety": "bean, navy", "gross": "842",
        "containers": "7", "shipped_on": "2025-05-30", "carrier": "own truck", "key": "k1", "then": "again",
    }  # fmt: skip
    client.post("/do/receive/?from=outside", typed)
    sender = Sender.objects.get()
    assert (sender.name, sender.their_lot, sender.carrier) == ("A grower", "7781", "own truck")
    shown = text(client.get(f"/trace/{Lot.objects.get().number}/"))
    assert "A grower, their lot 7781" in shown


def test_seed_from_outside_that_lacks_the_senders_number_comes_back_on_its_own_page(
    client: Client, plant: House
) -> None:
    typed = {"sender": "A grower", "line": "N-1", "net": "80", "key": "k1"}
    answer = client.post("/do/receive/?from=outside", typed)
    assert answer.status_code == 422
    assert 'id="field-their_lot-error-1"' in answer.content.decode()


@pytest.mark.parametrize("many", [2, 12])
def test_the_page_asks_the_books_no_more_with_many_deliveries_than_with_few(
    client: Client, plant: House, django_assert_max_num_queries, many: int
) -> None:
    for _ in range(many):
        received(plant)
    with django_assert_max_num_queries(24):
        client.get("/do/receive/", {"plots": PLOT})


def test_what_came_of_the_same_ground_on_another_day_is_shown_before_it_is_logged(client: Client, plant: House) -> None:
    lot = received(plant, "640", at="2024-09-24")
    said = text(client.get("/weigh-in/look", {"plots": PLOT}))
    assert re.search(rf"In already from the same ground .*{lot.number} 24 Sep 2024, \d\d:\d\d {PLOT} 640.0", said)


def test_a_gross_is_not_called_the_net_while_its_container_is_unknown(client: Client, plant: House) -> None:
    said = text(client.get("/weigh-in/look", {"gross": "842", "containers": "crate 5"}))
    assert "'crate 5' is not a container we know." in said
    assert "Net" not in said


def test_a_wet_lot_is_said_to_be_wet_after_it_was_logged(log: Log) -> None:
    assert "reads 17.8 %: DRY or COOL" in text(log(moisture="17.8"))
    assert "DRY or COOL" not in text(log(key="k2", gross="182"))


def test_the_hint_names_containers_of_this_station(client: Client, plant: House) -> None:
    assert "such as SB-07, SB-08:" in text(client.get("/do/receive/"))
