"""A trial in the books for tests: plots of lines in reps, each delivered as a lot with its moisture."""

from inventory.actions.plots import NewPlot, PlotWeight, add_plots, weigh_plots
from inventory.actions.receiving import Delivery, receive_all
from inventory.models import Lot
from tests.make import NOW, House

ANSWERS = {"field_differs": "test", "already_in": "test", "line_differs": "test", "letter_in_code": "test"}


def trial(
    plant: House, site: str, year: int, given: dict[str, list[str]], *, moisture: str = "16", **more: str
) -> None:
    """Plots of 10 m2 and their lots; `given` has each line's kilograms rep by rep."""
    for number, (line, masses) in enumerate(given.items(), 1):
        for rep, mass in enumerate(masses, 1):
            code = f"{site}{year % 100}-T{rep}{number:02d}"
            plot(plant, code, line, year, rep, **more)
            deliver(plant, (code,), mass, f"{year}-09-20", moisture)


def plot(plant: House, code: str, line: str, year: int, rep: int | None = None, **more: str) -> None:
    """One plot of a trial."""
    words = {"code": code, "line": line, "site": "ST", "season": year, "trial": code[:2], "rep": rep, "area": "10"}
    new = NewPlot(**{**words, "sown_on": f"{year}-05-20", **more})
    add_plots([new], station=plant.station, by=plant.breeder, now=NOW, answers=ANSWERS)


def weigh(plant: House, code: str, mass: str) -> None:
    """Its field weight."""
    weigh_plots([PlotWeight(plot=code, mass=mass)], station=plant.station, by=plant.breeder, now=NOW)


def deliver(plant: House, plots: tuple[str, ...], mass: str, at: str, moisture: str = "16") -> Lot:
    """Plots delivered as one lot."""
    delivery = Delivery(plots=plots, net=mass, place="F-1", at=at, moisture=moisture)
    return receive_all([delivery], station=plant.station, by=plant.intake, now=NOW, answers=ANSWERS).lots[0]
