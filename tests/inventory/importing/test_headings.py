"""Headings as people write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.importing import vocabulary as bench
from hilum.plugins.facts import SheetColumn, SheetKind
from inventory.importing import headings as h
from inventory.importing.fields import Reads, Vocabulary, field_named, fold, heading_unit, split_unit
from inventory.importing.headings import match_headings
from inventory.importing.table import Cell, Row, SheetTable
from inventory.importing.vocabulary import INTAKE, PLOTS, RUNS, vocabulary_of
from inventory.rules.mistakes import Level, Refused
from tests.inventory.importing.sheets import table

EVERY = (INTAKE, RUNS, PLOTS, bench.SAMPLES, bench.GERMINATION)


def letters(found):
    return {name: column.letter for name, column in found.columns.items()}


@pytest.mark.parametrize(
    ("vocabulary", "headings"),
    [
        (INTAKE, "Date|Lot|Line|Plot|Gross|Tare|Net|Moist|Bin|Remarks"),
        (RUNS, "Run|Date|Machine|Feed lot|Feed|Out lot|Clean|Scalp|Through|Air|Lights|Middlings|Stones"),
        (RUNS, "Run|Date|What|Feed lot|Feed|Out lot 2|Clean 2|Out lot|Clean|Unaccounted|Picked|Screens|Clean-out"),
        (PLOTS, "Plot|Line|Season|Trial|Rep|Position|Sown|Area"),
        (PLOTS, "Plot|Line|Site|Sown from|Sown kg|Generation|Field weight|Sown"),
        (
            bench.SAMPLES,
            "Sample|Date|Lot|Portion|Splits|Damaged|Foreign material|Stones|Contrasting|Blend|Sound|Gross/uncleaned"
            "|Dockage|Points|Grader|100-seed weight",
        ),
        (bench.GERMINATION, "Test|Date|Lot|Rep 1|Rep 2|Rep 3|Rep 4|Seeds|Kg taken"),
        (bench.GERMINATION, "Test|Date|Lot|R1|R2|R3|R4|Seeds"),
        (bench.GERMINATION, "Test|Date|Lot|Replicate 1|Replicate 2|Replicate 3|Replicate 4"),
        (bench.GERMINATION, "Test|Date|Lot|1|2|3|4"),
    ],
)
def test_it_knows_every_heading_of_a_kind(vocabulary, headings):
    found = match_headings(table(headings), vocabulary)
    assert len(found.columns) == len(headings.split("|"))
    assert not found.unknown


@pytest.mark.parametrize(
    "headings",
    [
        "Fecha|Lote|Línea|Parcela|Peso bruto [kg]|Tara|Peso neto|Humedad|Lugar|Observaciones",
        "Date|N° lot|Lignée|Parcelle|Poids brut kg|Tare|Poids net|Teneur en eau|Emplacement|Remarques",
        "DATE RECEIVED|lot no.|Breeding  Line|plot(s)|GROSS WT.|tare wt|Net Weight|Moisture content|Place|Notes:",
    ],
)
def test_it_reads_them_in_three_languages_and_any_manner(headings):
    assert list(match_headings(table(headings), INTAKE).columns) == [
        "date", "lot", "line", "plot", "gross", "tare", "net", "moisture", "place", "remarks",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("heading", "field", "unit"),
    [
        ("Gross (lb)", "gross", "lb"),
        ("Gross lbs.", "gross", "lb"),
        ("Poids brut en livres", "gross", "lb"),
        ("Peso bruto [kg]", "gross", "kg"),
        ("kg gross", "gross", "kg"),
        ("Gross", "gross", None),
        ("Moist %", "moisture", "%"),
        ("% moisture", "moisture", "%"),
        ("Moisture (% w.b.)", "moisture", "% wet basis"),
        ("Moisture, dry basis", "moisture", "% dry basis"),
        ("Teneur en eau (% base sèche)", "moisture", "% dry basis"),
        ("Ｇｒｏｓｓ（ｋｇ）", "gross", "kg"),
    ],
)
def test_it_takes_the_unit_out_of_the_heading(heading, field, unit):
    found = match_headings(table(f"Date|Line|Net|{heading}"), INTAKE)
    assert (found.columns[field].letter, found.columns[field].unit) == ("D", unit)
    assert found.columns[field].heading == heading


def test_a_unit_decides_between_two_meanings():
    found = match_headings(table("Plot|Line|Sown|Sown (lb)|Area ha"), PLOTS)
    assert letters(found) == {"plot": "A", "line": "B", "sown": "C", "sown_kg": "D", "area": "E"}


@given(st.permutations(INTAKE.fields), st.integers(0, 8), st.sampled_from(range(3)))
def test_order_language_and_place_do_not_matter(fields, above, language):
    words = [(field.english, field.french, field.spanish)[language][0] for field in fields]
    cells = tuple(Cell(f"{chr(65 + n)}{above + 1}", word) for n, word in enumerate(words))
    found = match_headings(SheetTable("s", (Row(above + 1, cells),)), INTAKE)
    assert found.row_number == above + 1
    assert {name: found.columns[name].heading for name in found.columns} == {
        field.name: word for field, word in zip(fields, words, strict=True)
    }


def test_it_finds_the_row_below_titles_and_blank_rows():
    sheet = "Intake 2024, as kept\nLot and line of each delivery\n\nDate|Lot|Line|Net\n1|24-0001|QN-2104|800"
    assert match_headings(table(sheet), INTAKE).row_number == 4


def test_headings_merged_over_two_rows_count_in_the_lower_one():
    upper = Row(1, (Cell("A1", "Date"), Cell("B1", "Line"), Cell("C1", "Weights"), Cell("D1", "Weights", None, "C1")))
    lower = Row(
        2, (Cell("A2", "Date", None, "A1"), Cell("B2", "Line", None, "B1"), Cell("C2", "Gross"), Cell("D2", "Net"))
    )
    found = match_headings(SheetTable("s", (upper, lower)), INTAKE)
    assert (found.row_number, letters(found)) == (2, {"date": "A", "line": "B", "gross": "C", "net": "D"})


def test_a_title_merged_across_is_no_heading():
    title = Row(1, tuple(Cell(f"{letter}1", "Net", None, "A1" if letter > "A" else None) for letter in "ABCD"))
    rows = (title, *table("x\nDate|Line|Net").rows[1:])
    assert match_headings(SheetTable("s", rows), INTAKE).row_number == 2


def test_repeated_headings_do_not_move_the_start():
    assert match_headings(table("Date|Line|Net\n1|2|3\nDate|Line|Net\n4|5|6"), INTAKE).row_number == 1


def refused(text: str, vocabulary: Vocabulary = INTAKE):
    with pytest.raises(Refused) as found:
        match_headings(table(text), vocabulary)
    return found.value.mistakes


def test_no_headings_at_all_is_said_with_what_is_needed():
    (mistake,) = refused("1|2|3\n4|5|6")
    assert isinstance(mistake, h.NoHeadings)
    assert "at least Date" in mistake.says


def test_all_missing_headings_are_said_at_once():
    missing = refused("Lot|Tare|Bin")
    assert [mistake.field for mistake in missing] == ["date", "net", "line"]
    assert "none for Net or Gross." in missing[1].says


def test_a_heading_that_looks_like_the_missing_one_is_proposed():
    (mistake,) = refused("Daet|Lot|Line|Net")
    assert "Is it 'Daet' in column A?" in mistake.says


def test_the_same_heading_twice_is_asked_about():
    (mistake,) = refused("Date|Line|Gross|Tare|Net|Gross weight")
    assert "C ('Gross') and F ('Gross weight')" in mistake.says


def test_a_unit_that_can_not_be_is_said():
    (mistake,) = refused("Date|Line|Net (%)")
    assert "'Net (%)'" in mistake.says
    assert "kg" in mistake.says
    assert isinstance(refused("Date (kg)|Line|Net")[0], h.UnitDoesNotFit)


def test_a_column_it_does_not_know_is_a_note_only_where_something_stands_in_it():
    found = match_headings(table("Date|Line|Net|Weather|Driver\n1|2|3|wet|-"), INTAKE)
    assert [(f.column, f.cell, f.level) for f in found.findings] == [("Weather", "D1", Level.NOTE)]
    assert [column.heading for column in found.unknown] == ["Weather", "Driver"]


def test_hidden_columns_and_other_worksheets_are_notes():
    sheet = table("Date|Line|Net\n1|2|3", hidden_columns=frozenset("C"), other_sheets=("2023",))
    found = match_headings(sheet, INTAKE)
    assert [(f.row, f.column) for f in found.findings] == [(None, ""), (1, "Net")]
    assert "'2023'" in found.findings[0].says


def test_a_row_gives_its_cell_by_field():
    sheet = table("Date|Line|Net\n1|2|3")
    found = match_headings(sheet, INTAKE)
    assert found.cell(sheet.rows[1], "net").ref == "C2"
    assert found.cell(sheet.rows[1], "tare").value is None
    assert (found.heading("net"), found.heading("tare")) == ("Net", "")


@pytest.mark.parametrize("vocabulary", EVERY, ids=lambda v: v.kind)
def test_no_heading_of_a_kind_means_two_fields_unless_units_part_them(vocabulary):
    for heading, fields in vocabulary.by_heading.items():
        readings = [field.reads for field in fields]
        assert len(set(readings)) == len(readings), heading


@pytest.mark.parametrize("vocabulary", EVERY, ids=lambda v: v.kind)
def test_no_heading_is_taken_for_another_one_with_a_unit(vocabulary):
    for field in vocabulary.fields:
        for heading in field.headings:
            found = match_headings(only(heading, vocabulary), bare(vocabulary))
            assert field.name in found.columns or heading in shared(vocabulary), heading


def only(heading: str, vocabulary: Vocabulary) -> SheetTable:
    return SheetTable("s", (Row(1, (Cell("A1", heading), Cell("B1", "anchor one"), Cell("C1", "anchor two"))),))


def bare(vocabulary: Vocabulary) -> Vocabulary:
    anchors = [field_named(f"a_{n}", f"Anchor {n}", f"anchor {n}", f"anchor {n}", Reads.TEXT) for n in ("one", "two")]
    optional = [
        field_named(f.name, *("|".join(w) for w in (f.english, f.french, f.spanish)), f.reads)
        for f in vocabulary.fields
    ]
    return Vocabulary(vocabulary.kind, vocabulary.title, (*optional, *anchors))


def shared(vocabulary: Vocabulary) -> set[str]:
    both = {heading for heading, fields in vocabulary.by_heading.items() if len(fields) > 1}
    return {heading for field in vocabulary.fields for heading in field.headings if fold(heading) in both}


def test_a_unit_is_only_what_is_a_unit():
    assert heading_unit("bags") is None
    assert split_unit("Gross") == ()
    assert split_unit("kg") == ()


def test_headings_are_found_below_a_long_preface():
    preface = "\n".join("Read me" if n % 3 else "Notes" for n in range(50))
    assert match_headings(table(f"{preface}\nDate|Line|Net"), INTAKE).row_number == 51


def test_a_plugins_kind_of_sheet_is_read_by_the_same_words():
    kind = SheetKind(
        "cans",
        "canning",
        (
            SheetColumn("lot", ("Lot", "Lote"), "code", required=True),
            SheetColumn("drained", ("Drained",), "mass", required=True),
        ),
        check=lambda rows, station: (),
        save=lambda rows, station, user: (),
    )
    found = match_headings(table("Drained (g)|Lote"), vocabulary_of(kind))
    assert letters(found) == {"lot": "B", "drained": "A"}
    assert found.columns["drained"].unit == "g"
    assert [mistake.field for mistake in refused("Lot|Drained|Lote", vocabulary_of(kind))] == ["lot"]
