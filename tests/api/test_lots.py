"""Lots for programs, through real requests."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from api.models import Token
from api.tokens import make_token
from inventory.models import Lot, Operation
from tests.api.asking import Program, program_of
from tests.make import House, cleaned, house, received
from tests.refusals import REFUSALS

pytestmark = pytest.mark.django_db
NOW = datetime.now(UTC)
DELIVERY = {"plots": ["ST24-N-1-1"], "gross": "842", "tare": 42, "place": "F-1", "at": "2024-09-24"}
RECEIVE = "/api/v1/lots/receive"


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def program(plant: House) -> Program:
    return program_of(plant.intake)


def test_a_lot_is_received_with_the_numbers_that_were_sent(program: Program) -> None:
    facts = program.post(RECEIVE, DELIVERY)
    assert facts["lots"] == [
        {
            "lot": "24-0001-5", "line": "N-1", "class": "navy", "kg": "800.0", "place": "F-1",
            "moisture_pct": None, "advice": None,
        }
    ]  # fmt: skip
    assert program.get("/api/v1/lots/24-0001-5")["left"] == {"value": "800.0", "unit": "kg"}


def test_the_same_key_is_one_effect_and_the_same_answer(program: Program) -> None:
    first = program.post(RECEIVE, DELIVERY, key="k1")
    assert program.post(RECEIVE, DELIVERY, key="k1") == first
    assert Operation.objects.count() == 1
    assert (
        "used before with other content" in program.post(RECEIVE, {**DELIVERY, "gross": 850}, 422, key="k1")["detail"]
    )


def test_a_refusal_names_every_field_with_its_sentence(program: Program) -> None:
    problem = program.post(RECEIVE, {**DELIVERY, "gross": 28, "place": "Z-9"}, 422)
    by_field = {mistake["field"]: mistake["detail"] for mistake in problem["errors"]}
    assert by_field["gross"].startswith("Gross 28.0 kg is less than the container, 42.0 kg.")
    assert "Z-9" in by_field["place"]
    assert not Lot.objects.exists()


def test_a_question_is_answered_by_its_code(program: Program) -> None:
    program.post(RECEIVE, DELIVERY)
    problem = program.post(RECEIVE, DELIVERY, 409)
    assert "already_in" in problem["errors"][0]["answer"]
    assert [(mistake["code"], mistake["level"]) for mistake in problem["errors"]] == [("already_in", "duplicate")]
    program.post(RECEIVE, {**DELIVERY, "answers": {"already_in": "a second bag"}})


@pytest.mark.parametrize(
    "case",
    [case for case in REFUSALS if case.verb == "receive" and not case.before and case.code != "may_not"],
    ids=str,
)
def test_the_table_of_refusals_holds_for_programs_too(program: Program, case: Any) -> None:
    problem = program.post(RECEIVE, dict(case.words), 409 if case.is_question else 422)
    assert case.says in problem["detail"]
    assert case.code in [mistake["code"] for mistake in problem["errors"]]


@pytest.mark.parametrize(
    "body",
    ["", "[]", "{", b"\xff\xfe", '{"net": 1, "net": 2}', "[" * 50_000, '{"answers": 3}', '{"remarks": "\\u0000"}'],
)
def test_a_body_that_cannot_be_read_is_a_problem_and_no_fault(program: Program, body: str | bytes) -> None:
    answer = program.client.post(
        RECEIVE, body, content_type="application/json",
        headers={"Authorization": f"Bearer {program.secret}", "Idempotency-Key": "k"},
    )  # fmt: skip
    assert answer.status_code in (400, 422)
    assert answer["Content-Type"] == "application/problem+json"


def test_a_form_is_not_taken(program: Program) -> None:
    answer = program.client.post(RECEIVE, {"net": 1}, headers={"Authorization": f"Bearer {program.secret}"})
    assert answer.status_code == 415


def test_lots_are_read_page_by_page_and_each_once(program: Program, plant: House) -> None:
    made = [received(plant, str(500 + 10 * index)).number for index in range(5)]
    read: list[str] = []
    address = "/api/v1/lots?limit=2"
    while address:
        page = program.get(address)
        read += [row["lot"] for row in page["results"]]
        address = page["next"]
    assert read == made[::-1]


def test_a_page_costs_the_same_for_any_number_of_lots(
    program: Program, plant: House, django_assert_max_num_queries: Any
) -> None:
    for index in range(5):
        received(plant, str(500 + 10 * index))
    program.get("/api/v1/lots")
    with django_assert_max_num_queries(6):
        program.get("/api/v1/lots")


@pytest.mark.parametrize("query", ["limit=0", "limit=1001", "limit=x", "cursor=x", "cursor=MjAyNHwx", "cursor=%00"])
def test_a_page_that_cannot_be_asked_for_is_a_sentence(program: Program, query: str) -> None:
    program.get(f"/api/v1/lots?{query}", 400)


def test_a_trace_goes_both_ways(program: Program, plant: House) -> None:
    raw = received(plant)
    clean = cleaned(plant, raw, "798", "741.2")
    back = program.get(f"/api/v1/lots/{clean.number}/trace")
    assert [(node["kind"], node["id"]) for node in back["nodes"]][:2] == [("lot", clean.number), ("lot", raw.number)]
    forward = program.get(f"/api/v1/lots/{raw.number}/trace?forward=true")
    assert forward["nodes"][1]["id"] == clean.number


@pytest.mark.parametrize(
    ("address", "says"),
    [
        ("/api/v1/lots/24-0099", "No lot 24-0099-1 is in the books."),
        ("/api/v1/lots/24-0001-6", "24-0001-6 does not check"),
        ("/api/v1/lots/x/trace", "'x' is not a lot number."),
        ("/api/v1/nothing", "There is nothing to GET at /api/v1/nothing."),
    ],
)
def test_what_is_not_there_is_a_sentence(program: Program, address: str, says: str) -> None:
    assert says in program.get(address, 404)["detail"]


def test_without_a_key_nothing_opens_and_the_scheme_is_named(plant: House) -> None:
    answer = Client().get("/api/v1/lots")
    assert (answer.status_code, answer["WWW-Authenticate"]) == (401, 'Bearer realm="hilum"')
    assert answer["Content-Type"] == "application/problem+json"


def test_a_browser_session_does_not_open_the_api(client: Client, plant: House) -> None:
    client.force_login(plant.intake)
    assert client.get("/api/v1/lots").status_code == 401


@pytest.mark.parametrize("secret", ["", "hilum_wrong", "ünï", "x" * 5000])
def test_an_unknown_key_opens_nothing(plant: House, secret: str) -> None:
    Program(secret).get("/api/v1/lots", 401)


def test_a_key_ends_with_its_time_and_with_its_account(plant: House) -> None:
    old = Program(make_token(plant.intake, scopes=("read",), days=1, now=NOW - timedelta(days=2)))
    old.get("/api/v1/lots", 401)
    live = Program(make_token(plant.line, scopes=("read",), days=1, now=NOW))
    live.get("/api/v1/lots")
    plant.line.is_active = False
    plant.line.save()
    live.get("/api/v1/lots", 401)


def test_a_key_does_only_what_its_scopes_and_its_account_may(plant: House) -> None:
    reader = program_of(plant.intake, "read")
    assert "not given the scope lots:write;" in reader.post(RECEIVE, DELIVERY, 403)["detail"]
    bench = program_of(plant.bench, "write")
    assert "bench may not receive a lot" in bench.post(RECEIVE, DELIVERY, 403)["detail"]
    assert "not given the scope lots:read;" in bench.get("/api/v1/lots", 403)["detail"]


def test_the_secret_is_kept_nowhere_and_its_use_is_noted(program: Program) -> None:
    program.get("/api/v1/lots")
    token = Token.objects.get()
    assert program.secret not in str(vars(token))
    assert token.last_used_at is not None


def test_a_lot_tells_its_generation_and_the_heterozygosity_expected_in_it(program: Program, plant: House) -> None:
    story = program.get(f"/api/v1/lots/{received(plant).number}")
    assert (story["generation"], story["heterozygosity"]) == ("F6", "1/32")


@pytest.mark.parametrize(
    ("address", "says"),
    [
        ("/api/v1/lots?lime=N-1", "'lime' is no parameter here. Did you mean line or limit?"),
        ("/api/v1/lots/24-0001-5?colour=red", "'colour' is no parameter here. There are none."),
        ("/api/v1/lots/24-0001-5/trace?direction=forward", "'direction' is no parameter here. There are forward."),
        ("/api/v1/lots/24-0001-5/trace?forward=maybe", "forward reads 'maybe'. Give true or false."),
    ],
)
def test_a_parameter_that_would_change_nothing_is_not_passed_over(program: Program, address: str, says: str) -> None:
    program.post(RECEIVE, DELIVERY)
    assert program.get(address, 400)["detail"] == says


def test_the_index_names_every_address_and_they_are_there(program: Program) -> None:
    program.post(RECEIVE, DELIVERY)
    index = program.get("/api/v1")
    program.get("/api/v1/lots/24-0001-5/trace")
    program.get("/api/v1/trace?of=24-0001-5")
    for name, address in index.items():
        where = address.removeprefix("http://testserver").partition("{?")[0]
        if "{" not in where and name not in ("trace", "recall", "outcome", "receive", "many acts"):
            answer = program.client.get(where, headers=program.headers)  # a file among them, and one for records
            assert answer.status_code in (200, 403), name


def test_a_slash_too_many_is_named(program: Program) -> None:
    assert program.get("/api/v1/sacks", 404)["detail"].endswith("What there is stands at /api/v1.")
    says = program.get("/api/v1/lots/24-0001-5/", 404)["detail"]
    assert says.endswith("Take the slash from its end: /api/v1/lots/24-0001-5")


def test_errors_of_the_framework_say_what_to_do(program: Program) -> None:
    nobody = program.client.get("/api/v1/lots")
    assert nobody.json()["detail"].endswith("the page Connections makes one.")
    assert program.get(RECEIVE, 405)["detail"] == "Nothing is done here with this method. Send POST or OPTIONS."
    headers = {"Authorization": f"Bearer {program.secret}"}
    sent = program.client.post(RECEIVE, "x", content_type="text/plain", headers=headers)
    assert sent.status_code == 415
    assert sent.json()["detail"].endswith("Send one JSON object as application/json.")
