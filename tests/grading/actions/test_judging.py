"""Samples held against class cards, through the action, the command and the figure."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from grading.actions.judging import CardJudged, judge_cards
from grading.actions.measuring import (
    Coloured,
    HundredSeeds,
    Screened,
    measure_colours,
    measure_seed_weights,
    measure_sizes,
)
from grading.models import CardJudgement
from grading.queries.class_cards import result_of
from inventory.actions.acting import Booked
from inventory.actions.reversing import reverse
from inventory.importing.acts import book
from inventory.models import Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.grading.booking import command
from tests.grading.refusals import judged
from tests.grading.station import NOW, Bench, station
from tests.inventory.management.asking import ask
from tests.make import kg_left
from tests.test_refusals import flat

pytestmark = pytest.mark.django_db
LOT, DAY = "24-0016-5", "2024-10-10"
SHIPPED = Path(__file__).parents[3] / "grading" / "class_cards"


@pytest.fixture
def bench() -> Bench:
    bench = station()
    bench.lots(LOT, plot="QM24-P-1-1")
    words = {"lot": LOT, "mass": "2", "at": DAY, "number": "G01"}
    book("bench sample", words, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    return bench


def do(bench: Bench, **words: Any) -> Booked:
    asked = CardJudged(**{"sample": "G01", "looks": {"pattern": "clear"}, "at": DAY, **words})
    return judge_cards([asked], station=bench.plant.station, by=bench.plant.bench, now=NOW)


def measure(bench: Bench, act: Any, words: Any) -> None:
    act([words], station=bench.plant.station, by=bench.plant.bench, now=NOW)


def colour(bench: Bench, *lab: str, **more: str) -> None:
    words = {"illuminant": "D65", "observer": "2", "at": "2024-10-04", **more}
    measure(bench, measure_colours, Coloured(lot=LOT, lightness=lab[0], a=lab[1], b=lab[2], **words))


def weigh(bench: Bench, *readings: str, at: str = "2024-10-04") -> None:
    measure(bench, measure_seed_weights, HundredSeeds(lot=LOT, readings=readings, at=at))


def test_a_judgement_takes_no_seed_and_keeps_words_measures_and_the_card(bench: Bench) -> None:
    colour(bench, "56.0", "5.2", "14.9")
    weigh(bench, "35.0", "35.2", "35.4", "35.6")
    do(bench, looks={"Ground colour": "CREAM", "pattern": "blurred"}, grader="bench-2")
    row = CardJudgement.objects.get()
    assert row.words == {"ground_colour": "cream", "pattern": "blurred"}
    assert (row.card_id, row.edition, row.grader, row.lot.number) == ("QM-DEMO-PINTO", "1", "bench-2", LOT)
    assert row.card == json.loads((SHIPPED / "QM-DEMO-PINTO.json").read_text("utf-8"))
    assert row.measured["hundred_seeds_g"] == "35.3"
    assert row.measured["colour"]["lightness"] == "56.0"
    assert kg_left(row.lot) == 598
    assert verify(bench.plant.station).is_whole


def test_the_result_names_what_fell_short_first(bench: Bench) -> None:
    colour(bench, "48.0", "7.0", "15.0")
    weigh(bench, "39.0", "39.2", "39.4", "39.6")
    do(bench, looks={"ground_colour": "buff", "pattern": "clear", "hilum_ring": "even"})
    says = result_of(CardJudgement.objects.get()).says
    assert says == (
        "By card QM-DEMO-PINTO, edition 1, 3 of 5 fell short.",
        "Ground colour is buff; wanted is light cream or cream.",
        "Colour is 7.64 by CIEDE2000 from the card's, 3.0 is near enough: darker by 7.5, redder by 1.6.",
        "A hundred seeds weigh 39.3 g; wanted is 33.0 to 38.0 g.",
        "Pattern is clear; wanted is clear.",
        "Hilum ring is even; wanted is even or uneven.",
        "Not looked at: veining and wrinkling.",
    )


@pytest.mark.parametrize("more", [{"illuminant": "C"}, {"observer": "10"}, {"scale": "Hunter Lab"}])
def test_a_colour_read_otherwise_than_the_cards_is_not_compared(bench: Bench, more: dict[str, str]) -> None:
    colour(bench, "48.0", "7.0", "15.0", **more)
    do(bench)
    assert "colour, read like the card's" in result_of(CardJudgement.objects.get()).not_looked_at


def test_what_is_measured_later_does_not_change_a_judgement(bench: Bench) -> None:
    weigh(bench, "39.0", "39.2", "39.4", "39.6", at="2024-10-11")
    do(bench)
    assert "weight of a hundred seeds" in result_of(CardJudgement.objects.get()).not_looked_at


def test_screens_of_the_card_are_added_up(bench: Bench) -> None:
    shares = (("14", "0.4"), ("13", "5.1"), ("12", "38.6"), ("11", "42.3"), ("10", "11.9"), ("pan", "1.7"))
    measure(bench, measure_sizes, Screened(lot=LOT, screens=shares, shape="round", at="2024-10-04"))
    do(bench, card="qm-demo-navy", looks={"veining": "none"})
    met = result_of(CardJudgement.objects.get()).met
    assert "Screens 14, 13, 12 and 11 hold 86.4 %; wanted is 80.0 % or more." in met


def test_a_sample_is_taken_back_only_after_its_judgement(bench: Bench) -> None:
    operation = do(bench).operations[0]
    drawn = Operation.objects.get(kind="sample")
    again = {"station": bench.plant.station, "by": bench.plant.intake, "reason": "wrong tag", "now": NOW}
    with pytest.raises(Refused):
        reverse(drawn, **again)
    reverse(operation, **again)
    reverse(drawn, **again)
    assert verify(bench.plant.station).is_whole


def test_it_goes_through_by_its_words_and_as_one_json_object(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    assert command("judge-card", *flat(judged()), by="bench-qm")[0] == 0
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(judged())))
    assert command("judge-card", "-", by="bench-qm")[0] == 0
    first, second = CardJudgement.objects.all()
    assert first.words == second.words == {"ground_colour": "cream", "pattern": "clear"}


def test_the_same_key_is_one_effect(bench: Bench) -> None:
    for _twice in range(2):
        assert command("judge-card", *flat(judged()), by="bench-qm", key="k")[0] == 0
    assert CardJudgement.objects.count() == 1


def test_a_class_without_a_card_is_a_sentence(bench: Bench) -> None:
    plant = bench.plant
    plant.station.code = "HM"
    plant.station.save()
    with pytest.raises(Refused, match=r"HM has no class card for pinto\. Name a card: there are QM-DEMO-BLACK"):
        do(bench)


def figure(*words: str) -> Any:
    return ask("figure", "class", "card", *words, "--station", "QM", "--json").json


def test_the_figure_shows_a_cards_words_and_definitions() -> None:
    station()
    found = figure("class_name=Pinto beans")
    assert found["card"] == "QM-DEMO-PINTO"
    assert found["looked_at"][2]["definition"].startswith("The narrow ring of colour around the hilum")
    assert any("Hard to tell: A ring with one gap is even" in line for line in found["says"])
    assert any("never an official grade" in note for note in found["notes"])


def test_the_figure_shows_a_samples_result_and_its_working(bench: Bench) -> None:
    do(bench, looks={"pattern": "blurred"})
    found = figure("sample=g01")
    assert found["fell_short"] == ["Pattern is blurred; wanted is clear."]
    assert found["working"][0]["formula"] == "blurred, of clear > blurred > run together; enough: clear"
    assert found["official"] is False
    assert any("never an official grade" in note for note in found["notes"])


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "Name a sample, a market class or a card"),
        (("sample=G01",), "G01 was not held against a class card"),
        (("sample=G77",), "'G77' is not a sample"),
        (("card=QM-DEMO-PINK",), "no class card 'QM-DEMO-PINK'"),
        (("class_name=pink",), "QM has no class card for pink"),
    ],
)
def test_what_the_figure_cannot_show_is_a_sentence(bench: Bench, words: tuple[str, ...], says: str) -> None:
    answer = ask("figure", "class card", *(words or ("class_name=",)), "--station", "QM")
    assert (answer.status, answer.out) == (2, "")
    assert says in answer.err


def test_a_stations_own_card_lies_in_its_data_folder_and_faults_are_named(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(settings, "DATA_DIR", tmp_path)
    (tmp_path / "class_cards").mkdir()
    own = json.loads((SHIPPED / "QM-DEMO-PINTO.json").read_text("utf-8"))
    own |= {"id": "A-PINTO", "edition": "2", "title": "Our own"}
    (tmp_path / "class_cards" / "pinto.json").write_text(json.dumps(own), "utf-8")
    (tmp_path / "class_cards" / "broken.json").write_text("{", "utf-8")
    do(bench)
    assert CardJudgement.objects.get().card_id == "A-PINTO"
    answer = ask("figure", "class card", "card=B-PINTO", "--station", "QM")
    assert "broken.json cannot be read as JSON" in answer.err
