"""Tracing a lot among 100,000: our walk beside the bare recursive SQL with lot columns, and the shares apart."""

from collections.abc import Iterator
from datetime import UTC, datetime
from random import Random
from uuid import UUID

from benchmarks.result import Result
from benchmarks.timing import interleaved

LOTS = 100_000
LEVELS = 14
TRACES = 40
NEAR = 40  # lots are blended with lots that stand near them, as in a store of one class
_BARE = """
    WITH RECURSIVE reached(node) AS (
        SELECT CAST(? AS bigint)
        UNION
        SELECT link.parent FROM reached JOIN inventory_link AS link ON link.child = reached.node
    )
    SELECT reached.node, lot.number, standing.opening_mg, standing.made_at, standing.line_id
    FROM reached
    LEFT JOIN inventory_standing AS standing ON standing.lot_id = reached.node / 8
    LEFT JOIN inventory_lot AS lot ON lot.id = reached.node / 8
"""


def run() -> Iterator[Result]:
    """Compare in one run: the walk (goal: at most twice the bare SQL), then the shares worked out from walks."""
    # Django must be set up before its models are imported; the frame does so before it calls us.
    from django.core.management import call_command  # noqa: PLC0415
    from django.db import connection  # noqa: PLC0415

    from inventory.queries.lineage import Lineage, key_for  # noqa: PLC0415
    from inventory.queries.tracing import shares_of  # noqa: PLC0415
    from inventory.queries.walking import walk  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    fill(LOTS)
    nodes = [8 * key for key in Random(7).sample(range(LOTS - LOTS // LEVELS + 1, LOTS + 1), TRACES)]
    bare = connection.connection.cursor()

    def reference() -> None:
        for node in nodes:
            bare.execute(_BARE, [node]).fetchall()

    def ours() -> None:
        for node in nodes:
            walk([node])

    walks = [(key_for(node), walk([node])) for node in nodes]

    def shares() -> None:
        for ref, reached in walks:
            lineage = Lineage(ref)
            lineage.take(reached, forward=False)
            shares_of(lineage, forward=False)

    yield Result("trace", *(time / TRACES for time in interleaved(ours, reference, runs=15)))
    yield Result("trace shares", *(time / TRACES for time in interleaved(shares, reference, runs=15)))


def fill(lots: int) -> None:
    """Fill an empty database with lots of many seasons: 1.32 links a lot, four in a hundred blends of four lots.

    Raw rows: these are no books, and nothing here may be read as an example of how seed is booked.
    """
    from django.db import connection, transaction  # noqa: PLC0415

    operation = _act()
    with transaction.atomic(), connection.cursor() as cursor:
        now = datetime(2025, 1, 1, tzinfo=UTC)
        cursor.executemany(
            "INSERT INTO inventory_lot (id, uid, station_id, year, running, number) VALUES (%s, %s, 1, 25, %s, %s)",
            [(key, UUID(int=key).hex, key, f"25-{key}") for key in range(1, lots + 1)],
        )
        cursor.executemany(
            "INSERT INTO inventory_standing (lot_id, station_id, made_by_id, made_at, opening_mg, treated,"
            " inherits_treatment) VALUES (%s, 1, %s, %s, %s, %s, %s)",
            [(key, operation, now, 1_000_000 + key, False, False) for key in range(1, lots + 1)],
        )
        cursor.executemany(
            "INSERT INTO inventory_link (station_id, operation_id, parent, child, weight, total, is_sowing, is_assumed)"
            " VALUES (1, %s, %s, %s, %s, %s, %s, %s)",
            [(operation, *link, False, False) for link in _links(lots)],
        )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def _act() -> int:
    from django.contrib.auth.models import User  # noqa: PLC0415

    from inventory.models import Operation, Station  # noqa: PLC0415

    station = Station.objects.create(pk=1, code="B", name="Benchmark")
    person = User.objects.create_user("benchmark")
    now = datetime(2025, 1, 1, tzinfo=UTC)
    act = Operation.objects.create(
        station=station, seq=1, kind="blend", at=now, recorded_at=now, by=person, content="{}", hash="none"
    )
    return act.pk


def _links(lots: int) -> Iterator[tuple[int, int, int, int]]:
    """Link each lot to lots of the level before it: parent, child, weight, total."""
    chance, size = Random(1), lots // LEVELS
    for key in range(size + 1, lots + 1):
        parents = chance.choices((1, 2, 3, 4), (78, 16, 2, 4))[0]
        middle = key - size
        chosen = {max(1, min(lots, middle + chance.randint(-NEAR, NEAR))) for _ in range(parents)}
        for parent in sorted(chosen):
            yield 8 * parent, 8 * key, 1, len(chosen)
