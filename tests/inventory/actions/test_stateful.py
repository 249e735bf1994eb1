"""A plant at play: any act, in any order, on any lot, and the promises of the ledger hold at the end of each season."""

import os
from collections import Counter
from itertools import count
from typing import Any

import networkx
import pytest
from django.db import connection
from django.db.models import Sum
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule, run_state_machine_as_test

from inventory.actions.acting import Booked
from inventory.actions.reversing import reverse
from inventory.models import Entry, Link, Operation, Plot, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.inventory.actions.season import ACTS, Choice, Season
from tests.make import NOW, House, house

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

IN_CI = os.environ.get("CI") == "true" or os.environ.get("HYPOTHESIS_PROFILE") == "ci"
# The long game is played once, on the quicker engine: SQL that differs is tried by the shorter one on PostgreSQL.
IS_LONG = IN_CI and connection.vendor == "sqlite"
SEASONS, STEPS = (220, 52) if IS_LONG else (60, 52) if IN_CI else (15, 40)
LEAST_STEPS = 10_000 if IS_LONG else 2_000 if IN_CI else 300
PHASES = (Phase.generate,) if os.environ.get("HILUM_NO_SHRINK") else tuple(Phase)
CHOICES = st.builds(Choice, st.integers(0, 60), st.integers(0, 24), st.integers(1, 105))
NOT_REVERSED = ("a_lifting", "a_reversal")
_codes = (f"P{index}" for index in count())
played: Counter[str] = Counter()


def _open_plots(plant: House) -> None:
    """Three plots from which nothing was harvested yet, to sow on."""
    for older in Plot.objects.filter(station=plant.station, code__endswith="-1").order_by("pk"):
        code = older.code.replace("ST24", "ST25")
        Plot.objects.create(station=plant.station, site=older.site, code=code, season=2025, line=older.line)


class Plant(RuleBasedStateMachine):
    """One season at a station of its own."""

    @initialize()
    def open(self) -> None:
        """Start with two lots, so that there is something to play with."""
        if connection.vendor == "postgresql":
            # All seasons are one transaction here, of which the server gathers no figures by itself; plans go astray.
            connection.cursor().execute("ANALYZE")
        self.season = Season(house(next(_codes)))
        _open_plots(self.season.house)
        for pick in (0, 5):
            ACTS["a_delivery"](self.season, Choice(pick, 1, 100))

    @rule(name=st.sampled_from(sorted(ACTS)), choice=CHOICES)
    def act(self, name: str, choice: Choice) -> None:
        """Do any act; what cannot be done is refused in words and leaves no trace."""
        self.attempt(name, choice)

    @rule(name=st.sampled_from(sorted(set(ACTS) - set(NOT_REVERSED))), choice=CHOICES)
    def act_and_take_back(self, name: str, choice: Choice) -> None:
        """An act and its reversal leave everything as it was."""
        before = self.season.state()
        booked = self.attempt(name, choice)
        if booked is not None:
            people, station = self.season.house.people, self.season.house.station
            for operation in booked.operations[::-1]:
                reverse(operation, station=station, by=people["records"], reason="a slip", now=NOW)
            played["taken back"] += 1
        assert self.season.state() == before

    def attempt(self, name: str, choice: Choice) -> Booked | None:
        """Count the step, and whether it was done."""
        acts = Operation.objects.count()
        try:
            booked = ACTS[name](self.season, choice)
        except Refused:
            booked = None
            assert Operation.objects.count() == acts
        played["steps"] += 1
        played[name] += booked is not None
        return booked

    def teardown(self) -> None:
        """Hold the books against every promise."""
        if hasattr(self, "season"):
            check(self.season)


def check(season: Season) -> None:
    """Check what `verify` checks, and the same again without any of its code."""
    station = season.house.station
    verdict = verify(station)
    assert (verdict.differences, verdict.chain) == ([], "whole")
    sums = Entry.objects.filter(station=station).values("operation").annotate(mg=Sum("mg"))
    assert not [row for row in sums if row["mg"]]
    _stock_is_the_sum_of_its_entries(season)
    links = list(Link.objects.filter(station=station))
    assert networkx.is_directed_acyclic_graph(networkx.DiGraph([(link.parent, link.child) for link in links]))
    _shares_sum_to_one(links)


def _stock_is_the_sum_of_its_entries(season: Season) -> None:
    seed = Entry.objects.filter(station=season.house.station, lot__isnull=False)
    sums = seed.values_list("lot", "place", "bag_no").annotate(mg=Sum("mg"))
    rows = Stock.objects.filter(station=season.house.station)
    stock = {(row.lot_id, row.place_id, row.bag_no): row.mg for row in rows}
    assert {(lot, place, bag): mg for lot, place, bag, mg in sums if mg} == {key: mg for key, mg in stock.items() if mg}
    assert all(mg >= 0 for mg in stock.values())


def _shares_sum_to_one(links: list[Link]) -> None:
    into: dict[Any, list[Link]] = {}
    for link in links:
        if not link.is_sowing:
            into.setdefault(link.child, []).append(link)
    for sources in into.values():
        assert {link.total for link in sources} == {sum(link.weight for link in sources)}


def test_a_plant_keeps_its_promises_whatever_people_do() -> None:
    """At least 10,000 steps in CI on SQLite; every kind of act is done and taken back many times."""
    played.clear()
    run_state_machine_as_test(
        Plant,
        settings=settings(
            max_examples=SEASONS, stateful_step_count=STEPS, deadline=None,
            phases=PHASES, suppress_health_check=list(HealthCheck), print_blob=True,
        ),
    )  # fmt: skip
    print(dict(played))  # noqa: T201 - shown with -s, and where the test fails
    assert played["steps"] >= LEAST_STEPS
    if IS_LONG:
        assert [name for name in ACTS if played[name] < 10] == []
