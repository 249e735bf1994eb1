"""`manage.py trace`."""

import pytest

from tests.inventory.management.asking import ask
from tests.inventory.queries.seasons import two_seasons

pytestmark = pytest.mark.django_db


def test_it_answers_in_json_with_exact_shares_as_text() -> None:
    told = two_seasons()
    answer = ask("trace", f"{told.blend.number}/7", "--json")
    assert (answer.status, answer.err) == (0, "")
    assert set(answer.json) == {"ref", "nodes", "edges", "truncated"}
    assert (answer.json["ref"], answer.json["truncated"]) == (f"{told.blend.number}/7", False)
    found = {node["id"]: node for node in answer.json["nodes"]}
    assert set(found["ST25-I1"]) == {"kind", "id", "label", "date", "kg", "share"}
    assert (found["ST25-I1"]["share"], found[told.small.number]["share"]) == ("300/517", None)
    assert set(answer.json["edges"][0]) == {"from", "to", "operation", "kg", "share"}


def test_it_goes_forward_when_asked() -> None:
    two_seasons()
    nodes = {node["id"]: node for node in ask("trace", "ST25-I1", "--forward", "--json").json["nodes"]}
    assert nodes["S1"]["kind"] == "shipment"
    assert nodes["25-0002-4"]["share"] == "31005/95128"


def test_plain_text_shows_percent_fraction_and_steps() -> None:
    told = two_seasons()
    said = ask("trace", told.blend.number).out
    assert "41.97 %  217/517  plot" in said
    assert f"{told.raw.number} → {told.big.number} by R1, 800.0 kg" in said
    assert "None" not in said


def test_every_column_has_its_heading_and_the_steps_stand_apart() -> None:
    told = two_seasons()
    lines = ask("trace", told.blend.number).out.splitlines()
    assert lines[0].split() == ["share", "exactly", "what", "day", "held", "name"]
    steps = lines[lines.index("") + 1 :]
    assert steps[0].startswith("Step by step")
    assert all("→" in step for step in steps[1:])


def test_a_thing_without_steps_has_no_heading_for_them() -> None:
    told = two_seasons()
    assert told.blend.number
    assert "Step by step" not in ask("trace", "S1", "--forward").out


def test_how_a_number_was_read_is_said_in_plain_text() -> None:
    told = two_seasons()
    assert "Read" in ask("trace", told.blend.number.replace("0", "O")).out


@pytest.mark.parametrize("ref", ["24-0010-5", "Nowhere", "24-0001-5/99", "", "2031", "\x00", "٢٤-0001"])
def test_what_is_not_known_is_a_sentence_on_stderr_and_status_2(ref: str) -> None:
    two_seasons()
    answer = ask("trace", ref, "--json")
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.strip().endswith((".", "?"))
