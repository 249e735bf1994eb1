"""`manage.py stock` and `manage.py recall`."""

import pytest

from inventory.queries.verifying import verify
from tests.inventory.management.asking import ask
from tests.inventory.queries.seasons import two_seasons

pytestmark = pytest.mark.django_db


def test_stock_answers_in_json_with_exact_kilograms_as_text() -> None:
    told = two_seasons()
    rows = {row["lot"]: row for row in ask("stock", "--line", "n-1", "--json").json}
    assert set(rows[told.blend.number]) == {
        "lot", "line", "class", "place", "kg", "bags", "promised_kg", "hold", "last_grade", "last_germination",
    }  # fmt: skip
    assert (rows[told.blend.number]["kg"], rows[told.blend.number]["bags"]) == ("983.5", 39)
    assert ask("stock", "--class", "black", "--json").json == []


def test_stock_in_plain_text_sums_up_and_prints_no_none() -> None:
    told = two_seasons()
    said = ask("stock").out
    assert told.blend.number in said
    assert said.strip().endswith("kg in 4 lots.")
    assert "None" not in said
    assert ask("stock", "--place", "B-01").out.strip() == "0.0 kg in 0 lots."


def test_stock_of_an_unknown_line_says_which_was_probably_meant() -> None:
    two_seasons()
    answer = ask("stock", "--line", "N-11")
    assert (answer.status, answer.out) == (2, "")
    assert "Did you mean N-1" in answer.err


def test_recall_names_who_got_it_and_how_much_is_found() -> None:
    told = two_seasons()
    answer = ask("recall", told.raw.number, "--json")
    assert answer.status == 0
    assert answer.json["shipments"] == [{"shipment": "S1", "recipient": "A grower", "date": "2025-05-28", "kg": "50.0"}]
    assert (answer.json["accounted_pct"], answer.json["in_store_kg"]) == ("100.00", "1196.5")
    said = ask("recall", told.raw.number).out
    assert "Shipped S1 to A grower, 50.0 kg, 2025-05-28" in said
    assert "Accounted for: 100.00 %." in said
    assert ask("recall", "nothing").status == 2


def test_a_drill_is_kept_with_its_day_who_and_why_and_moves_nothing() -> None:
    told = two_seasons()
    before = ask("stock", "--json").json
    answer = ask("recall", told.raw.number, "--keep", "--by", "intake-st", "--reason", "yearly drill", "--json")
    assert (answer.status, answer.json["accounted_pct"]) == (0, "100.00")
    ask("recall", told.blend.number, "--keep", "--by", "breeder-st", "--reason", "again")
    newest, first = ask("recall", "--kept", "--json").json
    assert (newest["ref"], first["ref"], first["by"], first["reason"]) == (
        told.blend.number, told.raw.number, "intake-st", "yearly drill",
    )  # fmt: skip
    assert (first["in_store_kg"], first["gone_kg"], first["shipments"]) == ("1196.5", "50.0", 1)
    assert "100.00 % accounted for; 1196.5 kg in store" in ask("recall", "--kept").out
    assert ask("stock", "--json").json == before
    assert verify(told.plant.station).is_whole


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--by", "intake-st"), "Write why: a recall drill is kept with its reason."),
        (("--reason", "yearly"), "Nobody is named."),
        (("--by", "line-st", "--reason", "yearly"), "line may not keep a recall drill"),
    ],
)
def test_a_drill_without_who_why_or_the_right_is_not_kept(words: tuple[str, ...], says: str) -> None:
    told = two_seasons()
    answer = ask("recall", told.raw.number, "--keep", *words)
    assert (answer.status, answer.out) == (2, "")
    assert says in answer.err
    assert ask("recall", "--kept").out == "No drill was kept yet.\n"


def test_recall_says_shared_masses_to_the_gram_and_keeps_all_of_it_in_json() -> None:
    told = two_seasons()
    said = ask("recall", told.raw.number).out
    parts = next(line for line in said.splitlines() if line.startswith("Its own seed")).rstrip(".").split(": ")[1]
    decimals = [part.rsplit(" ", 1)[1].partition(".")[2] for part in parts.split(", ")]
    assert max(map(len, decimals)) <= 3
    exact = ask("recall", told.raw.number, "--json").json["ended_kg"].values()
    assert max(len(kg.partition(".")[2]) for kg in exact) > 3
