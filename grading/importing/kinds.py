"""The sheets of the bench: samples with the portion that was picked, and germination tests."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User

from grading.actions.bench import Bench
from grading.actions.grading import Planned, SampledAndWorked, plan_both, plan_gradings
from grading.actions.portions import Worked
from grading.actions.sampling import Sampled, expect_sampled
from grading.actions.testing import Germination, plan_germination
from grading.importing.vocabulary import GERMINATION, MOST_REPLICATES, SAMPLES
from grading.models import Sample
from inventory.actions.desk import Desk
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_lots
from inventory.actions.reader import Reader
from inventory.importing.cells import RowCells
from inventory.importing.kinds.kind import Kind, in_unit
from inventory.rules.mass import MG_PER_G, ReadMass
from inventory.rules.reading import typed_text

DISHES = (
    "splits", "damaged", "other_foreign_material", "stones", "contrasting_classes", "classes_that_blend",
)  # fmt: skip
REPLICATES = tuple(f"rep_{number}" for number in range(1, MOST_REPLICATES + 1))


class Waiting:
    """Portions that wait beside the desk until their samples are posted."""

    def __init__(self, _desk: Desk) -> None:
        self.planned: list[tuple[Draft, Planned]] = []


def read_sample(rows: Sequence[RowCells]) -> SampledAndWorked:
    """Read one row as a sample and its portion."""
    cells = rows[0]
    portion, at = grams(cells, "portion"), cells.date("date", needed=True)
    sampled = Sampled(
        number=cells.text("sample"),
        lot=cells.lot("lot"),
        mass=in_unit(cells.mass("taken"), "kg"),
        points=cells.value("points", shared=False),
        scheme=cells.text("scheme"),
        file_sample_of=cells.text("file_sample_of"),
        at=at,
    )
    worked = Worked(
        portion=portion,
        weights={dish: dish_grams(cells, dish, portion) for dish in DISHES if dish in cells.sheet.headings.columns},
        gross=grams(cells, "gross"),
        dockage=dish_grams(cells, "dockage", grams(cells, "gross")),
        sound=dish_grams(cells, "sound", portion),
        seed_weight=grams(cells, "seed_weight"),
        grader=cells.text("grader"),
        at=at,
    )
    return SampledAndWorked(sample=sampled, portion=worked)


def grams(cells: RowCells, name: str) -> Decimal | None:
    """Read a mass in grams, exactly."""
    mass = cells.mass(name)
    return None if mass is None else _grams(mass)


def _grams(mass: ReadMass) -> Decimal:
    return mass.amount if mass.unit == "g" else Decimal(mass.mg) / MG_PER_G


def dish_grams(cells: RowCells, name: str, whole: Decimal | None) -> Decimal | None:
    """Read a dish in grams; one written as a share is taken of the whole, exactly."""
    if name not in cells.sheet.headings.columns:
        return None
    text = typed_text(cells.cell(name).value).strip()
    if cells.unit(name) != "%" and not cells.cell(name).is_percent and not text.endswith("%"):
        return grams(cells, name)
    share = cells.percent(name)
    return None if share is None or whole is None else (whole * share / 100).normalize()


def expect_samples(desk: Desk, items: Sequence[SampledAndWorked]) -> None:
    """Look up the lots and samples that the rows name."""
    expect_sampled(desk.beside(Bench), [item.sample for item in items])


def plan_sample_row(reader: Reader, item: SampledAndWorked, by: User) -> Sequence[Draft]:
    """Plan the sample; its grading waits until the sample is posted."""
    bench, waiting = reader.desk.beside(Bench), reader.desk.beside(Waiting)
    with bench.samples.trying():
        draft, planned = plan_both(bench, item, reader.answers, by=by, notes=reader.notes)
    waiting.planned.append((draft, planned))
    bench.remember(_sample(draft.rows))
    return [draft]


def part_of_sample(item: SampledAndWorked) -> int:
    """File samples are booked after the samples they were kept from, which may stand in the same sheet."""
    return 1 if item.sample.file_sample_of else 0


def grade_samples(desk: Desk, by: User) -> Sequence[Draft]:
    """Draft the gradings of the samples that were posted, each from the same cells as its sample."""
    waiting = desk.beside(Waiting).planned
    for draft, planned in waiting:
        planned.facts["source"] = draft.facts["source"]
    return plan_gradings([(_sample(draft.rows), planned) for draft, planned in waiting], station=desk.station, by=by)


def _sample(rows: Iterable[Any]) -> Sample:
    return next(row for row in rows if isinstance(row, Sample))


def read_test(rows: Sequence[RowCells]) -> Germination:
    """Read one row as a germination test."""
    cells = rows[0]
    return Germination(
        number=cells.text("test"),
        lot=cells.lot("lot"),
        replicates=[cells.value(name, shared=False) for name in REPLICATES if name in cells.sheet.headings.columns],
        seeds_each=cells.value("seeds", shared=False) or "",
        mass=in_unit(cells.mass("taken"), "kg"),
        bags=cells.text("bag"),
        at=cells.date("date", needed=True),
    )


def expect_tests(desk: Desk, tests: Sequence[Germination]) -> None:
    """Look up the lots and numbers that the rows name."""
    expect_lots(desk, [test.lot for test in tests if test.lot])
    desk.beside(Bench).tests.expect([test.number for test in tests if test.number])


def plan_test_row(reader: Reader, test: Germination, by: User) -> Sequence[Draft]:
    """Plan the test."""
    bench = reader.desk.beside(Bench)
    with bench.tests.trying():
        return [plan_germination(bench, reader, test, by=by)]


OF_PORTION: Mapping[str, tuple[str, ...]] = {
    **{f"weights_g.{dish}": (dish,) for dish in DISHES},
    "portion_g": ("portion",), "gross_g": ("gross",), "dockage_g": ("dockage",), "sound_g": ("sound", "portion"),
    "seed_weight_g_per_100": ("seed_weight",), "at": ("date",), "number": ("sample",), "mass": ("taken",),
    "weights_g": ("portion",),
}  # fmt: skip
SAMPLES_KIND = Kind(
    SAMPLES,
    ("sample", "grade"),
    read_sample,
    expect_samples,
    plan_sample_row,
    OF_PORTION,
    compared=("pan_does_not_close",),
    part=part_of_sample,
    follow=grade_samples,
)
GERMINATION_KIND = Kind(
    GERMINATION,
    ("test",),
    read_test,
    expect_tests,
    plan_test_row,
    {"at": ("date",), "number": ("test",), "mass": ("taken",), "bags": ("bag",), "replicates": ("rep_1",)},
)
ALL = (SAMPLES_KIND, GERMINATION_KIND)
