"""`manage.py origin` and `manage.py crossings`."""

import pytest

from inventory.actions.crosses import NewCross, Pollinated, add_crosses, log_pollinations
from inventory.actions.lines import rename_line
from tests.inventory.management.asking import ask
from tests.inventory.queries.seasons import two_seasons
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db


def crossed() -> House:
    plant = house()
    rows = [NewCross(code="BC0", female="N-1", male="B-1"), NewCross(code="BC1", female="N-1", male="BC0")]
    add_crosses(rows, station=plant.station, by=plant.breeder, now=NOW)
    log = [Pollinated(cross="BC0", buds=29, pods=1, seeds=3, at="2025-05-02")]
    log_pollinations(log, station=plant.station, by=plant.breeder, now=NOW)
    return plant


def test_a_line_is_told_with_its_pedigree_and_its_generation_book_in_exact_shares() -> None:
    told = two_seasons()
    answer = ask("origin", "n1", "--json")
    assert (answer.status, answer.err) == (0, "")
    assert set(answer.json) == {
        "ref", "kind", "class", "also", "cross", "pedigree", "parents", "recurrent", "backcrosses", "book",
    }  # fmt: skip
    assert (answer.json["cross"], answer.json["pedigree"]) == ("C19-04", "Mother/Father")
    assert answer.json["parents"] == {"Mother": "1/2", "Father": "1/2"}
    last = answer.json["book"][-1]
    assert (last["plot"], last["sown_from"], last["how"]) == ("ST25-I1", [told.small.number], "bulk")
    assert (last["season_no"], last["planned"]) == (2, 10)
    assert (last["generation"], last["heterozygosity"]) == ("F7", "1/64")


def test_plain_text_shows_the_book_as_a_breeder_reads_it() -> None:
    two_seasons()
    said = ask("origin", "N-1").out
    assert "Line N-1, navy, from cross C19-04." in said
    assert "2 of 10" in said
    assert "1.56 %" in said
    assert "None" not in said


def test_a_renamed_line_is_found_by_its_old_name_which_is_shown() -> None:
    plant = two_seasons().plant
    rename_line("N-1", "Newname", station=plant.station, by=plant.breeder, reason="named for release", now=NOW)
    answer = ask("origin", "N-1", "--json")
    assert (answer.json["ref"], answer.json["also"]) == ("Newname", ["N-1"])


def test_a_backcross_names_the_parent_it_went_back_to() -> None:
    crossed()
    answer = ask("origin", "BC1", "--json").json
    assert (answer["kind"], answer["pedigree"], answer["recurrent"], answer["backcrosses"]) == (
        "cross",
        "N-1*2/B-1",
        "N-1",
        1,
    )
    assert answer["parents"] == {"N-1": "3/4", "B-1": "1/4"}
    assert "Crossed back to N-1 1 ×." in ask("origin", "BC1").out


@pytest.mark.parametrize(
    ("ref", "says"), [("", "."), ("Nowhere", "."), ("24-0001-5", "24-0001-5 is a lot. Name a line or a cross")]
)
def test_what_is_no_line_or_cross_is_a_sentence_and_status_2(ref: str, says: str) -> None:
    two_seasons()
    answer = ask("origin", ref, "--json")
    assert (answer.status, answer.out) == (2, "")
    assert says in answer.err


def test_the_crossing_log_names_the_female_first_and_says_who_sets_pods() -> None:
    crossed()
    answer = ask("crossings", "--json")
    assert answer.json["log"] == [
        {
            "date": "2025-05-02T17:00:00+00:00", "by": "breeder-st", "cross": "BC0", "female": "N-1", "male": "B-1",
            "buds": 29, "pods": 1, "seeds": 3,
        }
    ]  # fmt: skip
    female = answer.json["by_female"][0]
    assert (female["parent"], female["share"], female["likely"]) == ("N-1", 0.0345, [0.0061, 0.1718])
    said = ask("crossings").out
    assert "N-1 × B-1" in said
    assert "1% to 17%" in said


def test_an_empty_log_says_so() -> None:
    house()
    assert ask("crossings").out == "No pollination is in the books.\n"
    assert ask("crossings", "--json").json == {"log": [], "by_female": [], "by_male": []}
