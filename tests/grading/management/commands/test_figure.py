"""`manage.py figure`: list, tell, work out, refuse."""

import shlex
from typing import Any

import pytest

from grading.queries.figures import FIGURES, Figure
from inventory.importing.words import fill
from tests.inventory.management.asking import ask

pytestmark = pytest.mark.django_db


def test_it_lists_all_figures_and_tells_what_one_asks_for() -> None:
    assert set(ask("figure", "--json").json) == set(FIGURES)
    told = ask("figure", "plants", "to", "grow")
    assert "frequency_pct" in told.out
    assert "For example: plants to grow frequency_pct=25 chance_pct=95" in told.out


@pytest.mark.outside("NDSU genetics course: progeny to tell AA from Aa, 10.4 at .05 (q = 3/4), so 11 whole plants")
def test_eleven_plants_hold_a_recessive_of_an_f2_nineteen_times_in_twenty() -> None:
    answer = ask("figure", "plants-to-grow", "frequency_pct=25", "--json")
    assert answer.json["plants"] == 11
    assert "(1 - 25/100)^n" in answer.json["working"][0]["formula"]
    assert "11" in ask("figure", "plants to grow", "frequency_pct=25").out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("plant",), "We know no figure 'plant'."),
        (("plants to grow", "frequency_pct=0"), "Frequency pct is 0 %"),
        (("plants to grow", "frequency_pct=x"), "cannot be read as a number"),
        (("plants to grow", "frequency_pct=25", "chance=95"), "Did you mean chance_pct?"),
    ],
)
def test_what_cannot_be_worked_out_is_a_sentence(words: tuple[str, ...], says: str) -> None:
    answer = ask("figure", *words)
    assert (answer.status, answer.out) == (2, "")
    assert says in answer.err


def _worked() -> list[Any]:
    asked = {name: fill(figure.asks, figure.example) for name, figure in FIGURES.items()}
    return [pytest.param(figure, id=name) for name, figure in FIGURES.items() if not figure.needs_station(asked[name])]


@pytest.mark.parametrize("figure", _worked())
def test_every_printed_example_works_when_it_is_pasted(figure: Figure) -> None:
    told = ask("figure", figure.name).out
    [example] = [line for line in told.splitlines() if line.startswith("For example: ")]
    pasted = ask("figure", *shlex.split(example.removeprefix("For example: ")))
    assert (pasted.status, pasted.err) == (0, "")
    meant = figure.work_out(fill(figure.asks, figure.example), None)
    assert pasted.out.splitlines()[0] == meant.says[0]


@pytest.mark.parametrize("figure", _worked())
def test_every_figure_has_an_example_that_works_and_shows_its_working(figure: Figure) -> None:
    answer = figure.work_out(fill(figure.asks, figure.example), None)
    assert answer.says and answer.working
    assert all(step.formula and step.source for step in answer.working)
    assert str(answer.as_json)
