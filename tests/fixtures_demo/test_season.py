"""The demo season, built whole: every answer of the story, and every figure of its tables."""

import shlex
from decimal import Decimal
from time import monotonic
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import TestCase
from openpyxl import load_workbook

from fixtures_demo.answers import answers
from fixtures_demo.season import TODAY
from fixtures_demo.tables import table
from fixtures_demo.telling import build, delete_demo, tell
from fixtures_demo.workbooks import FOLDER, season_sheets
from grading.queries.figures import FIGURES
from grading.queries.germination import germinations_of
from grading.queries.grades import sample_answer
from grading.stats.beta import chance_text
from inventory.importing.words import fill
from inventory.models import DataMark, Lot, Operation, Plot, Standing, Station
from inventory.papers.paper import paper_pdf
from inventory.queries.generations import generation_of
from inventory.queries.lot_story import lot_story
from inventory.queries.papers.dossier import dossier_paper
from inventory.queries.papers.statement import statement_of
from inventory.queries.runs import run_balance
from inventory.rules.mass import kg_text
from inventory.rules.mistakes import Refused
from inventory.rules.showing import mass_words
from tests.fixtures_demo.open_forms import EpcisOfTheSeason, ListsOfTheSeason, PackageOfTheSeason
from tests.inventory.management.asking import ask
from tests.inventory.papers.reading import text_of
from tests.make import house

# Figures that need what nobody in the season did, and what they say then.
NOT_IN_THE_SEASON = {
    "backcross grown": "is not a line we know",
    "drift": "No re-grade by another grader is in the books yet",
    "maturity": "has both a day of sowing and one of maturity",
}


def example_words(name: str) -> list[str]:
    """The words behind `figure` that its help prints as an example."""
    lines = ask("figure", name).out.splitlines()
    return shlex.split(next(line for line in lines if line.startswith("For example: ")).removeprefix("For example: "))


class TestSeason(EpcisOfTheSeason, PackageOfTheSeason, ListsOfTheSeason, TestCase):
    """One build for all of these: they only read."""

    @classmethod
    def setUpTestData(cls) -> None:
        build()
        cls.station = Station.objects.get()

    def test_every_answer_of_the_season_is_as_it_must_be(self) -> None:
        given = list(answers(self.station))
        assert [(each.question, each.given) for each in given] == [(each.question, each.expected) for each in given]
        assert len(given) == 14

    def test_the_dossier_of_the_blended_lot_takes_less_than_five_seconds_and_says_the_ledgers_kilos(self) -> None:
        started = monotonic()
        _number, paper = dossier_paper(self.station, "24-0016-5", "http://10.0.0.5:8000")
        said = text_of(paper_pdf([paper]))
        assert monotonic() - started < 5
        lot = Lot.objects.get(number="24-0016-5")
        went = lot_story(self.station, lot.number).happened
        assert sum(row.change for row in went) == 0
        for row in went:
            assert f"{mass_words(row.change)} kg" in said, row
        for name in ("QM24-I1", "Q19-04", "R01", "R02", "R03", "G03", "G16", "25-0017-6", "S2"):
            assert name in said, name

    def test_every_statement_to_a_sender_adds_up_to_the_milligram(self) -> None:
        received = Lot.objects.filter(receipts__isnull=False).distinct()
        told = [statement_of(self.station, lot.number) for lot in received]
        assert len(told) == 25
        assert [one.difference for one in told] == [0] * 25

    def test_every_run_misses_what_the_table_says(self) -> None:
        rows = table("runs", "answers")
        found = [run_balance(self.station, row["run"]) for row in rows]
        assert [(Decimal(kg_text(run.unaccounted_mg)), run.unaccounted_pct) for run in found] == [
            (Decimal(row["unaccounted_kg"]), row["unaccounted_pct"]) for row in rows
        ]

    def test_every_sample_reads_as_the_table_says(self) -> None:
        for row in table("samples", "answers"):
            answer = sample_answer(self.station, row["sample"])
            factors = {factor["factor"]: factor for factor in answer["factors"]}
            total = factors["total_defects"]
            assert answer["grade"] == row["reads_as"], row
            assert _likely(total["interval"]) == row["likely"], row
            assert chance_text(total["within"]["No. 1"]) == row["chance"], row
            assert [factors[name]["read_pct"] for name in _FACTORS] == [row[f"{name}_pct"] for name in _COLUMNS], row

    def test_every_germination_test_reads_as_the_table_says(self) -> None:
        lots = Lot.objects.in_bulk(Lot.objects.values_list("pk", flat=True))
        found = {test.number: test for tests in germinations_of(self.station, lots).values() for test in tests}
        for row in table("tests", "answers"):
            test = found[row["test"]]
            read = (test.result.mean_pct, test.result.spread, test.result.allowed, chance_text(test.chance_at_least()))
            assert read == (Decimal(row["mean"]), int(row["spread"]), int(row["allowed"]), row["chance"]), row

    def test_every_printed_example_works_on_the_season_when_it_is_pasted(self) -> None:
        for name, figure in FIGURES.items():
            if figure.reads_books and name not in NOT_IN_THE_SEASON:
                with self.subTest(name):
                    pasted = ask("figure", *example_words(name))
                    assert (pasted.status, pasted.err) == (0, "")
                    assert pasted.out.strip()

    def test_every_figure_answers_from_the_season_with_its_working_and_a_source_for_each_step(self) -> None:
        for name, figure in FIGURES.items():
            with self.subTest(name):
                asked = fill(figure.asks, figure.example)
                if name in NOT_IN_THE_SEASON:
                    with pytest.raises(Refused) as refused:
                        figure.work_out(asked, self.station)
                    assert NOT_IN_THE_SEASON[name] in str(refused.value)
                    continue
                answer = figure.work_out(asked, self.station)
                assert answer.says
                assert answer.working
                assert [step.gives for step in answer.working if not (step.formula and step.source)] == []

    def test_every_sample_gives_its_working_with_a_source_for_each_number(self) -> None:
        for row in table("samples", "answers"):
            working = sample_answer(self.station, row["sample"])["working"]
            assert [step["gives"] for step in working[:-1] if not (step["formula"] and step["source"])] == [], row
            assert (working[-1]["gives"], working[-1]["formula"].split(":")[0]) == ("grade", row["reads_as"]), row

    def test_the_blend_is_of_two_generations_by_their_shares(self) -> None:
        assert generation_of(Lot.objects.get(number="25-0017-6")).words == "F8 217/517, F9 300/517"

    def test_the_corrected_tare_shows_all_three_acts(self) -> None:
        acts = Operation.objects.filter(entries__lot__number="24-0004-4", kind__in=("receive", "reverse")).order_by(
            "seq"
        )
        masses = [act.entries.get(lot__number="24-0004-4").mg / 1_000_000 for act in acts]
        assert masses == [560.0, -560.0, 573.5]
        assert len({act.reason for act in acts[1:]}) == 1

    def test_the_swapped_tags_are_put_right_by_one_pair_and_keep_the_intake_reason(self) -> None:
        lines = {lot: str(Standing.objects.get(lot__number=lot).line) for lot in ("25-0005-6", "25-0007-0")}
        assert lines == {"25-0005-6": "QN-2117", "25-0007-0": "QN-2104"}
        first = Operation.objects.filter(identities__lot__number="25-0005-6").order_by("seq").first()
        assert first is not None
        assert "spilled at thresher?" in first.content
        assert "This bag is 10.07 kg" in first.content

    def test_a_run_whose_line_was_not_cleaned_out_is_marked(self) -> None:
        assert not run_balance(self.station, "R04").is_cleaned_out

    def test_counters_stand_at_the_highest_number_used(self) -> None:
        counters = dict(self.station.lotcounter_set.values_list("year", "last"))
        assert counters == {24: 25, 25: 19}

    def test_every_one_of_the_demo_can_sign_in_and_holds_one_role(self) -> None:
        assert {user.username: user.membership_set.get().role for user in User.objects.all()} == {
            "intake": "intake", "line": "line", "bench-1": "bench", "bench-2": "bench", "breeder": "breeder",
            "records": "records",
        }  # fmt: skip


_FACTORS = ("total_defects", "foreign_material", "stones", "contrasting_classes")
_COLUMNS = ("total", "foreign_material", "stones", "contrasting")


def _likely(interval: list[str]) -> str:
    low, high = (f"{Decimal(end).quantize(Decimal('0.1'), rounding='ROUND_HALF_UP')}" for end in interval)
    return f"{low} to {high}"


@pytest.mark.django_db
def test_a_second_run_builds_nothing_and_asks_again(capsys: pytest.CaptureFixture[str]) -> None:
    assert tell(is_fresh=False) == 0
    acts = Operation.objects.count()
    assert tell(is_fresh=False) == 0
    assert Operation.objects.count() == acts
    assert capsys.readouterr().out.count("every answer is as it must be") == 2


@pytest.mark.django_db
def test_the_practice_copy_holds_plots_and_no_lots(capsys: pytest.CaptureFixture[str]) -> None:
    assert tell(is_fresh=False, is_practice=True) == 0
    assert (Plot.objects.count(), Lot.objects.count()) == (57, 0)
    assert "practice copy" in capsys.readouterr().out


@pytest.mark.django_db
def test_it_refuses_a_database_that_holds_a_station_of_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    house()
    assert tell(is_fresh=True) == 2
    assert "not the demo's" in capsys.readouterr().err
    assert Station.objects.get().code == "ST"


@pytest.mark.django_db
def test_an_answer_that_differs_is_told_and_fails(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    tell(is_fresh=False)
    question, expected, _ask = answers.__globals__["QUESTIONS"][0]
    monkeypatch.setitem(answers.__globals__, "QUESTIONS", ((question, expected, lambda _station: "1,120.4 kg"),))
    assert tell(is_fresh=False) == 1
    assert "1 answers differ" in capsys.readouterr().out


@pytest.mark.django_db(transaction=True)
def test_the_demo_can_be_deleted_whole() -> None:
    tell(is_fresh=False)
    assert DataMark.objects.get().today == TODAY
    delete_demo()
    assert not (Operation.objects.exists() or Lot.objects.exists() or User.objects.exists())


@pytest.mark.parametrize("name", sorted(season_sheets()))
def test_each_workbook_holds_what_its_table_says(name: str) -> None:
    heads, rows = season_sheets()[name]
    sheet = load_workbook(FOLDER / f"{name}.xlsx").active
    read = [list(row) for row in sheet.iter_rows(values_only=True)]
    assert read[0] == list(heads)
    assert [[_plain(cell) for cell in row] for row in read[1:]] == [[_plain(cell) for cell in row] for row in rows]


def _plain(cell: Any) -> Any:
    return Decimal(str(cell)) if isinstance(cell, int | float | Decimal) else cell
