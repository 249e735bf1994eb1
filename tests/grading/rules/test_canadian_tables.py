"""The shipped Canadian tables, cell by cell, against the printed ones.

Source: Canada Grain Regulations, C.R.C., c. 889, Schedule 3, Tables 30, 31 and 32 (SOR/2019-211, in force 2019-08-01;
consolidation of 2025-07-25). One line a row, in the printed order of columns: other classes that blend; stones, shale
or similar; foreign material, total; contrasting classes; total damage, FM and contrasting; total damage including
splits, FM and contrasting; then the words of the standard of quality.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from grading.queries.shipped import shipped_rule_set
from grading.rules.outcome import outcome
from grading.rules.portion import Portion
from grading.rules.rows import shortfalls


def test_a_stone_that_was_found_is_said_though_it_vanishes_by_rounding():
    portion = Portion("Pea", Decimal(1000), {"stones": Decimal("0.04")}, counts={"stones": 1})
    graded = outcome(shipped_rule_set("CA-BEANS"), portion)
    assert any(
        note.startswith("Stones, shale or similar material: 0.004 % was found and reads as 0.00 %")
        for note in graded.notes
    ), graded.notes
    clean = outcome(shipped_rule_set("CA-BEANS"), Portion("Pea", Decimal(1000), {}))
    assert not any("was found and reads" in note for note in clean.notes)


COLUMNS = (
    *("classes_that_blend", "stones", "foreign_material", "contrasting_classes"),
    *("total_damage_fm_contrasting", "total_damage_incl_splits_fm_contrasting"),
)
PRINTED = {
    "Table 30": """
        Extra No. 1 Canada  | 1 0.01 0.05 0.1 1.0 1.0  | uniform in size, good natural
        Canada No. 1 Select | 1 0.01 0.05 0.1 1.5 2.0  | fairly good
        No. 1 Canada        | 1 0.05 0.10 0.1 1.5 2.0  | reasonably good
        No. 2 Canada        | 5 0.10 0.20 1.0 3.0 4.0  | fairly good
        No. 3 Canada        | 5 0.20 0.50 1.0 5.0 6.0  | fairly good
        No. 4 Canada        | 5 0.20 0.50 1.0 8.5 10.0 | off""",
    "Table 31": """
        Extra No. 1 Canada  | 1 0.00 0.05 1.0 1.0 1.0   | uniform in size, good natural
        No. 1 Canada        | 3 0.05 0.10 1.5 1.5 3.5   | reasonably good
        No. 1 Canada Select | 3 0.05 0.10 1.5 1.5 3.5   | fairly good
        No. 2 Canada        | 5 0.10 0.20 3.0 3.0 5.5   | fairly good
        No. 3 Canada        | 10 0.20 0.50 5.0 5.0 7.5  | fairly good
        No. 4 Canada        | 15 0.50 1.00 8.5 8.5 10.0 | off""",
    "Table 32": """
        Extra No. 1 Canada  | 1 0.00 0.05 1.0 1.0 1.0   | uniform in size, good natural
        No. 1 Canada        | 3 0.05 0.10 1.5 1.5 2.0   | reasonably good
        No. 1 Canada Select | 3 0.05 0.10 1.5 1.5 2.0   | fairly good
        No. 2 Canada        | 5 0.10 0.20 3.0 3.0 4.0   | fairly good
        No. 3 Canada        | 10 0.20 0.50 5.0 5.0 6.0  | fairly good
        No. 4 Canada        | 15 0.50 1.00 8.5 8.5 10.0 | off""",
}


def printed_rows():
    for table, text in PRINTED.items():
        for place, line in enumerate(text.split("\n")[1:]):
            name, cells, quality = (part.strip() for part in line.split("|"))
            yield table, place, name, cells.split(), quality


ROWS = list(printed_rows())
CELLS = [
    pytest.param(table, place, column, limit, id=f"{table}, {name}, {column}")
    for table, place, name, cells, _ in ROWS
    for column, limit in zip(COLUMNS, cells, strict=True)
]


def shipped_row(table, place):
    tables = {entry.table.removeprefix("Schedule 3, "): entry for entry in shipped_rule_set("CA-BEANS").tables}
    return tables[table].grades[place]


@pytest.mark.outside(
    "Canada Grain Regulations, C.R.C., c. 889, Schedule 3, Tables 30 to 32 (SOR/2019-211; consolidation of 2025-07-25)"
)
@pytest.mark.parametrize(("table", "place", "column", "limit"), CELLS)
def test_each_cell_is_written_as_printed_and_read_to_its_own_decimals(table, place, column, limit):
    row = shipped_row(table, place)
    assert row.limits[column] == limit
    step = Fraction(1, 10 ** len(limit.partition(".")[2]))
    beyond = Fraction(Decimal(limit)) + step / 2  # equidistant: rounded up, so beyond the limit
    for value, within in ((beyond - Fraction(1, 10**9), True), (beyond, False)):
        shares = {**dict.fromkeys(COLUMNS, Fraction(0)), column: value / 100}
        found = shortfalls(shipped_rule_set("CA-BEANS"), row, shares, {})
        assert [shortfall.thing for shortfall in found] == ([] if within else [column])


@pytest.mark.outside(
    "Canada Grain Regulations, C.R.C., c. 889, Schedule 3, Tables 30 to 32 (SOR/2019-211; consolidation of 2025-07-25)"
)
@pytest.mark.parametrize(("table", "place", "name", "cells", "quality"), ROWS)
def test_each_row_has_its_printed_name_and_standard_of_quality(table, place, name, cells, quality):
    row = shipped_row(table, place)
    assert row.name == name
    assert len(row.limits) == len(cells)
    uniform = {"uniform_size": "yes"} if quality.startswith("uniform") else {}
    assert row.needs == {**uniform, "colour": quality.split(", ")[-1].replace(" ", "_")}


@pytest.mark.outside(
    "Canada Grain Regulations, C.R.C., c. 889, Schedule 3, Tables 30 to 32 (SOR/2019-211; consolidation of 2025-07-25)"
)
def test_there_are_three_tables_of_six_rows_and_no_other():
    tables = shipped_rule_set("CA-BEANS").tables
    assert [(table.table, len(table.grades)) for table in tables] == [(f"Schedule 3, {name}", 6) for name in PRINTED]
