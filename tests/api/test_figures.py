"""Figures and outcomes for programs: worked out, never kept, and a key that only reads is enough."""

import json
from typing import Any

import pytest

from api.v1.figures import figure_slug
from grading.queries.figures import FIGURES
from inventory.models import Operation
from tests.api.asking import Program, program_of
from tests.make import house

pytestmark = pytest.mark.django_db
PORTION = {
    "rule_set": "QM-DEMO", "class": "navy", "portion_g": "500.0",
    "weights_g": {"splits": "4.0"},
}  # fmt: skip
BODIES = (
    "[]", "", "{", "null", "[" * 3000, '{"a": 1e9999}', '{"a": "\\u0000"}', '{"a": "\\ud800"}', '{"a": NaN}',
    '{"a": ' + '{"a": ' * 400 + "1" + "}" * 401, b"\xff", '{"x": "' + "y" * 2_000_000 + '"}',
)  # fmt: skip


@pytest.fixture
def program() -> Program:
    return program_of(house().records, "read")


@pytest.mark.parametrize("name", [name for name, figure in FIGURES.items() if not figure.reads_books])
def test_each_figure_works_out_its_own_example(program: Program, name: str) -> None:
    answer = program.post(f"/api/v1/figures/{figure_slug(name)}", dict(FIGURES[name].example), 200)
    assert answer["says"]


def test_figures_are_listed_with_what_they_ask_for(program: Program) -> None:
    listed = {one["figure"]: one for one in program.get("/api/v1/figures")["results"]}
    assert set(listed) == set(FIGURES)
    assert listed["seed weight"]["url"].endswith("/api/v1/figures/seed-weight")


def test_an_unknown_figure_names_the_nearest(program: Program) -> None:
    assert "seed weight" in program.post("/api/v1/figures/seed-wait", {}, 404)["detail"]


@pytest.mark.parametrize("name", sorted(FIGURES))
def test_no_words_make_a_fault_of_ours(program: Program, name: str) -> None:
    fields = list(FIGURES[name].example) or ["lot"]
    for value in ("", "x", "-1", "1e308", "NaN", [], {}, [[[]]], {"a": {"b": 1}}, "9" * 300, True):
        answer = program.send(f"/api/v1/figures/{figure_slug(name)}", dict.fromkeys(fields, value))
        assert answer.status_code < 500, (value, answer.content)


@pytest.mark.parametrize("address", ["/api/v1/figures/seed-weight", "/api/v1/outcome"])
@pytest.mark.parametrize("body", BODIES, ids=range(len(BODIES)))
def test_a_body_that_cannot_be_read_is_a_problem(program: Program, address: str, body: Any) -> None:
    answer = program.send(address, body)
    assert answer.status_code in (400, 413, 422), answer.content
    assert answer["Content-Type"] == "application/problem+json"
    json.loads(answer.content)


def test_a_portion_is_graded_and_not_kept(program: Program) -> None:
    answer = program.post("/api/v1/outcome", PORTION, 200)
    assert answer["grade"]
    assert not Operation.objects.exists()


def test_a_portion_that_cannot_be_true_is_refused_at_its_field(program: Program) -> None:
    problem = program.post("/api/v1/outcome", {**PORTION, "portion_g": "0"}, 422)
    assert "portion_g" in [error["field"] for error in problem["errors"]]
