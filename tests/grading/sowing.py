"""A station with seed to sow: clean and raw lots of a line, tested, promised, held and treated as a test wants."""

from decimal import Decimal

from uuid6 import uuid7

from grading.actions.measuring import HundredSeeds, measure_seed_weights
from grading.actions.testing import Germination, book_germinations
from inventory.actions.holding import hold
from inventory.actions.promising import Promising, promise
from inventory.actions.running import Out, Run, book_run
from inventory.models import Plot
from tests.grading.station import NOW, Bench, station


def store() -> Bench:
    """Clean 24-0002-8 (59.5 kg, 92 %) and 25-0002-4 (1,030.2 kg, 96 %, 600 promised), and raw 24-0003-1 (12 kg)."""
    bench = station()
    clean(bench, "24-0001-5", "24-0002-8", "59.9", "QM24-N-1-1")
    clean(bench, "25-0001-9", "25-0002-4", "1030.6", plot_of(2025))
    bench.lots("24-0003-1", mass="12")
    germinates(bench, "24-0002-8", "92", "2025-11-12")
    germinates(bench, "25-0002-4", "96", "2025-11-18")
    say = Promising(lot="25-0002-4", mass="600", recipient="next year's blocks")
    promise(say, station=bench.plant.station, by=bench.plant.breeder, now=NOW)
    return bench


def plot_of(year: int) -> str:
    """A plot of line N-1 in a season."""
    new = Plot.objects.get(code="QM24-N-1-2")
    new.pk, new.uid, new.code, new.season = None, uuid7(), f"QM{year % 100}-N-1-9", year
    new.save()
    return new.code


def clean(bench: Bench, raw: str, made: str, mass: str, plot: str) -> None:
    """Receive 1,200 kg of a plot and clean them."""
    year = f"20{raw[:2]}"
    bench.lots(raw, mass="1200", plot=plot, at=f"{year}-09-24")
    a_run = Run(
        number=f"R{year}", machines="air-screen", feed_lot=raw, feed="1200", outs=(Out(mass=mass, lot=made),),
        taken_off={"throughs": str(1200 - Decimal(mass))}, at=f"{year}-10-08",
    )  # fmt: skip
    book_run(a_run, station=bench.plant.station, by=bench.plant.line, now=NOW)


def germinates(bench: Bench, lot: str, percent: str, on: str, mass: str = "0.4") -> None:
    """A germination test with the same count in each replicate."""
    words = Germination(number=f"T{lot[:2]}{lot[-1]}", lot=lot, replicates=[percent] * 4, mass=mass, at=on)
    book_germinations([words], station=bench.plant.station, by=bench.plant.bench, now=NOW)


def weighed(bench: Bench, lot: str, grams: str) -> None:
    """The weight of a hundred seeds, the same four times."""
    words = HundredSeeds(lot=lot, readings=[grams] * 4)
    measure_seed_weights([words], station=bench.plant.station, by=bench.plant.bench, now=NOW)


def held(bench: Bench, lot: str) -> None:
    """A hold."""
    hold([lot], station=bench.plant.station, by=bench.plant.breeder, reason="odour", now=NOW)
