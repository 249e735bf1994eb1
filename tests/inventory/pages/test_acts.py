"""The page of any act: filled in, asked back, saved once, taken back; nothing typed is lost."""

import re
from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client

from inventory.importing.acts import all_acts
from inventory.models import Lot, Operation, Preference, Stock
from inventory.pages.act_titles import GROUPS
from tests.make import House, house, received

pytestmark = pytest.mark.django_db
MOVE = {"lot": "24-0001-5", "to": "A-01", "key": "k1"}
Send = Callable[..., HttpResponse]


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def send(client: Client, plant: House) -> Send:
    client.force_login(plant.people["records"])
    return lambda verb, **typed: client.post(f"/do/{verb}/", typed)


def text(answer: HttpResponse) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def where(lot: Lot) -> dict[str, int]:
    return dict(Stock.objects.filter(lot=lot, mg__gt=0).values_list("place__code", "mg"))


def value(answer: HttpResponse, name: str) -> str:
    found = re.search(rf'name="{re.escape(name)}" value="([^"]*)"', answer.content.decode())
    assert found, name
    return found[1]


@pytest.mark.parametrize("verb", sorted(all_acts()))
def test_every_act_has_a_page_with_its_fields(client: Client, plant: House, verb: str) -> None:
    client.force_login(plant.people["records"])
    answer = client.get(f"/do/{verb.replace(' ', '-')}/")
    assert answer.status_code == 200
    assert "None" not in text(answer)
    assert value(answer, "key")


def test_an_act_is_done_and_its_page_shows_it_with_the_way_back(send: Send, client: Client, plant: House) -> None:
    lot = received(plant)
    answer = send("move", **MOVE)
    assert answer.status_code == 302
    shown = client.get(answer["Location"])
    assert "move #2" in text(shown)
    assert where(lot) == {"A-01": 800_000_000}
    send("reverse", act="#2", reason="wrong bay", key="k2")
    assert where(lot) == {"F-1": 800_000_000}
    assert "Taken back by records-st: wrong bay" in text(client.get(answer["Location"]))


def test_what_is_wrong_comes_back_with_everything_that_was_typed(send: Send, plant: House) -> None:
    received(plant)
    answer = send("move", lot="24-0001-5", to="Z-99", reason="tidying", key="k1")
    assert answer.status_code == 422
    assert "Nothing was saved yet" in text(answer)
    assert (value(answer, "lot"), value(answer, "to"), value(answer, "reason")) == ("24-0001-5", "Z-99", "tidying")
    assert 'href="#field-to"' in answer.content.decode()
    assert Operation.objects.count() == 1


def test_a_question_is_answered_with_a_reason(send: Send, plant: House) -> None:
    received(plant)
    again = {"plots": "ST24-N-1-1", "net": "800", "at": "2024-09-24", "key": "k1"}
    answer = send("receive", **again)
    assert (answer.status_code, Lot.objects.count()) == (422, 1)
    asked = re.findall(r'name="(answer\.\w+)"', answer.content.decode())
    assert asked
    answer = send("receive", **again, **dict.fromkeys(asked, "a second trailer"))
    assert (answer.status_code, Lot.objects.count()) == (302, 2)


def test_a_proposal_is_taken_with_one_press(send: Send, plant: House) -> None:
    answer = send("receive", plots="ST24-N-1-1", net="800", moisture="0.162", at="2024-09-24", key="k1")
    assert "Did you mean 16.2 %?" in text(answer)
    answer = send(
        "receive", plots="ST24-N-1-1", net="800", moisture="0.162", at="2024-09-24", key="k1", take="moisture=16.2"
    )  # fmt: skip
    assert answer.status_code == 302


def test_a_form_sent_twice_is_saved_once(send: Send, plant: House) -> None:
    received(plant)
    first, second = send("move", **MOVE), send("move", **MOVE)
    assert first["Location"] == second["Location"]
    assert Operation.objects.filter(kind="move").count() == 1


def test_a_form_that_was_saved_and_changed_says_so(send: Send, plant: House) -> None:
    received(plant)
    send("move", **MOVE)
    answer = send("move", **{**MOVE, "to": "B-01"})
    assert answer.status_code == 422
    assert "This page was saved already: move #2" in text(answer)


def test_blank_rows_are_closed_up_and_one_more_can_be_had(send: Send, plant: House) -> None:
    received(plant, plot="ST24-N-1-1")
    received(plant, plot="ST24-N-1-2")
    rows = {"parts.1.lot": "24-0001-5", "parts.2.lot": "", "parts.3.lot": "24-0002-8"}
    more = send("blend", **rows, more="parts", key="k1")
    assert value(more, "parts.4.lot") == ""
    answer = send("blend", **rows, place="A-01", reason="one bin", key="k1")
    assert answer.status_code == 302


def test_a_mapping_is_typed_line_by_line(send: Send, plant: House) -> None:
    received(plant)
    typed = {"number": "R14", "feed_lot": "24-0001-5", "machines": "air-screen", "feed": "800", "outs.1.mass": "760"}
    answer = send("clean", **typed, taken_off="scalpings=10\nthroughs = 28", key="k1", is_cleaned_out="yes")
    assert answer.status_code == 302, text(answer)
    assert Operation.objects.filter(kind="clean").exists()


def test_what_was_typed_is_carried_over_the_sign_in(client: Client, plant: House) -> None:
    received(plant)
    person = User.objects.get(username="records-st")
    person.set_password("beans-and-more")
    person.save()
    answer = client.post("/do/move/", MOVE)
    assert answer["Location"].startswith("/sign-in/?next=/do/move/")
    answer = client.post(answer["Location"], {"username": "records-st", "password": "beans-and-more"})
    assert answer["Location"] == "/do/move/"
    back = client.get("/do/move/")
    assert (value(back, "lot"), value(back, "to")) == ("24-0001-5", "A-01")
    assert value(client.get("/do/move/"), "lot") == ""
    assert Operation.objects.count() == 1


def test_somebody_without_the_right_is_told_who_has_it(client: Client, plant: House) -> None:
    received(plant)
    client.force_login(plant.people["bench"])
    assert "bench may not move seed" in text(client.post("/do/move/", MOVE))


def test_a_person_who_works_in_pounds_types_and_reads_pounds(client: Client, plant: House) -> None:
    person = plant.people["records"]
    client.force_login(person)
    assert client.post("/preferences/", {"unit": "lb", "language": "fr"}).status_code == 302
    assert Preference.objects.get(user=person).unit == "lb"
    assert value(client.get("/do/receive/"), "unit") == "lb"
    assert client.post("/preferences/", {"unit": "stone", "language": "en"}).status_code == 422


@pytest.mark.parametrize("address", ["/do/fly/", "/booked/99/", "/area/moon/"])
def test_what_there_is_not_is_a_page_that_says_so(client: Client, plant: House, address: str) -> None:
    client.force_login(plant.intake)
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("name", ["floor", "bench", "breeding"])
def test_each_area_lists_its_pages_and_each_of_them_opens(client: Client, plant: House, name: str) -> None:
    client.force_login(plant.intake)
    html = client.get(f"/area/{name}/").content.decode()
    links = re.findall(r'<a class="act" href="([^"]+)"', html)
    assert links
    assert [client.get(link).status_code for link in links] == [200] * len(links)


def test_the_page_of_a_rename_says_both_names_and_leads_on(send: Send, client: Client, plant: House) -> None:
    answer = send("rename", line="N-1", to="Nightjar", reason="it was released", key="r1")
    shown = client.get(answer["Location"])
    assert "N-1 is called Nightjar from now on; the old name still finds it." in text(shown)
    assert "/find?q=Nightjar" in shown.content.decode()


def test_the_page_of_a_new_person_leads_to_the_first_password(send: Send, client: Client, plant: House) -> None:
    shown = client.get(send("add-person", name="wren", role="bench", key="p1")["Location"])
    assert "wren may work as bench, once a first password was given on the page of people." in text(shown)
    assert 'href="/records/people/"' in shown.content.decode()


def test_the_page_of_a_bagging_says_what_is_still_loose(send: Send, client: Client, plant: House) -> None:
    received(plant, "610")
    shown = client.get(send("bag", lot="24-0001-5", count="24", key="b1", unit="kg")["Location"])
    assert "Of 24-0001-5 10.0 kg are still loose." in text(shown)


def test_the_list_of_changes_names_the_lots_of_each_act(send: Send, client: Client, plant: House) -> None:
    received(plant)
    send("move", **MOVE)
    assert re.search(r"move #2 of \S+ 24-0001-5", text(client.get("/changes/?since=2020-01-01")))


@pytest.mark.parametrize("verb", sorted(all_acts()))
def test_no_act_of_ours_is_called_by_its_inner_name(verb: str) -> None:
    assert verb in {known for _group, titles in GROUPS for known in titles}, "give it words in act_titles.py"


def test_all_acts_stand_in_groups_in_words(client: Client, plant: House) -> None:
    client.force_login(plant.intake)
    said = text(client.get("/do/"))
    assert said.index("The plant") < said.index("Add a late tote to a run") < said.index("The bench")
    assert "More" not in said


def test_a_why_that_is_needed_is_asked_for_as_such(client: Client, plant: House) -> None:
    client.force_login(plant.people["records"])
    needed, other = client.get("/do/rename/").content.decode(), client.get("/do/move/").content.decode()
    assert 'name="reason" value="" maxlength="500" autocomplete="off" aria-required="true"' in needed
    assert "Why, where it is worth knowing" in other
    assert "Write why" in text(client.post("/do/rename/", {"line": "N-1", "to": "Nightjar", "key": "w"}))


def test_the_form_of_a_new_person_names_the_roles(client: Client, plant: House) -> None:
    client.force_login(plant.people["records"])
    assert "intake, line, bench, breeder or records" in text(client.get("/do/add-person/"))
