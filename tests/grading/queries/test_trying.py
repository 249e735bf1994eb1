"""A rule set tried on the past: which samples would read otherwise and why, and nothing stored."""

import json
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from grading.queries.trying import try_rules
from grading.queries.trying_in_words import trial_lines
from grading.rules.rule_form import read_rule_set
from inventory.importing.acts import book
from inventory.models import Operation
from tests.grading.refusals import graded
from tests.grading.ruling import draft, edition, put
from tests.grading.station import NOW, Bench, season_of_lots, season_of_samples, station
from tests.inventory.management.asking import ask

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    bench = station()
    season_of_lots(bench)
    season_of_samples(bench)
    return bench


def test_a_tighter_limit_shows_which_samples_would_change_grade_and_why(bench: Bench) -> None:
    trial = try_rules(bench.plant.station, read_rule_set(edition(total="1.50")))
    assert trial.samples == 16
    changed = {change.sample: (change.grade, change.would_be) for change in trial.changed}
    assert changed == dict.fromkeys(("G06", "G07", "G14"), ("No. 1", "No. 2"))
    [first] = [change for change in trial.changed if change.sample == "G06"]
    assert (first.held, first.would_be_held) == ((), ("total defects 1.84, limit 1.50",))
    assert (first.lot, str(first.day), first.edition) == ("24-0021-7", "2024-10-18", "1")
    assert (trial.grades["No. 1"] - trial.would_be["No. 1"], trial.unread) == (3, ())


def test_a_looser_limit_says_what_held_it_back_before(bench: Bench) -> None:
    trial = try_rules(bench.plant.station, read_rule_set(edition(total="2.40")))
    changed = {change.sample: change.held for change in trial.changed}
    assert changed == {
        "G02": ("total defects 2.35, limit 2.00",),
        "G09": ("total defects 2.34, limit 2.00",),
        "G15": ("total defects 2.38, limit 2.00",),
    }


def test_the_same_limits_change_nothing(bench: Bench) -> None:
    trial = try_rules(bench.plant.station, read_rule_set(edition()))
    assert (trial.changed, trial.grades) == ((), trial.would_be)
    assert trial_lines(trial)[1] == "0 samples would read as another grade."


def test_a_set_of_another_id_is_tried_on_every_sample_of_its_classes(bench: Bench) -> None:
    document = edition(id="QM-SEED")
    document["tables"][0]["applies_to"] = ["navy"]
    trial = try_rules(bench.plant.station, read_rule_set(document))
    assert trial.samples == 9  # the navy ones
    assert trial.rule_set == "QM-SEED"


def test_what_it_cannot_grade_is_said_with_its_reason(bench: Bench) -> None:
    document = edition()
    document["factors"]["total_defects"]["sum_of"] = ["splits", "damaged", "foreign_material"]
    for row in document["tables"][0]["grades"]:
        del row["limits"]["contrasting_classes"]
    del document["factors"]["contrasting_classes"]
    trial = try_rules(bench.plant.station, read_rule_set(document))
    assert trial.unread[0].sample == "G01"
    assert all("We know no dish of QM-DEMO 'contrasting_classes'" in each.says for each in trial.unread)
    assert len(trial.unread) == 16
    assert "16 samples it cannot grade:" in trial_lines(trial)


def test_samples_of_an_own_edition_are_held_against_that_edition(bench: Bench) -> None:
    draft(bench, edition(total="1.50"))
    put(bench, begins="2024-01-02")
    bench.lots("24-0099-1", plot="QM24-P-1-1")
    words = graded(lot="24-0099-1", weights_g={"splits": "9.0"}, sound_g="491.3")
    book("grade", words, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    trial = try_rules(bench.plant.station, read_rule_set(edition("3", total="2.00")))
    assert [(each.edition, each.grade, each.would_be) for each in trial.changed] == [("2", "No. 2", "No. 1")]


def test_trying_stores_nothing_and_asks_the_books_once(bench: Bench) -> None:
    before = Operation.objects.count()
    with CaptureQueriesContext(
        connection,
    ) as asked:
        try_rules(bench.plant.station, read_rule_set(edition(total="1.50")))
    assert len(asked) == 1
    assert Operation.objects.count() == before


def test_the_command_tries_a_file_a_draft_and_an_edition(bench: Bench, tmp_path: Path) -> None:
    file = tmp_path / "tighter.json"
    file.write_text(json.dumps(edition(total="1.50")), encoding="utf-8")
    from_file = ask("rules", "--try", str(file), "--json")
    assert from_file.status == 0
    assert [each["sample"] for each in from_file.json["changed"]] == ["G06", "G07", "G14"]
    assert from_file.json["changed"][0]["class"] == "black"
    draft(bench, edition(total="1.50"))
    assert ask("rules", "--try", "qm-demo:2", "--json").out == from_file.out
    assert ask("rules", "--try", "QM-DEMO:1").out.splitlines()[1] == "0 samples would read as another grade."
    said = ask("rules", "--try", "QM-DEMO:2").out
    assert "3 samples would read as another grade." in said
    assert "G06  24-0021-7  2024-10-18  No. 1 would be No. 2: total defects 1.84, limit 1.50" in said


@pytest.mark.parametrize(
    ("tried", "says"),
    [
        ("nowhere.json", "nowhere.json cannot be read (No such file or directory)"),
        ("QM-DEMO:9", "We know no edition of QM-DEMO '9'. Known: 1."),
        ("QM-DEMOS:1", "Did you mean QM-DEMO?"),
    ],
)
def test_what_cannot_be_tried_is_refused(bench: Bench, tried: str, says: str) -> None:
    answer = ask("rules", "--try", tried)
    assert (answer.status, answer.out) == (2, "")
    assert says in answer.err
