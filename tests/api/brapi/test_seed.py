"""Seed lots, transactions, units and observations: what is told, what is sent, and every known trap of them."""

from decimal import Decimal
from typing import Any

import pytest

from inventory.importing.acts import book
from inventory.models import FieldNote, Lot, Operation, Plot, Stock
from inventory.queries.verifying import verify
from tests.api.brapi.asking import Client, client_of, faults_of, wrongs_in
from tests.make import NOW, House, cleaned, house, received

pytestmark = pytest.mark.django_db
REFERENCE = {"referenceSource": "tablet", "referenceId": "T-1"}
SEEN = "2025-05-20T10:00:00.000Z"


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def who(plant: House) -> Client:
    return client_of(plant)


def done(plant: House, verb: str, words: dict[str, Any], reason: str = "as it was") -> Any:
    answers = dict.fromkeys(("too_few_points", "two_lines", "cleaned_out"), "as it was")
    return book(verb, words, station=plant.station, by=plant.records, now=NOW, key="", reason=reason, answers=answers)


def lot_id(lot: Lot) -> str:
    return str(lot.uid)


def plot_id(code: str = "ST24-N-1-1") -> str:
    return str(Plot.objects.get(station__code="ST", code=code).uid)


def left(lot: Lot) -> int:
    return sum(row.mg for row in Stock.objects.filter(lot=lot))


def checked(answer: Any, path: str, method: str) -> Any:
    """Hold an answer against the standard's own schema where that is at hand."""
    assert faults_of(path, method, answer) == []
    assert wrongs_in(answer) == []
    return answer["result"]


def one_row(answer: Any, path: str, method: str = "post") -> Any:
    (row,) = checked(answer, path, method)["data"]
    return row


# what is told


def test_an_amount_is_a_number_and_a_dbid_a_text_that_is_not_the_lots_number(plant: House, who: Client) -> None:
    lot = received(plant, "812.5")
    (row,) = who.rows("seedlots")
    assert row["amount"] == 812.5 and isinstance(row["amount"], float)
    assert row["seedLotDbId"] == lot_id(lot) != lot.number
    assert (row["units"], row["additionalInfo"]["exactAmount"]) == ("kg", "812.5 kg")
    assert row["externalReferences"] == [{"referenceSource": "harvested-from", "referenceId": plot_id()}]


def test_a_blends_whole_per_cents_add_up_to_a_hundred_beside_its_exact_shares(plant: House, who: Client) -> None:
    first, second = received(plant, "100"), received(plant, "200", plot="ST24-N-2-1")
    parts = [{"lot": first.number, "loose": "100"}, {"lot": second.number, "loose": "200"}]
    done(plant, "blend", {"parts": parts, "place": "A-01"})
    row = who.rows("seedlots")[-1]
    assert [one["mixturePercentage"] for one in row["contentMixture"]] == [33, 67]
    assert row["additionalInfo"]["exactMixture"] == "N-1 1/3; N-2 2/3"
    line = row["contentMixture"][0]["germplasmDbId"]
    assert [one["seedLotDbId"] for one in who.rows(f"seedlots?germplasmDbId={line}")] == [
        lot_id(first), row["seedLotDbId"],
    ]  # fmt: skip


def test_one_runs_transactions_share_a_reference_and_add_up(plant: House, who: Client) -> None:
    raw = received(plant)
    clean = cleaned(plant, raw, "798", "741.2")
    rows = [one for one in who.rows("seedlots/transactions") if one["additionalInfo"]["movementType"] == "clean"]
    assert {one["externalReferences"][0]["referenceId"] for one in rows} == {"R1"}
    assert {one["fromSeedLotDbId"] for one in rows} == {lot_id(raw)}
    assert [(one.get("toSeedLotDbId"), one["amount"]) for one in rows] == [(None, 56.8), (lot_id(clean), 741.2)]


@pytest.mark.parametrize(("direction", "kinds"), [("TO", ["receive"]), ("FROM", ["clean", "clean"]), ("BOTH", None)])
def test_a_lots_transactions_hold_what_came_and_what_went(
    plant: House, who: Client, direction: str, kinds: list[str] | None
) -> None:
    raw = received(plant)
    cleaned(plant, raw, "798", "741.2")
    rows = who.rows(f"seedlots/{lot_id(raw)}/transactions?transactionDirection={direction}")
    assert [one["additionalInfo"]["movementType"] for one in rows] == (kinds or ["receive", "clean", "clean"])
    for row in rows:
        assert (row.get("toSeedLotDbId") == lot_id(raw)) != (row.get("fromSeedLotDbId") == lot_id(raw))


def test_the_transactions_of_every_lot_sum_to_what_is_left(plant: House, who: Client) -> None:
    raw = received(plant)
    done(plant, "split", {"lot": raw.number, "pieces": [{"mass": "100.3", "place": "A-01"}]})
    done(plant, "move", {"lot": raw.number, "to": "B-01", "mass": "50"})
    done(plant, "adjust", {"lot": raw.number, "mass": "-3.5", "place": "F-1"})
    sums: dict[str, Decimal] = {}
    for row in who.rows("seedlots/transactions"):
        amount = Decimal(str(row["amount"]))
        for side, sign in (("fromSeedLotDbId", -1), ("toSeedLotDbId", 1)):
            if side in row:
                sums[row[side]] = sums.get(row[side], Decimal(0)) + sign * amount
    assert sums == {one["seedLotDbId"]: Decimal(str(one["amount"])) for one in who.rows("seedlots")}


def test_last_updated_moves_with_each_transaction(plant: House, who: Client) -> None:
    lot = received(plant)
    before = who.rows("seedlots")[0]["lastUpdated"]
    done(plant, "move", {"lot": lot.number, "to": "A-01"})
    assert who.rows("seedlots")[0]["lastUpdated"] > before


def test_a_sample_is_a_unit_and_its_dishes_are_observations(plant: House, who: Client) -> None:
    lot = received(plant)
    done(plant, "bench sample", {"number": "G1", "lot": lot.number, "mass": "2"})
    (unit,) = who.rows("observationunits?observationUnitLevelName=sample")
    assert (unit["observationUnitName"], unit["seedLotDbId"]) == ("G1", lot_id(lot))
    assert unit["observationUnitPosition"]["observationLevel"]["levelName"] == "sample"


def test_a_page_of_a_thousand_observations_asks_no_more_than_one_of_ten(
    plant: House, who: Client, django_assert_max_num_queries: Any
) -> None:
    sent = [{"observationUnitDbId": plot_id(), "observationVariableDbId": "LOCAL:standing", "value": "2"}] * 60
    who.post("observations", sent)
    with django_assert_max_num_queries(20):
        assert len(who.rows("observations?pageSize=1000")) == 60
    with django_assert_max_num_queries(20):
        assert len(who.rows("observations?pageSize=10&page=1")) == 10


@pytest.mark.parametrize("path", ["seedlots", "seedlots/transactions", "observationunits", "observations"])
def test_addresses_have_no_slash_at_their_end_and_no_single_object_is_taken(who: Client, path: str) -> None:
    who.get(f"{path}/", 404)
    who.post(path, {"value": "1"}, 400)


def test_a_table_stands_as_json_and_as_text(plant: House, who: Client) -> None:
    who.post("observations", [noted("3"), {**noted("2"), "observationVariableDbId": "LOCAL:standing"}])
    table = checked(who.get("observations/table"), "observations/table", "get")
    assert table["data"] == [[*table["data"][0][:7], "3", "2"]]
    answer = who.client.get("/brapi/v2/observations/table", headers={**who.headers, "Accept": "text/csv"})
    assert answer.status_code == 200 and answer["Content-Type"].startswith("text/csv")
    assert "CO_335:0000443,LOCAL:standing" in answer.content.decode()


# what is sent


def noted(value: Any, /, **more: Any) -> dict[str, Any]:
    return {
        "observationUnitDbId": plot_id(), "observationVariableDbId": "CO_335:0000443", "value": value,
        "observationTimeStamp": SEEN, **more,
    }  # fmt: skip


def a_lot(**more: Any) -> dict[str, Any]:
    return {
        "seedLotName": "Bag 7", "amount": 12.5, "units": "kg", "storageLocation": "A-01",
        "externalReferences": [REFERENCE, {"referenceSource": "harvested-from", "referenceId": plot_id()}], **more,
    }  # fmt: skip


def test_a_lot_that_is_sent_is_received_and_keeps_its_sum_its_unit_and_its_names(plant: House, who: Client) -> None:
    sent = one_row(who.post("seedlots", [a_lot(amount=100, units="lb")]), "seedlots")
    lot = Lot.objects.get(uid=sent["seedLotDbId"])
    assert (sent["amount"], sent["units"], sent["seedLotName"]) == (100, "lb", "Bag 7")
    assert left(lot) == 45_359_237
    assert REFERENCE in sent["externalReferences"]
    assert checked(who.get(f"seedlots/{lot.uid}"), "seedlots/{seedLotDbId}", "get") == sent
    assert [row["seedLotDbId"] for row in who.rows("seedlots?externalReferenceId=T-1")] == [str(lot.uid)]
    assert verify(plant.station).is_whole


def test_seed_from_outside_names_its_line_and_who_sent_it(plant: House, who: Client) -> None:
    mixture = [{"germplasmName": "N-2", "mixturePercentage": 100}]
    body = a_lot(contentMixture=mixture, externalReferences=None, additionalInfo={"sender": "Tollhaven"})
    sent = one_row(who.post("seedlots", [body]), "seedlots")
    assert sent["contentMixture"][0]["germplasmName"] == "N-2"
    assert Operation.objects.get().entries.get(lot=None).account == "received"


def test_another_amount_is_an_adjustment_with_its_reason(plant: House, who: Client) -> None:
    lot = received(plant, "800")
    body = {"seedLotName": lot.number, "amount": 790.5, "units": "kg", "additionalInfo": {"reason": "weighed again"}}
    row = checked(who.put(f"seedlots/{lot.uid}", body), "seedlots/{seedLotDbId}", "put")
    assert (row["amount"], left(lot)) == (790.5, 790_500_000)
    assert Operation.objects.latest("seq").reason == "weighed again"
    assert Operation.objects.get(kind="receive").entries.get(lot=lot).mg == 800_000_000
    assert verify(plant.station).is_whole


def test_what_is_left_out_or_null_changes_nothing(plant: House, who: Client) -> None:
    lot = received(plant, "800")
    who.put(f"seedlots/{lot.uid}", {"amount": None, "externalReferences": [REFERENCE], "contentMixture": None})
    assert (Operation.objects.count(), left(lot)) == (1, 800_000_000)
    who.put(f"seedlots/{lot.uid}", {"seedLotName": "Bag 9"})
    row = who.get(f"seedlots/{lot.uid}")["result"]
    assert (row["seedLotName"], REFERENCE in row["externalReferences"]) == ("Bag 9", True)


def moved(lot: Lot, amount: Any = 10, kind: str = "", **more: Any) -> dict[str, Any]:
    beside = ("toPlace", "fromPlace", "recipient", "shipment", "observationUnitDbIds")
    told = {name: more.pop(name) for name in beside if name in more}
    told |= {"movementType": kind} if kind else {}
    return {
        "fromSeedLotDbId": lot_id(lot), "amount": amount, "units": "kg", "additionalInfo": told,
        "transactionTimestamp": SEEN, **more,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "told", "account"),
    [
        ("split", {"toPlace": "A-01"}, None),
        ("ship", {"recipient": "Tollhaven", "shipment": "S1"}, "shipped"),
        ("write off", {"transactionDescription": "mice"}, "discarded"),
    ],
)
def test_a_transaction_is_a_balanced_act_in_the_ledger(
    plant: House, who: Client, kind: str, told: dict[str, str], account: str | None
) -> None:
    lot = received(plant)
    row = one_row(who.post("seedlots/transactions", [moved(lot, 100.25, kind, **told)]), "seedlots/transactions")
    act = Operation.objects.latest("seq")
    assert (act.kind, sum(entry.mg for entry in act.entries.all())) == (kind, 0)
    assert (row["amount"], row["fromSeedLotDbId"], row.get("toSeedLotDbId") is None) == (
        100.25, lot_id(lot), account is not None,
    )  # fmt: skip
    assert row in who.rows("seedlots/transactions")
    assert left(lot) == 699_750_000
    assert verify(plant.station).is_whole


def test_seed_is_moved_by_naming_the_lot_on_both_sides(plant: House, who: Client) -> None:
    lot = received(plant)
    sent = moved(lot, 10, toSeedLotDbId=lot_id(lot), toPlace="B-01")
    row = one_row(who.post("seedlots/transactions", [sent]), "seedlots/transactions")
    assert (row["fromSeedLotDbId"], row["toSeedLotDbId"], row["amount"]) == (lot_id(lot), lot_id(lot), 10)
    assert Stock.objects.get(lot=lot, place__code="B-01").mg == 10_000_000


def test_of_a_lot_at_two_places_it_is_asked_which_and_said_how_to_answer(plant: House, who: Client) -> None:
    lot = received(plant)
    who.post("seedlots/transactions", [moved(lot, 10, toSeedLotDbId=lot_id(lot), toPlace="B-01")])
    how = 'Say from which place it is taken. Send it as "fromPlace" in additionalInfo.'
    assert how in who.post("seedlots/transactions", [moved(lot, 4, "write off")], 400)
    assert how in who.put(f"seedlots/{lot.uid}", {"amount": 798}, 400)
    who.post("seedlots/transactions", [moved(lot, 4, "write off", fromPlace="B-01", transactionDescription="mice")])
    who.put(f"seedlots/{lot.uid}", {"amount": 795, "additionalInfo": {"fromPlace": "B-01"}})
    assert Stock.objects.get(lot=lot, place__code="B-01").mg == 5_000_000
    assert verify(plant.station).is_whole


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"units": "bushels"}, "bushels"),
        ({"toSeedLotDbId": "own"}, "A move names the same lot as from and to."),
        ({"toSeedLotDbId": "other"}, "nothing is put into a lot that is"),
        ({"amount": 900.5}, "900.5"),
        ({"amount": -1}, "from and to say which way"),
        ({"amount": "a lot"}, "cannot be read as a number"),
        ({"amount": [1]}, "amount is a number here"),
        ({"amount": None}, "amount is missing"),
        ({"fromSeedLotDbId": None}, "fromSeedLotDbId is missing"),
        ({"fromSeedLotDbId": "strange"}, "is no seed lot here"),
        ({"transactionTimestamp": "2025-05-20T10:00:00"}, "without a time and its zone"),
        ({"transactionTimestamp": "20/05/2025"}, "Give an instant such as"),
        ({"additionalInfo": "split"}, "additionalInfo is an object of texts"),
        ({"additionalInfo": {"movementType": "eat"}}, "Say in additionalInfo what was done"),
        ({"additionalInfo": {"movementType": "split"}}, "as toPlace in additionalInfo"),
        ({"additionalInfo": {"movementType": "ship", "recipient": "A grower"}}, "without shipment. Send that in"),
        ({"additionalInfo": {"movementType": "sow"}}, "Send observationUnitDbIds in additionalInfo"),
        ({"externalReferences": "x"}, "externalReferences is an array"),
        ({"fromSeedLotDbId": {"a": 1}}, "fromSeedLotDbId is a text here"),
    ],
)
def test_what_cannot_be_booked_is_said_and_nothing_of_the_array_is_booked(
    plant: House, who: Client, change: dict[str, Any], says: str
) -> None:
    lot, other = received(plant), received(plant, "50", plot="ST24-N-1-2")
    strange = received(house("OT"), "10", plot="ST24-N-1-1")
    named = {"own": lot_id(lot), "other": lot_id(other), "strange": lot_id(strange)}
    good = moved(lot, 10, "split", toPlace="A-01")
    bad = {**good, **{name: named.get(str(value), value) for name, value in change.items()}}
    before = Operation.objects.count()
    assert says in who.post("seedlots/transactions", [good, bad], 400)
    assert Operation.objects.count() == before
    assert left(lot) == 800_000_000


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"units": "bushels"}, "bushels"),
        ({"amount": None}, "has no amount"),
        ({"amount": 0}, "has no amount"),
        ({"seedLotName": ""}, "seedLotName is missing"),
        ({"createdDate": "2025-05-20"}, "without a time and its zone"),
        ({"storageLocation": "Z-9"}, "Z-9"),
        ({"contentMixture": [{"germplasmName": "N-1"}, {"germplasmName": "N-2"}]}, "is a mixture of 2"),
        ({"contentMixture": [{"germplasmDbId": "x"}]}, "is no germplasm here"),
        ({"externalReferences": [{"referenceSource": "harvested-from", "referenceId": "x"}]}, "is no plot here"),
        ({"seedLotName": "a\0b"}, "cannot be kept"),
    ],
)
def test_a_lot_that_cannot_be_received_is_said(plant: House, who: Client, change: dict[str, Any], says: str) -> None:
    assert says in who.post("seedlots", [a_lot(), {**a_lot(), **change}], 400)
    assert not Lot.objects.exists()


def test_pounds_as_kilograms_are_asked_about_with_how_to_answer(plant: House, who: Client) -> None:
    done(plant, "field weight", {"plot": "ST24-N-1-1", "mass": "45.4"})
    says = who.post("seedlots", [a_lot(amount=100)], 400)
    assert "Is this pounds? Then it is 45.4 kg." in says
    assert '"answer.maybe_pounds": "why it is right" in additionalInfo' in says
    answered = a_lot(amount=100, additionalInfo={"answer.maybe_pounds": "two pickers' bags"})
    assert one_row(who.post("seedlots", [answered]), "seedlots")["amount"] == 100


def test_sent_again_it_is_one_effect_and_the_same_answer(plant: House, who: Client) -> None:
    first = who.post("seedlots", [a_lot()])
    assert who.post("seedlots", [a_lot()]) == first
    lot = received(plant, "50", plot="ST24-N-1-2")
    sent = [moved(lot, 1, "split", toPlace="A-01")]
    assert who.post("seedlots/transactions", sent, key="k1") == who.post("seedlots/transactions", sent, key="k1")
    assert "used before with other content" in who.post(
        "seedlots/transactions", [moved(lot, 2, "split", toPlace="A-01")], 400, key="k1"
    )
    assert Operation.objects.count() == 3
    who.post("seedlots/transactions", sent)
    who.post("seedlots/transactions", sent)
    assert Operation.objects.count() == 5  # without a key or a reference two like ones may both be meant


def test_the_role_decides_what_a_key_may_book(plant: House) -> None:
    lot = received(plant)
    bench = client_of(plant, "bench")
    assert "may not split a lot" in bench.post("seedlots/transactions", [moved(lot, 1, "split", toPlace="A-01")], 403)
    client_of(plant, scopes=("read",)).post("seedlots", [a_lot()], 403)


# units and observations


def a_plot(**more: Any) -> dict[str, Any]:
    return {
        "observationUnitName": "ST25-T1", "germplasmName": "N-1",
        "observationUnitPosition": {
            "observationLevel": {"levelName": "plot"}, "positionCoordinateX": "4", "positionCoordinateY": 2,
        },
        "externalReferences": [REFERENCE], "additionalInfo": {"areaM2": "14.4"}, **more,
    }  # fmt: skip


def test_a_plot_and_a_sample_that_are_sent_are_units(plant: House, who: Client) -> None:
    lot = received(plant)
    sample = {
        "observationUnitName": "G7", "seedLotDbId": lot_id(lot),
        "observationUnitPosition": {"observationLevel": {"levelName": "sample"}}, "additionalInfo": {"drawn": "2"},
    }  # fmt: skip
    answer = who.post("observationunits", [a_plot(), sample])
    plot, drawn = checked(answer, "observationunits", "post")["data"]
    assert (plot["observationUnitPosition"]["positionCoordinateX"], plot["germplasmName"]) == ("4", "N-1")
    assert (drawn["observationUnitName"], drawn["seedLotDbId"], left(lot)) == ("G7", lot_id(lot), 798_000_000)
    assert who.get(f"observationunits/{plot['observationUnitDbId']}")["result"] == plot
    assert [row["observationUnitName"] for row in who.rows("observationunits?externalReferenceId=T-1")] == ["ST25-T1"]
    assert verify(plant.station).is_whole


def test_a_unit_is_given_another_name_and_stays_what_it_is(plant: House, who: Client) -> None:
    body = {plot_id(): {"observationUnitName": "corner plot", "externalReferences": [REFERENCE]}}
    row = one_row(who.put("observationunits", body), "observationunits", "put")
    assert (row["observationUnitName"], row["additionalInfo"]["plotCode"]) == ("corner plot", "ST24-N-1-1")
    assert [one["observationUnitDbId"] for one in who.rows("observationunits?observationUnitName=corner%20plot")] == [
        plot_id()
    ]
    who.put("observationunits", {plot_id("ST24-N-1-2"): {"observationUnitName": "x"}, "none": {}}, 404)
    assert "x" not in [one["observationUnitName"] for one in who.rows("observationunits")]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"observationUnitPosition": None}, "Send plot or sample as levelName"),
        ({"observationUnitPosition": {"observationLevel": {"levelName": "plant"}}}, "of level 'plant'"),
        ({"observationUnitPosition": "plot"}, "observationUnitPosition is an object"),
        ({"germplasmName": "N-9"}, "N-9"),
        ({"germplasmDbId": "x"}, "is no line here"),
        ({"studyDbId": "x"}, "is no study of plots here"),
        ({"observationUnitName": ""}, "observationUnitName is missing"),
    ],
)
def test_a_unit_that_cannot_be_entered_is_said(plant: House, who: Client, change: dict[str, Any], says: str) -> None:
    before = Plot.objects.count()
    assert says in who.post("observationunits", [a_plot(), {**a_plot(), **change}], 400)
    assert Plot.objects.count() == before


def test_a_value_that_is_sent_is_a_note_and_another_value_a_new_one_under_its_id(plant: House, who: Client) -> None:
    row = one_row(who.post("observations", [noted("3", collector="A. Reader")]), "observations")
    assert (row["value"], row["collector"], row["observationTimeStamp"]) == ("3", "A. Reader", SEEN)
    dbid = row["observationDbId"]
    changed = one_row(who.put("observations", {dbid: {"value": 5}}), "observations", "put")
    assert (changed["observationDbId"], changed["value"], changed["collector"]) == (dbid, "5", "A. Reader")
    alone = checked(
        who.put(f"observations/{dbid}", {"value": "6", "collector": None}), "observations/{observationDbId}", "put"
    )
    assert alone["value"] == "6"
    assert list(FieldNote.objects.order_by("pk").values_list("value", flat=True)) == ["3", "5", "6"]
    assert [one["value"] for one in who.rows("observations")] == ["6"]
    who.put(f"observations/{dbid}", {"value": "6"})
    assert FieldNote.objects.count() == 3
    assert verify(plant.station).is_whole


def test_the_same_observations_sent_twice_are_noted_once(plant: House, who: Client) -> None:
    first = who.post("observations", [noted("3"), noted("2", observationVariableDbId="LOCAL:standing")])
    assert who.post("observations", [noted("3"), noted("2", observationVariableDbId="LOCAL:standing")]) == first
    assert FieldNote.objects.count() == 2


def test_a_yield_keeps_the_moisture_it_stands_at(plant: House, who: Client) -> None:
    sent = noted("2350", observationVariableDbId="CO_335:0000068")
    assert "Moisture is missing" in who.post("observations", [sent], 400)
    row = one_row(who.post("observations", [{**sent, "additionalInfo": {"moisturePercent": "16"}}]), "observations")
    assert row["additionalInfo"]["moisturePercent"] == "16"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"value": "12"}, '"answer.off_scale": "why it is right" in additionalInfo'),
        ({"value": "bad"}, "White mold reads 'bad'"),
        ({"value": None}, "Value is missing"),
        ({"value": {"a": 1}}, "value is a text here"),
        ({"observationVariableDbId": "CO_335:9"}, "CO_335:9"),
        ({"observationUnitDbId": "x"}, "is no unit here"),
        ({"observationUnitDbId": None}, "observationUnitDbId is missing"),
        ({"observationTimeStamp": "2025-05-20T10:00:00"}, "without a time and its zone"),
        ({"observationTimeStamp": "2025-05-20"}, "without a time and its zone"),
        ({"observationTimeStamp": "2999-01-01T00:00:00Z"}, "has not come yet"),
    ],
)
def test_an_observation_that_cannot_be_noted_is_said_and_none_of_the_array_is(
    plant: House, who: Client, change: dict[str, Any], says: str
) -> None:
    assert says in who.post("observations", [noted("3"), noted("3", **change)], 400)
    assert not FieldNote.objects.exists()


def test_a_score_off_its_scale_goes_through_with_its_answer(plant: House, who: Client) -> None:
    sent = noted("12", additionalInfo={"answer.off_scale": "our scale to 15"})
    assert one_row(who.post("observations", [sent]), "observations")["value"] == "12"


def test_what_was_weighed_in_dishes_is_read_only_and_unknown_ids_are_404(plant: House, who: Client) -> None:
    who.put("observations/none", {"value": "1"}, 404)
    who.get("observations/none", 404)
    who.get("seedlots/none", 404)
    who.get("seedlots/none/transactions", 404)
    who.get("observationunits/none", 404)
    who.get("variables/none", 404)


def test_searches_take_plurals_and_ranges(plant: House, who: Client) -> None:
    who.post("observations", [noted("3"), noted("2", observationVariableDbId="LOCAL:standing")])
    found = who.post("search/observations", {"observationVariableDbIds": ["LOCAL:standing"], "page": 0})
    assert [row["value"] for row in checked(found, "search/observations", "post")["data"]] == ["2"]
    late = {"observationTimeStampRangeStart": "2025-05-21T00:00:00Z"}
    assert who.post("search/observations", late)["result"]["data"] == []
    far = {"observationTimeStampRangeStart": "0001-01-01T00:00:00+14:00"}
    assert "observationTimeStampRangeStart reads" in str(who.post("search/observations", far, 400))
    units = who.post("search/observationunits", {"observationUnitDbIds": [plot_id()]})
    assert len(checked(units, "search/observationunits", "post")["data"]) == 1
    assert who.post("search/variables", {"traitClasses": ["phenological"]})["metadata"]["pagination"]["totalCount"] == 2


def test_another_stations_seed_is_nowhere(plant: House) -> None:
    lot = received(plant)
    other = client_of(house("OT"))
    assert other.rows("seedlots") == other.rows("seedlots/transactions") == []
    other.get(f"seedlots/{lot.uid}", 404)
    other.put(f"seedlots/{lot.uid}", {"amount": 1}, 404)
    other.get(f"observationunits/{plot_id()}", 404)
    assert "is no unit here" in other.post("observations", [noted("3", observationUnitDbId=str(
        Plot.objects.get(station=plant.station, code="ST24-N-1-1").uid))], 400)  # fmt: skip
