"""Deliveries: each row is a lot received."""

from collections.abc import Mapping, Sequence

from django.contrib.auth.models import User

from inventory.actions.desk import Desk
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_floor
from inventory.actions.reader import Reader
from inventory.actions.receiving import Delivery, expect_deliveries, plan_delivery
from inventory.importing.cells import RowCells
from inventory.importing.kinds.kind import Kind, in_unit
from inventory.importing.rows import NeverCalculated
from inventory.importing.vocabulary import INTAKE
from inventory.models import LineName, Place, Plot, Station
from inventory.rules.mass import ReadMass


def read_delivery(rows: Sequence[RowCells]) -> Delivery:
    """Read one row as a delivery."""
    cells = rows[0]
    gross, tare, net = (cells.mass(name) for name in ("gross", "tare", "net"))
    _propose_net(cells, gross, tare)
    unit = next((mass.unit for mass in (gross, net, tare) if mass), "kg")
    known = cells.sheet.known
    return Delivery(
        at=cells.date("date", needed=True),
        lot=cells.lot("lot"),
        line=cells.code("line", known.lines),
        plots=cells.plots(),
        gross=in_unit(gross, unit),
        tare=in_unit(tare, unit),
        net=in_unit(net, unit),
        unit=unit,
        moisture=cells.moisture(),
        place=cells.code("place", known.places) or "",
        remarks=cells.text("remarks"),
    )


def _propose_net(cells: RowCells, gross: ReadMass | None, tare: ReadMass | None) -> None:
    """Propose gross less tare where the net is a formula that no program has calculated."""
    if gross is None or tare is None or gross.unit != tare.unit:
        return
    for said in cells.said:
        if said.field == "net" and isinstance(said.mistake, NeverCalculated):
            said.mistake.proposal = f"{gross.amount - tare.amount:f}"


def expect(desk: Desk, deliveries: Sequence[Delivery]) -> None:
    """Look up what the deliveries name, and the floor if any names no place."""
    expect_deliveries(desk, deliveries)
    if not all(delivery.place for delivery in deliveries):
        expect_floor(desk, desk.station.floor)


def plan(reader: Reader, delivery: Delivery, by: User) -> Sequence[Draft]:
    """Plan the receipt."""
    return [plan_delivery(reader, delivery, by=by)]


def lists(station: Station) -> Mapping[str, Sequence[str]]:
    """Offer lines, plots and places."""
    plots = Plot.objects.filter(station=station, taken_back=False)
    return {
        "line": list(LineName.objects.filter(station=station).order_by("name").values_list("name", flat=True)),
        "plot": list(plots.order_by("-season", "code").values_list("code", flat=True)),
        "place": list(Place.objects.filter(station=station).order_by("code").values_list("code", flat=True)),
    }


KIND = Kind(
    INTAKE,
    ("receive",),
    read_delivery,
    expect,
    plan,
    {
        "at": ("date",),
        "gross": ("gross", "net"),
        "tare": ("tare", "gross"),
        "net": ("net", "gross"),
        "plots": ("plot",),
    },
    compared=("net_differs", "field_differs", "maybe_pounds"),
    lists=lists,
)
