import logging
import re
from collections.abc import Callable
from decimal import Decimal
from threading import Event
from types import SimpleNamespace
from typing import Any

import pytest

from hilum.plugins import (
    ActAhead,
    ActDone,
    ActOffer,
    DeviceDriver,
    DeviceReading,
    Difference,
    Found,
    LookAt,
    LotQuestion,
    MeasurementField,
    MeasurementKind,
    PageLink,
    Panel,
    PaperForm,
    PluginJob,
    SheetKind,
    Veto,
    Waiting,
    WorkedOut,
    driving,
    hookimpl,
)
from hilum.plugins.host import Host, ReadingUnread, Trouble, VetoUnanswered
from hilum.plugins.suspending import Suspending


def plugin(**hooks: Callable[..., Any]) -> Callable[[], object]:
    """Make a plugin of functions named like hooks; what comes back loads it."""
    marked = {name: hookimpl(function) for name, function in hooks.items()}
    return lambda: SimpleNamespace(**marked)


def host(*loaders: Callable[[], object], raising: bool = False) -> Host:
    return Host([(f"plugin-{number}", load) for number, load in enumerate(loaders, 1)], raising=raising)


def fail(*_: object) -> Any:
    raise RuntimeError("the lamp is off")


def kind(name: str, title: str = "Colour readings") -> SheetKind:
    return SheetKind(name, title, (), check=lambda rows, station: (), save=lambda rows, station, by: ())


def broken() -> object:
    raise ModuleNotFoundError("No module named 'lamp'")


def leaving() -> object:
    raise SystemExit(3)


def grade_of(lot_numbers: tuple[str, ...]) -> dict[str, dict[str, str]]:
    return {number: {"last_grade": "No. 1"} for number in lot_numbers}


def test_it_gathers_facts_of_many_lots_from_all_plugins() -> None:
    second = plugin(lot_facts=lambda lot_numbers, station: {"24-0016-5": {"seen_at": station}})
    facts = host(plugin(lot_facts=grade_of), second).lot_facts(["24-0016-5", "24-0017-1"], "QM")
    assert facts == {"24-0016-5": {"last_grade": "No. 1", "seen_at": "QM"}, "24-0017-1": {"last_grade": "No. 1"}}


def test_a_lot_that_no_plugin_knows_has_no_facts() -> None:
    assert host().lot_facts(["24-0016-5"], "QM") == {"24-0016-5": {}}


def test_plugins_are_asked_in_the_order_they_came_in() -> None:
    first, second = (plugin(lot_panels=lambda lot_number, title=title: (Panel(title, ()),)) for title in "ab")
    assert [panel.title for panel in host(first, second).lot_panels("24-0016-5", "QM")] == ["a", "b"]


def test_it_goes_on_without_the_answer_of_one_that_fails(caplog: pytest.LogCaptureFixture) -> None:
    both = host(plugin(lot_facts=fail), plugin(lot_facts=grade_of))
    assert both.lot_facts(["24-0016-5"], "QM") == {"24-0016-5": {"last_grade": "No. 1"}}
    assert "The plugin plugin-1 failed in lot_facts (RuntimeError: the lamp is off)" in caplog.text


def test_a_failed_panel_says_so_on_the_page() -> None:
    (panel,) = host(plugin(lot_panels=fail)).lot_panels("24-0016-5", "QM")
    assert panel.title == "plugin-1"
    assert "the lamp is off" in panel.rows[0][1]


def test_records_that_could_not_be_checked_are_a_difference() -> None:
    clean = plugin(check_records=lambda station: ())
    (difference,) = host(plugin(check_records=fail), clean).check_records("QM")
    assert (difference.code, difference.where) == ("plugin_failed", "plugin-1")


def test_it_gathers_the_differences_plugins_find() -> None:
    found = Difference("no_portion", "S07", "Sample S07 has no portion.")
    assert host(plugin(check_records=lambda station: [found])).check_records("QM") == (found,)


@pytest.mark.parametrize("answer", [None, 7, ["a text"], [None]])
def test_an_answer_of_another_kind_than_promised_is_left_out(answer: object) -> None:
    (difference,) = host(plugin(check_records=lambda: answer)).check_records("QM")
    assert difference.code == "plugin_failed"


def test_of_two_sheet_kinds_with_one_name_the_first_stands(caplog: pytest.LogCaptureFixture) -> None:
    first, second = kind("colour"), kind("colour", "Another")
    kinds = host(plugin(sheet_kinds=lambda: [first]), plugin(sheet_kinds=lambda: [second])).sheet_kinds()
    assert kinds == (first,)
    assert "Two plugins bring the sheet kind 'colour'" in caplog.text


def test_of_two_acts_with_one_verb_the_first_stands(caplog: pytest.LogCaptureFixture) -> None:
    first, second, other = (ActOffer(verb, Trouble, fail) for verb in ("look", "look", "look over"))
    offers = host(plugin(acts=lambda: [first]), plugin(acts=lambda: [second, other])).acts()
    assert [id(offer) for offer in offers] == [id(first), id(other)]
    assert "Two plugins offer the act 'look'" in caplog.text


def test_an_act_whose_words_are_no_dataclass_is_left_out(caplog: pytest.LogCaptureFixture) -> None:
    assert host(plugin(acts=lambda: [ActOffer("look", str, fail)])).acts() == ()
    assert "the words of 'look' are no dataclass" in caplog.text


@pytest.mark.parametrize(
    ("load", "why"),
    [
        (broken, "it could not be loaded (ModuleNotFoundError: No module named 'lamp')"),
        (leaving, "it could not be loaded (SystemExit: 3)"),
        (plugin(lot_colours=fail), "there is no hook named lot_colours"),
        (plugin(lot_panels=lambda lamp: ()), "it could not be loaded (PluginValidationError"),
    ],
)
def test_it_leaves_out_and_names_a_plugin_that_cannot_be_taken_in(
    load: Callable[[], object], why: str, caplog: pytest.LogCaptureFixture
) -> None:
    both = host(load, plugin(lot_facts=grade_of))
    assert both.names() == ("plugin-2",)
    (trouble,) = both.quarantined()
    assert isinstance(trouble, Trouble)
    assert trouble.says.startswith(f"The plugin plugin-1 was left out: {why}")
    assert caplog.records[0].levelno == logging.ERROR
    assert both.lot_facts(["24-0016-5"], "QM") == {"24-0016-5": {"last_grade": "No. 1"}}


def test_it_leaves_out_a_plugin_that_changes_the_answers_of_others() -> None:
    def wrap() -> Any:
        yield

    wrapping = SimpleNamespace(sheet_kinds=hookimpl(wrapper=True)(wrap))
    (trouble,) = host(lambda: wrapping).quarantined()
    assert "it wraps the hook sheet_kinds" in trouble.says


def test_a_test_run_sees_a_plugins_fault_as_a_fault() -> None:
    with pytest.raises(RuntimeError, match="the lamp is off"):
        host(plugin(lot_facts=fail), raising=True).lot_facts(["24-0016-5"], "QM")


def test_page_links_of_all_plugins_stand_under_the_three_words() -> None:
    pan = PageLink("bench", "Grade a sample", "/bench/pan/", verb="grade")
    both = host(plugin(page_links=lambda: (pan,)), plugin(page_links=fail))
    assert both.page_links() == (pan,)


def test_what_waits_is_gathered_and_a_plugin_that_failed_waits_itself() -> None:
    item = Waiting("bench", "G09 waits to be graded", "/bench/pan/?sample=G09", since="2026-03-30T09:00:00+00:00")
    found = host(plugin(waiting=lambda station: (item,)), plugin(waiting=fail)).waiting("QM")
    assert found[0] == item
    assert "plugin-2 failed in waiting (RuntimeError: the lamp is off)" in found[1].words


def test_the_first_that_knows_a_thing_finds_it() -> None:
    found = Found("sample", "G03", "/bench/samples/G03/")
    all_three = host(plugin(find=fail), plugin(find=lambda typed: None), plugin(find=lambda typed, station: found))
    assert all_three.find("G03", "QM") == found
    assert host(plugin(find=lambda typed: "G03")).find("G03", "QM") is None


def question(name: str, words: str = "below 85 %") -> LotQuestion:
    return LotQuestion(
        name, words, "No lot is.", lambda station, person: {"24-0001-5": f"79 % at {station} for {person}"}
    )


def test_it_gathers_the_questions_of_the_list_of_lots_and_the_first_of_one_name_stands(
    caplog: pytest.LogCaptureFixture,
) -> None:
    first = plugin(lot_questions=lambda: (question("below"), question("never")))
    both = host(first, plugin(lot_questions=lambda: (question("below", "other words"),)), plugin(lot_questions=fail))
    asked = both.lot_questions()
    assert [(one.name, one.words) for one in asked] == [("below", "below 85 %"), ("never", "below 85 %")]
    assert asked[0].answer("QM", "bench") == {"24-0001-5": "79 % at QM for bench"}
    assert "Two plugins bring the question 'below'" in caplog.text


def test_it_gathers_what_is_to_be_looked_at_and_names_a_plugin_that_failed() -> None:
    odd = LookAt("No sample was drawn", "24-0016-5 has no sample.", "/do/bench-sample/?lot=24-0016-5", ("24-0016-5",))
    first, second = host(plugin(look_at=lambda station: [odd]), plugin(look_at=fail)).look_at("QM")
    assert first == odd
    assert "the lamp is off" in second.says


def test_a_blend_is_foretold_and_a_plugin_that_failed_stops_nothing() -> None:
    foretold = Panel("Foretold", (("Germination", "93.5 %"),))
    both = host(plugin(blend_forecast=lambda parts: (foretold,)), plugin(blend_forecast=fail))
    found = both.blend_forecast([("24-0016-5", 1), ("24-0017-9", 2)], "QM")
    assert found[0] == foretold
    assert [row[0] for row in found[1].rows] == ["Not foretold"]


def soak(title: str = "Soaking test") -> MeasurementKind:
    return MeasurementKind("soaking_test", title, (), lambda values: WorkedOut())


def test_of_two_measurements_with_one_name_the_first_stands(caplog: pytest.LogCaptureFixture) -> None:
    first, second = soak(), soak("Another")
    both = host(plugin(measurement_kinds=lambda: [first]), plugin(measurement_kinds=lambda: [second]))
    assert both.measurement_kinds() == {"soaking_test": ("plugin-1", first)}
    assert "Two plugins bring the measurement 'soaking_test'" in caplog.text


def driver(parse: Callable[[str], Any], name: str = "lamp") -> DeviceDriver:
    return DeviceDriver(name, "Lamp", parse)


def grams(text: str) -> tuple[DeviceReading, ...]:
    if not text.endswith(" g"):
        raise ValueError("It ends in no g. Set the balance to grams.")
    return (DeviceReading("mass", Decimal(text.removesuffix(" g")), "g"),)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ([MeasurementField("dry", "dry seed")], "no tuple of MeasurementField"),
        ((MeasurementField("class", "class"),), "has a field 'class', which is no name or is taken"),
        ((MeasurementField("lot", "lot"),), "has a field 'lot', which is no name or is taken"),
        ((MeasurementField("dry", "dry seed"), MeasurementField("dry", "again")), "the field 'dry' more than once"),
        ((MeasurementField("water", "water", choices=["tap"]),), "unhashable"),  # type: ignore[arg-type]
    ],
)
def test_a_measurement_of_which_no_form_can_be_made_costs_nobody_elses_acts(
    fields: Any, says: str, caplog: pytest.LogCaptureFixture
) -> None:
    bad = plugin(measurement_kinds=lambda: [MeasurementKind("soak", "Soak", fields, fail)])
    good = plugin(measurement_kinds=lambda: [MeasurementKind("shine", "Shine", (), fail)])
    assert list(host(bad, good).measurement_kinds()) == ["shine"]
    assert "The plugin plugin-1 failed in measurement_kinds" in caplog.text
    assert says in caplog.text


def test_long_work_that_cannot_be_asked_for_is_left_out() -> None:
    bad = plugin(jobs=lambda: [PluginJob("report", "A report.", (MeasurementField("from", "from"),), fail)])
    assert host(bad).jobs() == {}


def test_of_two_drivers_with_one_name_the_first_stands(caplog: pytest.LogCaptureFixture) -> None:
    first, second = driver(grams), driver(fail)
    both = host(plugin(device_drivers=lambda: [first]), plugin(device_drivers=lambda: [second]))
    assert both.device_drivers() == {"lamp": ("plugin-1", first)}
    assert both.read_device("lamp", "12.5 g") == (DeviceReading("mass", Decimal("12.5"), "g"),)
    assert "Two plugins bring the driver 'lamp'" in caplog.text


def slow(_text: str) -> Any:
    Event().wait(20)


@pytest.mark.parametrize(
    ("parse", "says"),
    [
        (grams, r"It ends in no g\. Set the balance to grams\."),
        (fail, "failed in the driver lamp .*the lamp is off"),
        (lambda _text: [7], "a int where a DeviceReading is promised"),
        (slow, "took longer than 0.05 seconds"),
    ],
)
def test_a_text_that_is_not_read_says_why(
    parse: Callable[[str], Any], says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(driving, "LONGEST", 0.05)
    one = host(plugin(device_drivers=lambda: [driver(parse)]))
    for _ in range(7):
        with pytest.raises(ReadingUnread) as stopped:
            one.read_device("lamp", "12.5 lb")
        assert re.search(says, str(stopped.value)) or "failed 5 times" in str(stopped.value)
    assert bool(one.suspended()) is (parse is not grams)


def test_of_two_jobs_with_one_name_the_first_stands(caplog: pytest.LogCaptureFixture) -> None:
    first, second = (PluginJob("report", tells, (), fail) for tells in ("One.", "Another."))
    both = host(plugin(jobs=lambda: [first]), plugin(jobs=lambda: [second]))
    assert both.jobs() == {"report": ("plugin-1", first)}
    assert "Two plugins bring the job 'report'" in caplog.text


def test_papers_are_named_by_their_plugin() -> None:
    form = PaperForm("report", "Report", fail)
    both = host(plugin(paper_forms=lambda: [form]), plugin(paper_forms=fail))
    assert both.paper_forms("QM") == {"plugin-1/report": form}


ACT = ActAhead("ship", "intake", "2024-10-08T12:00:00+00:00", "", ("24-0016-5",), ())
DONE = ActDone(
    7, "0192", "ship", "intake", "2024-10-08T12:00:00+00:00", "2024-10-08T12:00:00+00:00", "", ("24-0016-5",)
)


def test_every_no_to_an_act_is_gathered_with_its_plugin() -> None:
    first = plugin(veto=lambda acts: [Veto(f"No {acts[0].kind} today.")])
    both = host(first, plugin(veto=lambda acts, station: [Veto(f"Not from {station}.")]), plugin(veto=lambda: ()))
    assert both.veto([ACT], "QM") == (("plugin-1", Veto("No ship today.")), ("plugin-2", Veto("Not from QM.")))


def test_a_no_that_was_not_given_is_no_yes() -> None:
    failing = host(plugin(veto=fail))
    for _ in range(7):  # it is never set aside
        with pytest.raises(VetoUnanswered, match=r"The plugin plugin-1 must be asked .* Nothing was written"):
            failing.veto([ACT], "QM")


def test_acts_that_are_written_are_told_and_a_failure_is_named() -> None:
    heard: list[object] = []

    def heard_all(acts: tuple[ActDone, ...]) -> None:
        heard.extend(acts)

    both = host(plugin(after_commit=heard_all), plugin(after_commit=fail))
    assert [trouble.plugin for trouble in both.after_commit([DONE], "QM")] == ["plugin-2"]
    assert heard == [DONE]
    heard.clear()
    assert [trouble.plugin for trouble in both.after_commit([DONE], "QM", only="plugin-2")] == ["plugin-2"]
    assert heard == []


def test_one_that_fails_again_and_again_is_set_aside_and_says_so() -> None:
    calls: list[int] = []

    def failing() -> None:
        calls.append(1)
        raise RuntimeError("the lamp is off")

    both = host(plugin(lot_panels=failing, check_records=lambda: ()), plugin(lot_panels=lambda: (Panel("a", ()),)))
    for _ in range(7):
        assert [panel.title for panel in both.lot_panels("24-0016-5", "QM")] == ["a", "plugin-1"]
    assert len(calls) == 5
    (trouble,) = both.suspended()
    assert "failed 5 times in lot_panels within 10 minutes" in trouble.says
    assert both.check_records("QM") == ()


def test_our_own_plugins_are_never_set_aside() -> None:
    ours = Host([("grading.plugin", plugin(lot_panels=fail))], own=("grading.plugin",))
    for _ in range(7):
        ours.lot_panels("24-0016-5", "QM")
    assert ours.suspended() == ()


def test_failures_that_lie_far_apart_set_nothing_aside() -> None:
    now = iter(range(0, 10_000, 200))
    suspending = Suspending(clock=lambda: float(next(now)))
    for _ in range(9):
        suspending.note("plugin-1", "lot_panels")
    assert suspending.troubles() == ()


def test_a_plugin_that_is_off_at_a_station_is_not_asked_there() -> None:
    marked = plugin(lot_panels=lambda: (Panel("a", ()),), measurement_kinds=lambda: [soak()])
    off = Host([("lamp", marked)], off_at={"lamp": ("HM",)})
    assert [len(off.lot_panels("24-0016-5", station)) for station in ("QM", "HM")] == [1, 0]
    assert [len(off.measurement_kinds(station)) for station in ("QM", "HM", "")] == [1, 0, 1]


def test_facts_of_one_lot_are_told_by_plugin() -> None:
    both = host(plugin(lot_facts=grade_of), plugin(lot_facts=lambda lot_numbers: {}))
    assert both.facts_by_plugin("24-0016-5", "QM") == {"plugin-1": {"last_grade": "No. 1"}}
