"""Codes read forgivingly."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.codes import CodeAmbiguous, CodesUnknown, CodeUnknown, Vocabulary, read_code, read_plots

LINES = ("QN-2104", "QN-2109", "QN-2117", "QB-2103", "QB-2108", "QB-2112", "QP-2202", "QP-2206")
PLOTS = tuple(f"{site}-T{rep}{place:02d}" for site in ("QM24", "HM25") for rep in (1, 2, 3) for place in range(1, 9))
BLOCKS = ("QM24-I1", "QM24-I2", "QM25-I1")


@pytest.mark.parametrize(
    ("typed", "line"),
    [
        ("QB2103", "QB-2103"),
        ("qb-2103", "QB-2103"),
        ("QB 2108", "QB-2108"),
        ("QP-22O6", "QP-2206"),
        ("QB-2I03", "QB-2103"),
        (" QB-2103 ", "QB-2103"),
        ("ＱＢ－２１０３", "QB-2103"),
        ("QB–2103", "QB-2103"),
    ],
)
def test_other_writings_find_the_same_line_and_say_so(typed, line):
    read = read_code(typed, LINES, kind="line")
    assert read.value == line
    assert read.notes[0].says == f"Read '{typed}' as {line}."


def test_a_code_as_stored_needs_no_note():
    assert read_code("QB-2103", LINES).notes == ()


@pytest.mark.parametrize(
    ("typed", "plot"), [("QM24-T1O5", "QM24-T105"), ("qm24 t105", "QM24-T105"), ("QM24-11", "QM24-I1")]
)
def test_plots_and_blocks_are_read_as_lines_are(typed, plot):
    assert read_code(typed, PLOTS + BLOCKS, kind="plot").value == plot


def test_a_code_that_two_fit_is_asked_about():
    with pytest.raises(CodeAmbiguous) as caught:
        read_code("a 1", ["A-1", "A1"], kind="place")
    assert caught.value.says == "'a 1' can be A-1 or A1. Which place is it?"


def test_an_exact_code_goes_before_its_lookalikes():
    assert read_code("A-I", ["A-1", "A-I"]).value == "A-I"
    assert read_code("a-i", ["A-1", "A-I"]).value == "A-I"


def test_an_unknown_code_names_the_nearest():
    with pytest.raises(CodeUnknown) as caught:
        read_code("QN-2140", LINES, field="line")
    assert caught.value.says == "'QN-2140' is not a line we know. Did you mean QN-2104?"
    assert caught.value.proposal == "QN-2104"
    assert caught.value.field == "line"


def test_at_most_three_are_proposed():
    assert len(Vocabulary(PLOTS).near("QM24-T10")) == 3
    with pytest.raises(CodeUnknown) as caught:
        read_code("QM24-T10", PLOTS, kind="plot")
    assert caught.value.says.endswith("Did you mean QM24-T101, QM24-T102 or QM24-T103?")


@pytest.mark.parametrize("typed", ["", None, "xyz", "Zzz-9999"])
def test_a_code_like_none_is_refused_without_a_proposal(typed):
    with pytest.raises(CodeUnknown) as caught:
        read_code(typed, LINES, kind="line")
    assert caught.value.proposal is None


@pytest.mark.parametrize(
    "typed",
    [
        "QM24-T101/QM24-T206/QM24-T304",
        "T101/T206/T304",
        "T101, T206; T304",
        "T101 + T206 + T304",
        "T101 T206 T304",
        "QM24 T101 QM24 T206 QM24 T304",
        "qm24-t101, t206 and t304",
        "T1O1/T206/T304/T304",
        "T101\nT206\nT304",
    ],
)
def test_plots_of_one_cell_are_parted(typed):
    read = read_plots(typed, PLOTS, prefix="QM24")
    assert read.value == ("QM24-T101", "QM24-T206", "QM24-T304")


@pytest.mark.parametrize("typed", ["QM24-T107 QM24-T204", "QM24-T107, QM24-T204", "QM24-T107/QM24-T204"])
def test_whole_codes_in_a_row_need_no_note(typed):
    assert read_plots(typed, PLOTS).notes == ()


def test_short_codes_are_said_in_full():
    assert read_plots("T101/T206", PLOTS, prefix="QM24").notes[0].says == "Read 'T101/T206' as QM24-T101, QM24-T206."


def test_short_codes_follow_the_full_one_of_their_cell():
    assert read_plots("HM25-T101/T208", PLOTS).value == ("HM25-T101", "HM25-T208")


def test_a_short_code_that_only_one_plot_ends_in_is_completed():
    assert read_plots("I2", BLOCKS).value == ("QM24-I2",)


def test_a_short_code_of_two_seasons_is_asked_about():
    with pytest.raises(CodeAmbiguous) as caught:
        read_plots("T101/T206", PLOTS)
    assert caught.value.readings == ("HM25-T101", "QM24-T101")


def test_all_unknown_plots_of_a_cell_are_said_at_once():
    with pytest.raises(CodesUnknown) as caught:
        read_plots("QM24-T101/X9/Y8", PLOTS)
    assert "'X9'" in caught.value.says
    assert "'Y8'" in caught.value.says


def test_an_empty_cell_holds_no_plot():
    with pytest.raises(CodeUnknown) as caught:
        read_plots(" ", PLOTS)
    assert caught.value.says.startswith("No plot is given.")


@given(st.sampled_from(PLOTS), st.data())
def test_a_single_swap_is_proposed_or_read(plot, data):
    place = data.draw(st.integers(0, len(plot) - 2))
    typed = plot[:place] + plot[place + 1] + plot[place] + plot[place + 2 :]
    words = Vocabulary(PLOTS, kind="plot")
    assert plot in words.near(typed) or words.fits(typed)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(text):
    for read in (read_code, read_plots):
        try:
            read(text, PLOTS)
        except (CodeUnknown, CodesUnknown, CodeAmbiguous) as mistake:
            assert mistake.says.endswith((".", "?"))
