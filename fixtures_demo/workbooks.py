"""Write the season's workbooks of the five kinds from the tables: `python -m fixtures_demo.workbooks`.

The workbooks are what the demo loads, as a plant would; the tables are how we keep them in the project. A test holds
the two together.
"""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from fixtures_demo.season import calendar, day
from fixtures_demo.tables import HERE, Row, table

# Name of the bench's workbooks, first day, day before which they end: the blend's own come after the blend.
BENCH_SHEETS = (("2024", "2024-01", "2024-12"), ("2025", "2025-01", "2025-12-05"), ("blend", "2025-12-05", "2026"))
FOLDER = HERE / "workbooks"
Sheet = tuple[Sequence[str], list[list[Any]]]


def main() -> None:
    """Write all of them."""
    FOLDER.mkdir(exist_ok=True)
    for name, sheet in season_sheets().items():
        _write(FOLDER / f"{name}.xlsx", *sheet)


def season_sheets() -> dict[str, Sheet]:
    """Headings and rows of every workbook, by name."""
    sheets: dict[str, Sheet] = {}
    for year in (2024, 2025):
        sheets[f"plots_{year}"] = _plots([row for row in table("plots") if row["season"] == str(year)])
        sheets[f"intake_{year}"] = _intake([row for row in table("intake") if row["date"].startswith(str(year))])
        sheets[f"runs_{year}"] = _runs([row for row in table("runs") if row["date"].startswith(str(year))])
    for name, first, last in BENCH_SHEETS:
        sheets[f"samples_{name}"] = _samples([row for row in table("samples") if first <= row["date"] < last])
        sheets[f"germination_{name}"] = _tests([row for row in table("tests") if first <= row["date"] < last])
    return sheets


def _plots(rows: Sequence[Row]) -> Sheet:
    heads = ("Plot", "Line", "Site", "Season", "Trial", "Rep", "Position", "Sown", "Area m2", "Generation", "Remarks")
    return heads, [
        [
            row["plot"], row["line"], row["site"], int(row["season"]), row["trial"] or None, _number(row["rep"]),
            _number(row["position"]), _moment("plot", row["sown"], row["plot"]), _area_m2(row),
            _number(row["generation"]), f"sown from {row['sown_from']}" if row["sown_from"] else None,
        ]
        for row in rows
    ]  # fmt: skip


def _intake(rows: Sequence[Row]) -> Sheet:
    heads = ("Date", "Lot", "Line", "Plot", "Gross kg", "Tare kg", "Net kg", "Moist %", "Bin", "Remarks")
    return heads, [
        [
            _moment("intake", row["date"], row["lot"]), row["lot"], row["line"], row["plots"], Decimal(row["gross"]),
            Decimal(row["tare"]), Decimal(row["net"]), Decimal(row["moisture"]), row["place"], row["remarks"] or None,
        ]
        for row in rows
    ]  # fmt: skip


def _runs(rows: Sequence[Row]) -> Sheet:
    streams = ("scalpings", "throughs", "liftings", "lights", "middlings", "stones", "picked")
    heads = (
        "Run", "Date", "Machine", "Feed lot", "Feed kg", "Out lot", "Clean kg", "Scalp", "Through", "Air", "Lights",
        "Middlings", "Stones", "Picked", "Bin", "Clean-out", "Screens",
    )  # fmt: skip
    return heads, [
        [
            row["run"], _moment("run", row["date"], row["run"]), row["machine"], row["feed_lot"], Decimal(row["feed"]),
            row["out_lot"], Decimal(row["clean"]), *(_number(row[stream]) for stream in streams), row["place"],
            row["cleaned_out"], row["screens"] or None,
        ]
        for row in rows
    ]  # fmt: skip


def _samples(rows: Sequence[Row]) -> Sheet:
    dishes = ("splits", "damaged", "other_foreign_material", "stones", "contrasting_classes", "classes_that_blend")
    heads = (
        "Sample", "Date", "Lot", "Taken kg", "Portion g", "Splits", "Damaged", "Foreign material", "Stones",
        "Contrasting", "Blend", "Sound", "Gross g", "Dockage g", "100-seed weight", "Points", "Stands in",
        "Grader",
        "File sample of",
    )  # fmt: skip
    return heads, [
        [
            row["sample"], _moment("sample", row["date"], row["sample"]), row["lot"], _number(row["drawn_kg"]),
            Decimal(row["portion_g"]), *(Decimal(row[f"{dish}_g"]) for dish in dishes), Decimal(row["sound_g"]),
            _number(row["uncleaned_g"]), _number(row["dockage_g"]), Decimal(row["seed_weight_g"]),
            _number(row["points"]), row["scheme"] or None, row["grader"], row["file_sample_of"] or None,
        ]
        for row in rows
    ]  # fmt: skip


def _tests(rows: Sequence[Row]) -> Sheet:
    heads = ("Test", "Date", "Lot", "Rep 1", "Rep 2", "Rep 3", "Rep 4", "Taken kg", "Bag")
    return heads, [
        [
            row["test"], _moment("test", row["date"], row["test"]), row["lot"],
            *(int(row[f"r{index}"]) for index in (1, 2, 3, 4)), Decimal(row["kg"]), _number(row["bag"]),
        ]
        for row in rows
    ]  # fmt: skip


def _moment(kind: str, on: str, number: str) -> datetime:
    """The act's moment as a sheet holds it: the station's time, without a zone."""
    return calendar().moment(kind, day(on), number).replace(tzinfo=None)


def _area_m2(row: Row) -> Decimal:
    return Decimal(row["area"]) * (10_000 if row["area_unit"] == "ha" else 1)


def _number(text: str) -> Decimal | int | None:
    if not text:
        return None
    number = Decimal(text)
    return int(number) if number == number.to_integral_value() and "." not in text else number


def _write(path: Path, heads: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
    book = Workbook()
    sheet = book.active
    sheet.title = path.stem
    sheet.append(list(heads))
    for row in rows:
        sheet.append(list(row))
    sheet.freeze_panes = "A2"
    book.save(path)


if __name__ == "__main__":
    main()
