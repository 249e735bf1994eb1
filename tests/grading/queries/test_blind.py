"""What a blind re-grade hides, from whom, and until when."""

import pytest

from grading.models import Portion, RegradePlan, Sample
from grading.queries.blind import due_samples, hidden_from, may_see, open_regrades
from grading.queries.facts import facts_of_lots
from grading.queries.grades import sample_answer
from grading.rules.regrades import is_chosen
from hilum.plugins.host import the_host
from inventory.actions.reversing import reverse
from inventory.queries.lot_story import lot_story
from inventory.rules.mistakes import Refused
from tests.grading.regrading import again, first, laid_out, told
from tests.grading.station import NOW, Bench, station
from tests.inventory.management.asking import ask

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    bench = station()
    bench.lots("24-0016-5", plot="QM24-P-1-1")
    first(bench, "G03")
    first(bench, "G04")
    return bench


def hidden(bench, who):
    return sorted(hidden_from(bench.plant.station, bench.plant.people[who]).values())


def second(bench):
    """Another account of a grader."""
    told(bench, "add person", {"name": "bench-2", "role": "bench"}, by="records")
    return type(bench.plant.bench).objects.get(username="bench-2")


def test_nothing_is_hidden_while_no_blind_sample_waits(bench):
    assert hidden(bench, "line") == []


@pytest.mark.parametrize("who", ["line", "intake"])
def test_the_first_result_is_hidden_from_whoever_might_pick_it_again(bench, who):
    laid_out(bench, "G03", "G17")
    assert hidden(bench, who) == ["G03", "G17"]
    assert may_see(Sample.objects.get(number="G04"), bench.plant.people[who])


def test_it_is_hidden_from_another_grader_until_the_second_is_in_the_books(bench):
    other = second(bench)
    laid_out(bench, "G03", "G17")
    assert not may_see(Sample.objects.get(number="G03"), other)
    with pytest.raises(Refused, match="hidden from graders until"):
        sample_answer(bench.plant.station, "G03", person=other)
    with pytest.raises(Refused, match="hidden from graders until"):
        sample_answer(bench.plant.station, "G17", person=other)
    again(bench, "G17")
    assert may_see(Sample.objects.get(number="G03"), other)
    assert sample_answer(bench.plant.station, "G03", person=other)["sample"] == "G03"


@pytest.mark.parametrize("who", ["breeder", "records"])
def test_who_picks_no_beans_sees_everything(bench, who):
    laid_out(bench, "G03", "G17")
    assert hidden(bench, who) == []


def test_the_first_grader_and_who_laid_it_out_know_it_anyway(bench):
    laid_out(bench, "G03", "G17", by="intake")
    assert hidden(bench, "intake") == hidden(bench, "bench") == []
    assert hidden(bench, "line") == ["G03", "G17"]


def test_a_blind_sample_that_is_taken_back_hides_nothing(bench):
    sample = laid_out(bench, "G03", "G17")
    reverse(sample.operation, station=bench.plant.station, by=bench.plant.intake, reason="lost", now=NOW)
    assert hidden(bench, "line") == []
    assert not open_regrades(bench.plant.station).exists()


def test_the_lots_page_holds_to_the_same_rule(bench):
    laid_out(bench, "G03", "G17")
    assert _grade_box("line-qm") == {"Grade": "hidden from graders until a blind re-grade is in the books"}
    assert "Sample" in _grade_box("records-qm")
    again(bench, "G17")
    assert "Sample" in _grade_box("line-qm")


def _grade_box(person):
    panels = {panel.title: panel for panel in the_host().lot_panels("24-0016-5", "QM", person)}
    return dict(panels["Grade"].rows)


def _told(station):
    return [row.operation.kind for row in lot_story(station, "24-0016-5").happened]


def test_the_lots_story_does_not_name_a_blind_sample_before_it_was_graded(bench):
    here = bench.plant.station
    before = _told(here)
    sample = laid_out(bench, "G03", "G17")
    assert _told(here) == before
    again(bench, "G17")
    assert _told(here) == [*before, "sample"]
    assert lot_story(here, "24-0016-5").happened[-1].operation == sample.operation


def test_the_lots_story_tells_a_blind_sample_that_was_taken_back(bench):
    before = _told(bench.plant.station)
    sample = laid_out(bench, "G03", "G17")
    reverse(sample.operation, station=bench.plant.station, by=bench.plant.intake, reason="lost", now=NOW)
    assert _told(bench.plant.station) == [*before, "sample", "reverse"]


def test_a_blind_sample_whose_grading_was_taken_back_waits_again(bench):
    laid_out(bench, "G03", "G17")
    before = _told(bench.plant.station)
    grading = again(bench, "G17").operations[0]
    reverse(grading, station=bench.plant.station, by=bench.plant.intake, reason="spilled", now=NOW)
    assert _told(bench.plant.station) == before


@pytest.mark.parametrize(("who", "sees"), [("line-qm", False), ("records-qm", True), ("bench-qm", True), ("", True)])
def test_lists_of_many_lots_hold_to_the_same_rule(bench, who, sees):
    here = bench.plant.station
    first(bench, "G05", weights_g={"splits": "30"}, sound_g="470.3")
    laid_out(bench, "G05", "G17")
    assert ("last_grade" in facts_of_lots(here, ["24-0016-5"], who)["24-0016-5"]) is sees
    assert ("last_grade" in the_host().lot_facts(["24-0016-5"], "QM", who)["24-0016-5"]) is sees
    by = ("--by", who) if who else ()
    assert (ask("stock", "--json", *by).json[0]["last_grade"] is not None) is sees
    listed = ask("watch", "--json", "--today", "2024-11-30", *by).json
    named = [row["lot"] for row in [*listed["not_first"], *listed["at_limit"]]]
    assert named == (["24-0016-5"] if sees else [])
    again(bench, "G17")
    assert "last_grade" in facts_of_lots(here, ["24-0016-5"], who)["24-0016-5"]


def test_the_command_holds_to_the_same_rule(bench):
    laid_out(bench, "G03", "G17")
    answer = ask("grade", "--sample", "G03", "--by", "line-qm")
    assert (answer.status, answer.out) == (2, "")
    assert "hidden from graders until its blind re-grade is in the books" in answer.err
    assert ask("grade", "--sample", "G03", "--by", "records-qm").status == 0


def test_what_is_due_can_be_worked_out_again_from_the_books(bench):
    told(bench, "regrade plan", {"one_in": "2"}, by="records")
    for number in range(5, 25):
        first(bench, f"G{number:02d}", mass="0.5")
    rows = Portion.objects.filter(sample__number__gte="G05").order_by("operation__seq")
    wanted = [row.sample.number for row in rows if int(row.operation.hash, 16) % 2 == 0]
    assert [sample.number for sample in due_samples(bench.plant.station)] == wanted
    assert 0 < len(wanted) < 20


def test_what_was_graded_before_a_plan_is_not_due_and_a_new_plan_changes_nothing_of_the_past(bench):
    told(bench, "regrade plan", {"one_in": "1"}, by="records")
    first(bench, "G05")
    told(bench, "regrade plan", {"one_in": "0"}, by="records")
    first(bench, "G06")
    assert [sample.number for sample in due_samples(bench.plant.station)] == ["G05"]
    assert RegradePlan.objects.count() == 2


def test_a_further_portion_of_an_older_sample_does_not_make_it_due(bench):
    told(bench, "regrade plan", {"one_in": "1"}, by="records")
    again(bench, "G03", grader="bench-1")
    assert due_samples(bench.plant.station) == []


def test_every_chosen_hash_is_a_hash_of_the_chain(bench):
    row = Portion.objects.get(sample__number="G03")
    assert len(row.operation.hash) == 64
    assert is_chosen(row.operation.hash, 1)


def test_many_samples_cost_no_more_queries(bench, django_assert_max_num_queries):
    told(bench, "regrade plan", {"one_in": "1"}, by="records")
    for number in range(5, 12):
        first(bench, f"G{number:02d}", mass="0.5")
    laid_out(bench, None, "G50")
    with django_assert_max_num_queries(4):
        due_samples(bench.plant.station)
    with django_assert_max_num_queries(3):
        hidden_from(bench.plant.station, bench.plant.line)
