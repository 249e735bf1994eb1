"""A station with the lots that a season's samples and germination tests were drawn from, made through actions."""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from grading.actions.grading import SampledAndWorked, sample_and_grade_all
from grading.actions.portions import Worked
from grading.actions.sampling import Sampled
from grading.actions.testing import Germination, book_germinations
from inventory.actions.acting import Booked
from inventory.actions.receiving import Delivery, receive_all
from inventory.actions.running import Out, Run, book_run
from inventory.models import Line, LineName, Lot, MarketClass, Plot
from tests.make import House, house, kg_left

NOW = datetime(2026, 3, 31, 20, tzinfo=UTC)
TABLES = Path(__file__).parents[2] / "fixtures_demo"
DISHES = ("splits", "damaged", "other_foreign_material", "stones", "contrasting_classes", "classes_that_blend")


def table(name: str, kind: str = "data") -> list[dict[str, str]]:
    """The rows of one of the demo's tables."""
    with (TABLES / kind / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@dataclass(frozen=True)
class Bench:
    """The station of the season, where any lot of a class can be received."""

    plant: House

    def lots(self, *numbers: str, plot: str = "QM24-N-1-1", mass: str = "600", at: str = "2024-09-24") -> list[Lot]:
        """Receive lots under these numbers."""
        deliveries = [
            Delivery(plots=(plot,), net=mass, place="F-1", at=at, lot=number) for number in numbers
        ]  # fmt: skip
        answers = {"field_differs": "test", "already_in": "test"}
        return receive_all(
            deliveries, station=self.plant.station, by=self.plant.intake, now=NOW, answers=answers
        ).lots  # fmt: skip

    def bench(self, *items: SampledAndWorked, by: str = "bench", **more: Any) -> Booked:
        """Take and grade samples."""
        return sample_and_grade_all(items, station=self.plant.station, by=self.plant.people[by], now=NOW, **more)


def station() -> Bench:
    """Station QM with a pinto beside the house's navy and black lines."""
    plant = house("QM")
    pinto = MarketClass.objects.create(station=plant.station, name="pinto")
    line = Line.objects.create(station=plant.station, name="P-1", market_class=pinto)
    LineName.objects.create(station=plant.station, line=line, name="P-1")
    for old in Plot.objects.filter(station=plant.station):
        old.code = old.code.replace("ST24", "QM24")
        old.save()
    site = Plot.objects.filter(station=plant.station)[0].site
    Plot.objects.create(station=plant.station, site=site, code="QM24-P-1-1", season=2024, line=line, generation=6)
    return Bench(plant)


def season_of_lots(bench: Bench) -> None:
    """All lots that were sampled or tested, each of its class."""
    wanted = {row["lot"] for name in ("samples", "tests") for row in table(name)}
    lines = {row["lot"]: row["line"] for row in table("lots", "answers")}
    for plot, mark in (("QM24-N-1-1", "QN"), ("QM24-B-1-1", "QB"), ("QM24-P-1-1", "QP")):
        bench.lots(*sorted(lot for lot in wanted if lines[lot].startswith(mark)), plot=plot)


def benched(row: dict[str, str], **more: Any) -> SampledAndWorked:
    """One row of the samples' table as it is typed; file samples need no lot and no mass."""
    is_kept = bool(row["file_sample_of"])
    sample = Sampled(
        number=row["sample"], lot="" if is_kept else row["lot"], mass=row["drawn_kg"], points=row["points"],
        file_sample_of=row["file_sample_of"], at=row["date"],
    )  # fmt: skip
    words: dict[str, Any] = {
        "portion": row["portion_g"], "weights": {dish: row[f"{dish}_g"] for dish in DISHES}, "sound": row["sound_g"],
        "gross": row["uncleaned_g"], "dockage": row["dockage_g"], "seed_weight": row["seed_weight_g"],
        "grader": row["grader"],
    }  # fmt: skip
    return SampledAndWorked(sample=sample, portion=Worked(**{**words, **more}))


def season_of_samples(bench: Bench) -> list[Booked]:
    """The season's samples: the file sample after the one it was kept from."""
    rows = table("samples")
    drawn, kept = [row for row in rows if not row["file_sample_of"]], [row for row in rows if row["file_sample_of"]]
    return [bench.bench(*map(benched, drawn)), bench.bench(*map(benched, kept))]


def row_of(rows: Sequence[dict[str, str]], number: str) -> dict[str, str]:
    """One row of the samples' table."""
    return next(row for row in rows if row["sample"] == number)


def kg(mg: int) -> Decimal:
    """Milligrams in kilograms."""
    return Decimal(mg) / 1_000_000


def germinated(row: dict[str, str], **more: Any) -> Germination:
    """One row of the tests' table as it is typed."""
    replicates = [row[name] for name in ("r1", "r2", "r3", "r4")]
    words: dict[str, Any] = {
        "number": row["test"], "lot": row["lot"], "replicates": replicates, "mass": row["kg"], "at": row["date"],
    }  # fmt: skip
    return Germination(**{**words, **more})


def season_of_tests(bench: Bench) -> Booked:
    """The season's germination tests."""
    plant = bench.plant
    return book_germinations(
        [germinated(row) for row in table("tests")], station=plant.station, by=plant.bench, now=NOW
    )  # fmt: skip


def empty(bench: Bench, *numbers: str) -> None:
    """Feed lots whole to the line, so that nothing of them is in store but their clean seed."""
    for index, number in enumerate(numbers):
        left = str(kg_left(Lot.objects.get(number=number)))
        a_run = Run(
            number=f"E{index}", machines="air-screen", feed_lot=number, feed=left, outs=(Out(mass="0.001"),),
            taken_off={"throughs": str(Decimal(left) - Decimal("0.001"))}, at="2025-12-30",
        )  # fmt: skip
        book_run(a_run, station=bench.plant.station, by=bench.plant.line, now=NOW)
