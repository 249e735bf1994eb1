"""A page of 100 acts among a million by the API, beside the framework's plain serializer; and the 9,000th page."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from benchmarks.result import Result
from benchmarks.timing import interleaved

ACTS = 1_000_000
PAGE = 100
DEEP = 9_000
RUNS = 41
TAKEN_BACK = 50  # every fiftieth act takes the one before back


def run() -> Iterator[Result]:
    """Compare in one run: goals are a third of the plain serializer, and 1.3 times page 1 for page 9,000."""
    # Django must be set up before its models are imported; the frame does so before it calls us.
    from django.core.management import call_command  # noqa: PLC0415
    from rest_framework.test import APIRequestFactory  # noqa: PLC0415

    from api.v1.cursors import Cursor, write_cursor  # noqa: PLC0415
    from api.v1.listing import Things  # noqa: PLC0415
    from api.v1.shelves import BY_NAME  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    headers = {"Authorization": f"Bearer {_fill(ACTS)}"}
    view, plain, make = (
        Things.as_view(shelf=BY_NAME["operations"]),
        _plain_view(),
        APIRequestFactory(SERVER_NAME="localhost"),
    )

    def asking(answer: Callable[..., Any], **words: object) -> Callable[[], bytes]:
        request = {"path": "/api/v1/operations", "data": {"limit": PAGE, **words}, "headers": headers}
        return lambda: _read(answer(make.get(**request)))

    first = asking(view)
    deep = asking(view, cursor=write_cursor(Cursor(ACTS - PAGE * DEEP)))
    yield Result("api list against plain serializer", *interleaved(first, asking(plain), runs=RUNS))
    yield Result("api page 9,000 against page 1", *interleaved(deep, first, runs=RUNS))


def _read(answer: Any) -> bytes:
    if hasattr(answer, "render"):
        answer.render()
    if answer.status_code != 200:
        raise RuntimeError(f"The page was not answered: {answer.content!r}")
    return bytes(answer.content)


def _plain_view() -> Callable[..., Any]:
    """The framework's own way to the same columns: a model serializer on cursor pages, its joins not forgotten."""
    from rest_framework import generics, pagination, serializers  # noqa: PLC0415

    from inventory.models import Operation  # noqa: PLC0415

    class PlainOperation(serializers.ModelSerializer[Operation]):
        by = serializers.CharField(source="by.username")
        reverses = serializers.IntegerField(source="reverses.seq", default=None)
        is_reversed = serializers.SerializerMethodField()
        load = serializers.CharField(source="load.number", default=None)

        class Meta:
            model = Operation
            fields = (
                "uid", "seq", "kind", "at", "recorded_at", "by", "reason", "reverses", "is_reversed", "load", "hash",
            )  # fmt: skip

        def get_is_reversed(self, one: Operation) -> bool:
            return hasattr(one, "reversed_by")

    class Pages(pagination.CursorPagination):
        ordering, page_size = "-pk", PAGE

    class PlainOperations(generics.ListAPIView[Operation]):
        queryset = Operation.objects.select_related("by", "reverses", "load", "reversed_by").filter(station=1)
        serializer_class, pagination_class = PlainOperation, Pages

    return PlainOperations.as_view()


def _fill(acts: int) -> str:
    """Fill an empty database with acts and give the secret of a key that reads them; these are no books."""
    from django.contrib.auth.models import User  # noqa: PLC0415
    from django.db import connection, transaction  # noqa: PLC0415

    from api.tokens import make_token  # noqa: PLC0415
    from inventory.models import Membership, Station  # noqa: PLC0415

    station = Station.objects.create(pk=1, code="B", name="Benchmark")
    person = User.objects.create_user("benchmark")
    Membership.objects.create(station=station, user=person, role="records")
    now = datetime(2025, 1, 1, tzinfo=UTC)
    rows = (
        (
            key, UUID(int=key).hex, key, "move", now, now, person.pk, "put together", "", "{}", "", f"{key:064x}",
            None if key % TAKEN_BACK else key - 1,
        )
        for key in range(1, acts + 1)
    )  # fmt: skip
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.executemany(
            "INSERT INTO inventory_operation (id, uid, station_id, seq, kind, at, recorded_at, by_id, reason, key,"
            " content, prev_hash, hash, reverses_id) VALUES (%s, %s, 1, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s, %s)",
            rows,
        )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return make_token(person, scopes=("read",), days=None, now=datetime.now(UTC))
