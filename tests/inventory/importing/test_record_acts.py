"""Every act that is written down goes through the general door in its own words."""

import pytest

from inventory.importing.acts import ACTS, book
from inventory.models import Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db

# verb, who, words: told as one season, each act standing on those before it.
SEASON = [
    ("add class", "breeder", {"name": "pinto"}),
    ("add site", "breeder", {"code": "HF", "name": "Home field"}),
    ("add place", "records", {"code": "C-1", "name": "cold room"}),
    ("add container", "records", {"code": "SB-1", "kind": "steel bin", "tare": "42"}),
    ("check tare", "records", {"container": "SB-1", "tare": "41.8"}),
    ("add person", "records", {"name": "tom", "role": "bench"}),
    ("change role", "records", {"name": "tom", "role": "line"}),
    ("add cross", "breeder", {"code": "Q1", "female": "N-1", "male": "N-2"}),
    ("pollinate", "breeder", {"cross": "Q1", "buds": 10, "pods": 4, "seeds": 9}),
    ("add line", "breeder", {"name": "P-7", "market_class": "pinto", "cross": "Q1"}),
    ("rename", "breeder", {"line": "P-7", "to": "Marshlight"}),
    ("came from", "breeder", {"line": "B-1", "cross": "Q1"}),
    ("add plot", "breeder", {"code": "HF25-T1", "line": "N-1", "area": "14.4"}),
    ("add plant", "breeder", {"plot": "HF25-T1"}),
    ("field weight", "breeder", {"plot": "HF25-T1", "mass": "4.2"}),
    ("note stage", "breeder", {"plot": "HF25-T1", "stage": "maturity", "day": "2025-05-30"}),
    (
        "log weather",
        "bench",
        {"site": "HF", "days": [{"day": "2025-05-30", "low": "9.5", "high": "21"}]},
    ),
    ("note", "breeder", {"plot": "HF25-T1", "variable": "standing", "value": "2"}),
    ("amend note", "breeder", {"plot": "HF25-T1", "variable": "standing", "value": "3"}),
    ("moisture", "intake", {"lot": "24-0001-5", "moisture": "15.2"}),
    ("correct", "intake", {"act": "24-0001-5", "plots": ["ST24-N-1-1"], "net": "813.5", "place": "F-1"}),
    ("adjust", "records", {"lot": "24-0001-5", "mass": "-3.5"}),
    ("sample", "bench", {"lot": "24-0001-5", "mass": "2"}),
    ("test", "bench", {"lot": "24-0001-5", "mass": "0.3", "purpose": "germination"}),
    ("promise", "breeder", {"lot": "24-0001-5", "mass": "100", "recipient": "Tollhaven"}),
    ("sow", "breeder", {"lot": "24-0001-5", "plots": ["HF25-T1"], "mass": "0.3"}),
    ("ship", "intake", {"code": "S1", "recipient": "Tollhaven", "items": [{"lot": "24-0001-5", "mass": "100"}]}),
    ("feedback", "intake", {"who": "Tollhaven, grower", "said": "even stand", "shipment": "S1", "line": "N-1"}),
    ("return", "intake", {"shipment": "S1", "lot": "24-0001-5", "mass": "10", "place": "C-1"}),
    ("label", "bench", {"lots": ["24-0001-5"], "places": ["C-1"], "containers": ["SB-1"]}),
    ("lift", "breeder", {"lot": "24-0001-5"}),
    ("gs1 numbers", "records", {"prefix": "9506000", "gtin": "9506000134352"}),
    ("hold", "bench", {"lots": ["24-0001-5"]}),
    ("drill", "intake", {"ref": "24-0001-5"}),
    ("reassign", "records", {"lot": "24-0001-5", "line": "N-2"}),
    ("decide", "breeder", {"line": "N-2", "verdict": "advance", "evidence": {"t/ha": "2.3"}}),
    ("merge", "breeder", {"line": "N-2", "into": "N-1"}),
]


@pytest.fixture
def plant() -> House:
    return house()


def booked(plant, verb, who, words):
    by = getattr(plant, who)
    asked = {"reason": "as it was", "answers": {"line_differs": "as it was"}, "key": ""}
    return book(verb, words, station=plant.station, by=by, now=NOW, **asked)


def test_a_season_is_told_through_one_door(plant):
    received(plant)
    for verb, who, words in SEASON:
        assert booked(plant, verb, who, words).operations, verb
    promise = Operation.objects.get(kind="promise")
    booked(plant, "release promise", "breeder", {"act": f"#{promise.seq}"})
    assert verify(plant.station).is_whole


def test_the_season_leaves_out_no_act_that_is_offered():
    told = {verb for verb, _who, _words in SEASON} | {"release promise"}
    on_the_floor = {
        "receive", "clean", "size", "sort", "run", "bag", "tip", "move", "dry", "treat", "blend", "split",
        "late addition", "write off", "reverse", "count", "book draft", "park draft",
    }  # fmt: skip
    assert set(ACTS) - on_the_floor == told


@pytest.mark.parametrize(("verb", "who", "words"), SEASON)
def test_nobody_without_the_right_does_it(plant, verb, who, words):
    received(plant)
    with pytest.raises(Refused, match="This account may not"):
        booked(plant, verb, "stranger", words)
    assert Operation.objects.count() == 1


def test_an_act_that_is_not_there_is_said(plant):
    with pytest.raises(Refused, match="99"):
        booked(plant, "correct", "intake", {"act": "#99", "net": "1"})
