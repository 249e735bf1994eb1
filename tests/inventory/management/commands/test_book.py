"""The general door `book`: any act from typed words."""

import io
import json
from dataclasses import is_dataclass
from typing import Any

import pytest
from django.core.management import call_command

from inventory.importing.acts import all_acts
from inventory.models import Operation
from inventory.queries.verifying import verify
from tests.make import House, house, kg_left, received

pytestmark = pytest.mark.django_db
DELIVERY = ("plots=ST24-N-1-1", "gross=842", "tare=42", "place=F-1", "at=2024-09-24")


@pytest.fixture
def plant() -> House:
    return house()


def book(*words: str, **options: Any) -> str:
    out = io.StringIO()
    call_command("book", *words, stdout=out, **options)
    return out.getvalue()


def refused(*words: str, **options: Any) -> str:
    said = io.StringIO()
    with pytest.raises(SystemExit) as refusal:
        call_command("book", *words, stderr=said, **options)
    assert refusal.value.code == 2
    return said.getvalue()


def send(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(text))


def test_it_says_what_was_booked(plant: House) -> None:
    said = book("receive", *DELIVERY, by="intake-st")
    assert said == "Booked receive #1 of 2024-09-24.\nLot 24-0001-5: N-1, 800.0 kg at F-1.\n"


def test_it_answers_in_json_with_operation_lot_and_notes(plant: House) -> None:
    facts = json.loads(book("receive", *DELIVERY, "moisture=16,2", by="intake-st", json=True))
    assert facts["lots"] == [
        {
            "lot": "24-0001-5", "line": "N-1", "class": "navy", "kg": "800.0", "place": "F-1",
            "moisture_pct": "16.2", "advice": "DRY or COOL",
        }
    ]  # fmt: skip
    assert facts["operations"][0]["kind"] == "receive"
    assert facts["notes"] == ["Read '16,2' as 16.2."]


@pytest.mark.parametrize(("moisture", "says"), [("16.2", " 16.2 %: DRY or COOL."), ("16.0", ""), (None, "")])
def test_a_wet_lot_is_said_to_be_one_that_cannot_wait(plant: House, moisture: str | None, says: str) -> None:
    wet = (f"moisture={moisture}",) if moisture else ()
    said = book("receive", *DELIVERY, *wet, by="intake-st")
    assert said.splitlines()[1] == f"Lot 24-0001-5: N-1, 800.0 kg at F-1.{says}"


def test_a_dried_lot_shows_what_its_dry_matter_says(plant: House) -> None:
    lot = received(plant, "900", moisture="17.4")
    said = book("dry", f"lot={lot.number}", "weighed=876.4", "after=15.2", "at=2024-10-03", by="line-st")
    assert "By its dry matter it should weigh 876.65 kg; 876.4 were weighed." in said


@pytest.mark.parametrize("verb", [("add cross",), ("add", "cross"), ("add-cross",)])
def test_a_verb_of_two_words_needs_no_quotes(plant: House, verb: tuple[str, ...]) -> None:
    assert "Booked add cross #1 of" in book(*verb, "code=Q25-01", "female=N-1", "male=B-1", by="breeder-st")


def test_a_word_that_is_no_field_is_still_named(plant: House) -> None:
    assert "'bags' is no field with its value" in refused("move", "bags", "lot=24-0001-5", by="line-st")
    assert "'add crosses' is no act. Did you mean add cross" in refused("add", "crosses", "code=Q1", by="breeder-st")


def test_sizing_may_be_asked_for_by_its_own_name(plant: House) -> None:
    lot = received(plant)
    said = book(
        "size", "number=R3", "machines=sizing", f"feed_lot={lot.number}", "feed=800", "at=2024-10-08",
        "outs.1.mass=600", "outs.2.mass=198", "taken_off.throughs=2", by="line-st",
    )  # fmt: skip
    assert said.startswith("Booked size R3 of 2024-10-08 (#2).")


def test_options_may_stand_between_the_fields(plant: House) -> None:
    said = book("receive", "plots=ST24-N-1-1", "--by", "intake-st", "net=800", "place=F-1", "at=2024-09-24")
    assert "24-0001-5" in said


def test_a_run_is_read_from_one_json_object(plant: House, monkeypatch: pytest.MonkeyPatch) -> None:
    lot = received(plant)
    run = {
        "number": "R1", "machines": "air-screen", "feed_lot": lot.number, "feed": 798, "at": "2024-10-08",
        "outs": [{"mass": 741.2}], "taken_off": {"scalpings": 9.4, "throughs": 30.6, "liftings": 12.3},
    }  # fmt: skip
    send(monkeypatch, json.dumps(run))
    facts = json.loads(book("clean", "-", by="line-st", json=True))
    assert [made["kg"] for made in facts["lots"]] == ["741.2"]
    assert kg_left(lot) == 2
    assert verify(plant.station).is_whole


def test_a_run_may_be_typed_in_words_too(plant: House) -> None:
    lot = received(plant)
    said = book(
        "run", "number=R1", "machines=air-screen", f"feed_lot={lot.number}", "feed=798", "at=2024-10-08",
        "outs.1.mass=700", "outs.2.mass=41.2", "taken_off.throughs=56.8", by="line-st",
    )  # fmt: skip
    assert "700.0 kg" in said
    assert "41.2 kg" in said


def test_an_open_question_is_a_no_that_tells_how_to_answer(plant: House, capsys: pytest.CaptureFixture[str]) -> None:
    lot = received(plant)
    run = (
        "clean", "number=R1", "machines=air-screen", f"feed_lot={lot.number}", "feed=798", "outs.1.mass=741.2",
        "at=2024-10-08",
    )  # fmt: skip
    with pytest.raises(SystemExit) as no:
        call_command("book", *run, by="line-st")
    assert no.value.code == 1
    assert "--answer loss_over_allowed=" in capsys.readouterr().out
    assert not Operation.objects.filter(kind="clean").exists()
    assert "741.2" in book(*run, by="line-st", answer=["loss_over_allowed=a tote was tipped over"])


def test_a_number_with_two_readings_is_answered_by_typing_it_again(
    plant: House, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ("receive", "plots=ST24-N-1-1", "net=1,234", "place=F-1", "at=2024-09-24")
    with pytest.raises(SystemExit) as no:
        call_command("book", *words, by="intake-st", answer=["two_readings=yes"])
    assert no.value.code == 1
    assert "[type net=1.234 or 1234]" in capsys.readouterr().out


def test_everything_wrong_is_said_at_once(plant: House) -> None:
    said = refused("receive", "plots=ST24-N-9-9", "gross=28", "tare=42", "place=Z-9", by="intake-st")
    assert "ST24-N-9-9" in said
    assert "Gross 28.0 kg is less than the container, 42.0 kg." in said
    assert "Z-9" in said


@pytest.mark.parametrize(
    ("words", "fragment"),
    [
        (("recieve",), "'recieve' is no act. Did you mean receive"),
        (("receive", "grosss=842"), "'grosss' is no field of it. Did you mean gross"),
        (("receive", "842"), "'842' is no field with its value. Write it like net=842."),
        (("receive", "net=1", "net=2"), "net stands twice"),
        (("bag", "lot=24-0001-5", "count=many"), "Count reads 'many'. Give a whole number in digits, such as 24."),
        (("bag", "lot=24-0001-5"), "Count is missing. Give it as count="),
        (("clean", "number=R1", "outs=741"), "outs.1.mass="),
        (("clean", "number=R1", "machines=air-screen", "feed_lot=1", "outs.1.mas=7"), "Did you mean mass?"),
        (("reverse", "act=R77"), "No act 'R77' is in the books."),
    ],
)
def test_words_that_cannot_be_used_are_a_sentence(plant: House, words: tuple[str, ...], fragment: str) -> None:
    assert fragment in refused(*words, by="records-st")


@pytest.mark.parametrize(
    ("text", "fragment"),
    [
        ("", "This is not JSON"),
        ("[1]", "What was sent is no object."),
        ("[" * 100_000, "nested too deep"),
        ('{"net": 1, "net": 2}', "'net' stands twice in one object"),
        ('{"plots": {"a": {"b": 1}}, "net": [1]}', "Plots"),
        ('{"net": NaN, "place": "F-1"}', "'NaN' cannot be read as a number"),
        ('{"net": 1e999999999999999999999, "place": "F-1"}', "cannot be read as a number"),
        ('{"net": ' + "9" * 5000 + ', "place": "F-1"}', "Net"),
        ('{"place": "F\\u0000", "net": 1}', "cannot be kept"),
        ('{"remarks": "\\ud800", "net": 1}', "cannot be kept"),
        ('{"\\ud800": 1}', "cannot be kept"),
        ('{"net": true, "place": "F-1"}', "Net"),
    ],
)
def test_json_that_cannot_be_used_is_a_sentence(
    plant: House, monkeypatch: pytest.MonkeyPatch, text: str, fragment: str
) -> None:
    send(monkeypatch, text)
    assert fragment in refused("receive", "-", by="intake-st")


def test_an_act_is_taken_back_by_the_name_it_was_given(plant: House) -> None:
    book("receive", *DELIVERY, by="intake-st")
    assert "Booked reverse" in book("reverse", "act=receive #1 of 2024-09-24", by="intake-st", reason="wrong tag")
    assert "already reversed" in refused("reverse", "act=#1", by="intake-st", reason="wrong tag")


def test_a_lot_that_was_taken_back_has_no_making_to_reverse(plant: House) -> None:
    lot = received(plant)
    book("reverse", f"act={lot.number}", by="intake-st", reason="wrong tag")
    assert "No act" in refused("reverse", f"act={lot.number}", by="intake-st", reason="wrong tag")


def test_the_same_key_is_one_effect_and_one_answer(plant: House) -> None:
    first = book("receive", *DELIVERY, by="intake-st", key="k")
    assert book("receive", *DELIVERY, by="intake-st", key="k") == first
    assert "other content" in refused("receive", *DELIVERY, "remarks=again", by="intake-st", key="k")


def test_who_and_where_are_asked_for_in_a_sentence(plant: House) -> None:
    assert "Nobody is named. Say who does this" in refused("receive", *DELIVERY)
    assert "'nobody' is no account here." in refused("receive", *DELIVERY, by="nobody")
    assert "'XX' is no station here. Say --station ST." in refused("receive", *DELIVERY, by="intake-st", station="XX")
    house("OT")
    assert "There are several stations here. Say --station OT or ST." in refused("receive", *DELIVERY, by="intake-st")


def test_without_a_verb_it_lists_the_acts_and_their_fields() -> None:
    *listed, how = book().splitlines()
    assert how.startswith("* is needed.")
    assert [line.split(":")[0] for line in listed] == list(all_acts())
    assert "gross, tare" in listed[0]


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        (("add line", "name=N-7", "market_class=navy"), "origin"),
        (("add-cross", "code=X-1", "female=N-1", "male=N-2"), "origin"),
        (("add plot", "code=ST24-T-9", "line=N-1", "site=ST", "season=2024"), "origin"),
        (("field weight", "plot=ST24-N-1-1", "mass=812.5"), "field weight"),
        (("count", "place=F-1", "found.1.lot=24-0001-5", "found.1.mass=799"), "count"),
        (("move", "lot=24-0001-5", "mass=100", "to=A-01"), "move"),
        (
            (
                "split",
                "lot=24-0001-5",
                "pieces.1.mass=100",
                "pieces.1.place=A-01",
                "pieces.2.mass=50",
                "pieces.2.place=B-01",
            ),
            "split",
        ),
    ],
)
def test_every_act_of_the_table_goes_through_by_its_words(plant: House, words: tuple[str, ...], kind: str) -> None:
    received(plant)
    facts = json.loads(
        book(*words, by="records-st", json=True, reason="as it was", answer=["count_differs=counted twice"])
    )
    assert [act["kind"] for act in facts["operations"]] == [kind]
    assert verify(plant.station).is_whole


def test_every_act_fills_a_frozen_dataclass_of_typed_words() -> None:
    for act in all_acts().values():
        assert is_dataclass(act.words)
        assert act.words.__dataclass_params__.frozen  # type: ignore[attr-defined]


def test_a_verb_alone_tells_what_the_act_asks_for() -> None:
    lines = dict(line.split(maxsplit=1) for line in book("ship").splitlines())
    assert lines["items.1.lot"] == "needed; a lot, such as 24-0016-5"
    assert lines["purpose"] == "a word; without it seed"


def test_a_verb_alone_tells_it_in_json_too() -> None:
    assert json.loads(book("ship", json=True))["ship"]["code"] == "needed; the shipment's own code, such as S3"


def test_a_mistyped_verb_is_said_before_anybody_is_asked_for(plant: House) -> None:
    said = refused("shpi", "lot=1")
    assert said.startswith("'shpi' is no act. Did you mean ship")


def test_filled_bags_are_named_as_their_labels_are(plant: House) -> None:
    lot = received(plant)
    said = book("bag", f"lot={lot.number}", "count=3", "bag_mass=25", "at=2024-10-20", by="line-st")
    assert f"Bags {lot.number}/1 to {lot.number}/3: 75.0 kg at " in said


def test_a_place_is_called_a_place_wherever_it_was_typed(plant: House) -> None:
    lot = received(plant)
    assert "'Z-9' is not a place we know." in refused("move", f"lot={lot.number}", "to=Z-9", by="line-st")
