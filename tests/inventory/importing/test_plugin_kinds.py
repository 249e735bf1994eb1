"""A plugin's own kind of sheet, which imports nothing but the plugin interface."""

from collections.abc import Sequence

import pytest

from hilum.plugins import SheetColumn, SheetFinding, SheetKind, SheetRow, hookimpl
from hilum.plugins.host import Host
from inventory.actions.loading import unload
from inventory.actions.receiving import Delivery, receive
from inventory.importing import kinds
from inventory.models import Load, Operation, Station, Stock
from tests.inventory.importing.kinds_of_rows import check, load, open_ones
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db
TEXT = "Day;Plot code;Amount (lb);Colour\n2024-09-24;ST24-N-1-1;10;pale\n24 sept 2024;ST24-N-1-2;20;dark"


class Gleanings:
    """Receives what was gleaned, and asks about dark seed."""

    def __init__(self) -> None:
        self.checked: list[list[SheetRow]] = []
        self.plant: House | None = None

    @hookimpl
    def sheet_kinds(self) -> Sequence[SheetKind]:
        columns = (
            SheetColumn("day", ("Day",), "date", required=True),
            SheetColumn("plot", ("Plot code",), "code", required=True),
            SheetColumn("amount", ("Amount",), "mass"),
            SheetColumn("colour", ("Colour",)),
        )
        return [SheetKind("gleanings", "gleanings", columns, self.check, self.save)]

    def check(self, rows: Sequence[SheetRow], station: str) -> Sequence[SheetFinding]:
        self.checked.append(list(rows))
        dark = [row for row in rows if row.values.get("colour") == "dark"]
        return [SheetFinding(row.number, "colour", "question", "Dark seed is old. Is it pale?", "pale") for row in dark]

    def save(self, rows: Sequence[SheetRow], station: str, user: str) -> Sequence[str]:
        assert self.plant
        home = Station.objects.get(code=station)
        for row in rows:
            words = Delivery(
                plots=(row.values["plot"],), net=row.values["amount"], unit="g", place="F-1", at=row.values["day"],
                remarks=row.values["colour"],
            )  # fmt: skip
            receive(words, station=home, by=self.plant.records, now=NOW)
        return []


@pytest.fixture
def plugin(monkeypatch: pytest.MonkeyPatch) -> Gleanings:
    plugin = Gleanings()
    host = Host([("gleanings", lambda: plugin)], raising=True)
    monkeypatch.setattr(kinds, "the_host", lambda: host)
    plugin.plant = house()
    return plugin


def test_it_gets_rows_as_the_site_has_read_them(plugin):
    outcome = check(plugin.plant, "gleanings", TEXT)
    assert plugin.checked[0] == [
        SheetRow(2, {"day": "2024-09-24", "plot": "ST24-N-1-1", "amount": "4535.924", "colour": "pale"}),
        SheetRow(3, {"day": "2024-09-24", "plot": "ST24-N-1-2", "amount": "9071.847", "colour": "dark"}),
    ]
    assert open_ones(outcome) == [(3, "Colour", "question")]


@pytest.mark.parametrize(("answer", "colour"), [("accept", "pale"), ("keep", "dark"), ("grey", "grey")])
def test_its_questions_are_answered_like_all_others(plugin, answer, colour):
    outcome = load(plugin.plant, "gleanings", TEXT, [{"row": 3, "column": "Colour", "answer": answer}])
    assert (outcome.rows, outcome.saved, str(outcome.load)) == (2, 2, "L1")
    assert f'"remarks":"{colour}"' in Operation.objects.get(seq=2).content


def test_its_acts_belong_to_the_load_and_go_with_it(plugin):
    done = load(plugin.plant, "gleanings", TEXT.replace("dark", "pale")).load
    assert Operation.objects.filter(load=done).count() == 2
    unload(done, station=plugin.plant.station, by=plugin.plant.records, now=NOW)
    assert not Stock.objects.filter(mg__gt=0).exists()


def test_nothing_is_saved_while_its_question_is_open(plugin):
    assert load(plugin.plant, "gleanings", TEXT).saved == 0
    assert (Load.objects.count(), Operation.objects.count()) == (0, 0)
