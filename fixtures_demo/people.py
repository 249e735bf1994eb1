"""The station of the demo: its people, places, containers, sites, crosses and lines; all invented."""

from collections.abc import Sequence
from datetime import datetime

from django.contrib.auth.models import User

from fixtures_demo.calendar import ZONE
from fixtures_demo.tables import table
from inventory.actions.crosses import NewCross, add_crosses
from inventory.actions.lines import NewLine, add_classes, add_lines
from inventory.actions.people import add_person, open_station
from inventory.actions.places import NewContainer, add_containers, add_places
from inventory.actions.plots import add_sites
from inventory.models import Station

OPENED_ON = "2024-05-01"
PEOPLE = (
    ("intake", "intake"), ("line", "line"), ("bench-1", "bench"), ("bench-2", "bench"), ("breeder", "breeder"),
)  # fmt: skip
EVERYBODY = (*(name for name, _role in PEOPLE), "records")
SITES = {"QM": "Quillmarsh, home farm", "HM": "Hestermere field"}
PLACES = {
    "F-1": "intake floor",
    "L-1": "end of the line",
    **{f"{rack}-{number:02d}": f"rack {rack}" for rack in "ABH" for number in range(1, 9)},
    **{f"{shelf}-{number}": "cold room shelf" for shelf in "CD" for number in range(1, 9)},
    **{f"T-{number}": "tote bay" for number in range(1, 5)},
}
CONTAINERS = (("steel-1", "steel bin", "42.0"), ("box-1", "plastic box", "28.5"), ("bag-1", "cloth bag", "0.10"))


def open_quillmarsh(now: datetime | None = None) -> Station:
    """Open the station with everything but plots and seed, through actions."""
    station = open_station("QM", "Quillmarsh Station", records="records", zone=ZONE.key, at=OPENED_ON, now=now)
    records = User.objects.get(username="records")
    for name, role in PEOPLE:
        add_person(name, role, station=station, by=records, at=OPENED_ON, now=now)
    add_places(PLACES, station=station, by=records, at=OPENED_ON, now=now)
    containers = [
        NewContainer(code=code, kind=kind, tare=tare, checked_on=OPENED_ON, at=OPENED_ON)
        for code, kind, tare in CONTAINERS
    ]
    add_containers(containers, station=station, by=records, now=now)
    add_sites(SITES, station=station, by=records, at=OPENED_ON, now=now)
    _add_lines(station, records, now)
    return station


def _add_lines(station: Station, records: User, now: datetime | None) -> None:
    classes: Sequence[str] = list(dict.fromkeys(row["class"] for row in table("lines")))
    add_classes(classes, station=station, by=records, at=OPENED_ON, now=now)
    crosses = [
        NewCross(code=row["cross"], female=row["female"], male=row["male"], at=OPENED_ON) for row in table("crosses")
    ]
    add_crosses(crosses, station=station, by=records, now=now)
    lines = [
        NewLine(name=row["line"], market_class=row["class"], cross=row["cross"], at=OPENED_ON) for row in table("lines")
    ]
    add_lines(lines, station=station, by=records, now=now)
