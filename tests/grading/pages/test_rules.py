"""Rules on pages: what is in force, a draft with its faults at their places, what it would have changed."""

import json
import re
from html import unescape

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from grading.models import RulesDraft
from grading.queries.editions import edition_from
from grading.queries.shipped import shipped_rule_sets
from grading.rules.rule_set import RuleSet
from inventory.importing.acts import book
from tests.grading.refusals import graded
from tests.grading.ruling import DEMO, draft, edition
from tests.grading.station import NOW, Bench, station

pytestmark = pytest.mark.django_db
FROM = "/records/rules/draft/QM-DEMO/1/"
TOTAL = "/tables/0/grades/0/limits/total_defects"


@pytest.fixture
def bench() -> Bench:
    bench = station()
    bench.lots("24-0016-5", plot="QM24-P-1-1")
    return bench


@pytest.fixture
def desk(client: Client, bench: Bench) -> Client:
    client.force_login(bench.plant.people["records"])
    return client


def text(answer: HttpResponse) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_the_list_says_which_is_in_force_and_which_is_unverified(desk: Client) -> None:
    shown = text(desk.get("/records/rules/"))
    assert "CA-BEANS" in shown
    assert "unverified: used only where it is named" in shown
    assert "No draft. Open an edition" in shown


@pytest.mark.parametrize("found", shipped_rule_sets(), ids=lambda found: found.id)
def test_every_edition_has_a_page_and_can_be_drafted_from_and_tried(desk: Client, found: RuleSet) -> None:
    for address in ("rules-edition", "rules-draft", "rules-tried"):
        answer = desk.get(reverse(address, args=[found.id, found.edition]))
        assert answer.status_code == 200
        assert "None" not in text(answer)


@pytest.mark.parametrize("found", shipped_rule_sets(), ids=lambda found: found.id)
def test_an_edition_drafted_as_it_stands_under_another_name_is_the_same_rules(desk: Client, found: RuleSet) -> None:
    address = reverse("rules-draft", args=[found.id, found.edition])
    html = desk.get(address).content.decode()
    typed = {name: unescape(value) for name, value in re.findall(r'name="(/tables/[^"]+)" value="([^"]*)"', html)}
    assert typed
    answer = desk.post(address, {**typed, "edition": "next"})
    assert answer.status_code == 302, text(answer)
    draft = edition_from(RulesDraft.objects.get().text)
    assert (draft.edition, draft.tables) == ("next", found.tables)


def test_limits_are_changed_in_the_table_and_kept_as_they_are_written(desk: Client) -> None:
    answer = desk.post(FROM, {"edition": "2", TOTAL: "1.5"}, follow=True)
    assert "The draft is kept. It grades nothing until it is put in force." in text(answer)
    kept = json.loads(RulesDraft.objects.get().text)
    assert kept["tables"][0]["grades"][0]["limits"]["total_defects"] == "1.5"
    assert kept["tables"][0]["grades"][1] == json.loads(DEMO)["tables"][0]["grades"][1]


def test_a_limit_that_is_emptied_is_gone(desk: Client) -> None:
    desk.post(FROM, {"edition": "2", **{f"/tables/0/grades/{n}/limits/stones": "" for n in range(3)}})
    assert "stones" not in json.loads(RulesDraft.objects.get().text)["tables"][0]["grades"][0]["limits"]


def test_a_fault_stands_at_its_limit(desk: Client) -> None:
    answer = desk.post(FROM, {"edition": "2", TOTAL: "two"})
    assert answer.status_code == 422
    html = answer.content.decode()
    assert f'href="#{TOTAL}"' in html
    assert re.search(rf'id="{TOTAL}"[^>]*value="two"[^>]*aria-invalid', html)
    assert not RulesDraft.objects.exists()


def test_an_edition_that_is_in_use_is_not_written_over(desk: Client) -> None:
    answer = desk.post(FROM, {TOTAL: "1.50"})
    assert answer.status_code == 422
    assert "is in use already" in text(answer)


@pytest.mark.parametrize("sent", ["", "{", "[]", "7", "{}", '{"id": 3}', "[" * 5000, '{"tables": [3, {"grades": 4}]}'])
def test_text_that_is_no_rule_set_comes_back_with_its_faults(desk: Client, sent: str) -> None:
    answer = desk.post(FROM, {"text": sent})
    assert answer.status_code == 422
    assert "Nothing was kept yet" in text(answer)


def test_a_draft_says_which_samples_would_change_and_why(desk: Client, bench: Bench) -> None:
    words = graded(weights_g={"splits": "9.0"}, sound_g="491.3")  # 1.80 %
    book("grade", words, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    draft(bench, edition(total="1.50"))
    shown = text(desk.get("/records/rules/tried/QM-DEMO/2/"))
    assert "1 of 1 samples would read as another grade." in shown
    assert "G01" in shown
    assert "total defects 1.80, limit 1.50" in shown


def test_a_draft_is_put_in_force_and_withdrawn_by_their_acts(desk: Client, bench: Bench) -> None:
    draft(bench, edition())
    html = desk.get("/records/rules/draft/QM-DEMO/2/").content.decode()
    link = re.search(r'href="(/do/put-rules-in-force/[^"]+)"', html)
    assert link
    page = desk.get(link[1].replace("&amp;", "&")).content.decode()
    assert 'name="rule_set" value="QM-DEMO"' in page
    sent = {"rule_set": "QM-DEMO", "edition": "2", "begins": "2025-01-01", "reason": "decided", "key": "k1"}
    assert desk.post("/do/put-rules-in-force/", sent).status_code == 302
    assert "put in force here" in text(desk.get("/records/rules/"))
    sent = {"rule_set": "QM-DEMO", "edition": "2", "ends": "2025-03-01", "reason": "wrong", "key": "k2"}
    assert desk.post("/do/withdraw-rules/", sent).status_code == 302


def test_a_draft_is_thrown_away(desk: Client, bench: Bench) -> None:
    draft(bench, edition())
    assert "was thrown away" in text(desk.post("/records/rules/draft/QM-DEMO/2/discard", follow=True))
    assert "No draft" in text(desk.post("/records/rules/draft/QM-DEMO/2/discard", follow=True))


def test_whoever_may_not_draft_reads_only(client: Client, bench: Bench) -> None:
    client.force_login(bench.plant.people["intake"])
    assert "Bench and records draft rules" in text(client.get(FROM))
    assert client.post(FROM, {"edition": "2", TOTAL: "1.5"}).status_code == 422
    assert not RulesDraft.objects.exists()


def test_what_there_is_not_is_a_page_that_says_so(desk: Client) -> None:
    for address in ("of", "draft", "tried"):
        assert desk.get(f"/records/rules/{address}/QM-DEMO/99/").status_code == 404


def test_a_draft_is_offered_the_next_edition_and_keeps_its_own(desk: Client) -> None:
    page = desk.get("/records/rules/draft/CA-BEANS/2025-07-25/").content.decode()
    assert 'id="/edition" name="edition" value=""' in page
    text = page[page.index("<textarea class=") :]
    assert "2025-07-25" in text
