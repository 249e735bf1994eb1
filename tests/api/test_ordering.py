"""Lists in another order: which columns order, what is refused, and pages that skip and double nothing."""

import base64
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection, models
from django.db.models import F

from api.v1.columns import Kind
from api.v1.cursors import Cursor, write_cursor
from api.v1.ordering import Ordering, orders_of
from api.v1.shelves import BY_NAME, SHELVES, Shelf
from inventory.models import Operation, Place, Plot
from tests.api.asking import Program, program_of
from tests.api.test_lists import streamed
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
# A column that the table allows to be empty, and why the list's rows have it all the same.
NEVER_EMPTY = {("lots", "made_at"): "only lots that were made are listed, each with its moment"}


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def program(plant: House) -> Program:
    return program_of(plant.records, "read")


def walked(program: Program, address: str, way: str = "next") -> list[Any]:
    rows: list[Any] = []
    while address:
        page = program.get(address.removeprefix("http://testserver"))
        rows = [*rows, *page["results"]] if way == "next" else [*page["results"], *rows]
        address = page[way]
    return rows


def last_page(program: Program, address: str) -> str:
    while True:
        page = program.get(address.removeprefix("http://testserver"))
        if page["next"] is None:
            return str(page["previous"])
        address = page["next"]


def same_value(plant: House, number: int = 7) -> None:
    """Places whose rows stand in another order than their codes, and acts of one moment."""
    Place.objects.bulk_create(Place(station=plant.station, code=f"X-{9 - one}") for one in range(number))


REFUSED = [
    ("ordering=", "ordering", "Give one column: id or place"),
    ("ordering=-", "ordering", "a hyphen before it turns it"),
    ("ordering=plaec", "ordering", "'plaec' is no column that orders this list. Did you mean place?"),
    ("ordering=colour", "ordering", "There are id and place."),
    ("ordering=name", "ordering", "places has a column name and is not ordered by it"),
    ("ordering=--place", "ordering", "'-place' is no column"),
    ("ordering=place,id", "ordering", "Did you mean place"),
    ("ordering=%00", "ordering", "'?' is no column"),
    ("ordering=place&ordering=id", "ordering", "ordering stands twice. Keep one."),
    ("ordering=PLACE", "ordering", "Did you mean place?"),
]


@pytest.mark.parametrize(("query", "field", "says"), REFUSED)
def test_an_order_that_there_is_not_is_refused_with_those_that_there_are(
    program: Program, query: str, field: str, says: str
) -> None:
    for address in (f"/api/v1/places?{query}", f"/api/v1/places/export?format=csv&{query}"):
        problem = program.get(address, 400)
        assert problem["errors"][0]["field"] == field
        assert says in problem["detail"]


def test_a_cursor_goes_on_only_in_the_order_it_was_made_in(plant: House, program: Program) -> None:
    same_value(plant)
    ordered = program.get("/api/v1/places?limit=2&ordering=place")["next"].partition("cursor=")[2]
    plain = program.get("/api/v1/places?limit=2")["next"].partition("cursor=")[2]
    for query in (f"cursor={ordered}", f"cursor={ordered}&ordering=-place", f"cursor={plain}&ordering=place"):
        problem = program.get(f"/api/v1/places?{query}", 400)
        assert problem["code"] == "cursor_of_other_order"
        assert "Keep the ordering it was made under, or leave the cursor out." in problem["detail"]


@pytest.mark.parametrize(
    ("shelf", "ordering", "value"),
    [
        ("places", "place", "a\0b"),
        ("places", "id", "x"),
        ("places", "id", ""),
        ("places", "id", "9" * 30),
        ("operations", "at", "yesterday"),
        ("operations", "at", "2024-09-24T08:00:00"),
        ("operations", "at", "0001-01-01T00:00:00+14:00"),
        ("lots", "opening", "1.5"),
    ],
)
def test_a_cursor_that_was_written_by_hand_is_no_fault(program: Program, shelf: str, ordering: str, value: str) -> None:
    cursor = write_cursor(Cursor(3, ordering=ordering, value=value))
    assert program.get(f"/api/v1/{shelf}?ordering={ordering}&cursor={cursor}", 400)["code"] == "cursor_not_ours"


@pytest.mark.parametrize("text", [">1\n\0\n", ">" + "9" * 30, ">1\nplace", "\n\n", ">x\nplace\nB"])
def test_no_cursor_of_any_make_is_a_fault(program: Program, text: str) -> None:
    cursor = base64.urlsafe_b64encode(text.encode()).decode()
    answer = program.client.get(f"/api/v1/places?ordering=place&cursor={cursor}", headers=program.headers)
    assert answer.status_code in (200, 400)


@pytest.mark.parametrize("ordering", ["at", "-at", "number", "-number"])
def test_pages_in_any_order_tell_each_row_once_on_and_back(plant: House, program: Program, ordering: str) -> None:
    for _ in range(6):
        received(plant)  # all at one moment
    found = walked(program, f"/api/v1/operations?limit=2&fields=number,at&ordering={ordering}")
    numbers = [row["number"] for row in found]
    wanted = Operation.objects.filter(station=plant.station)
    name = ordering.removeprefix("-").replace("number", "seq")
    turned = ordering.startswith("-")
    order = (F(name).desc(), "-pk") if turned else (F(name).asc(), "pk")
    assert numbers == list(wanted.order_by(*order).values_list("seq", flat=True))
    back = last_page(program, f"/api/v1/operations?limit=2&fields=number&ordering={ordering}")
    before = walked(program, back, "previous")
    assert [row["number"] for row in before] == numbers[: len(before)]
    assert len(before) >= len(numbers) - 2


def test_what_is_booked_between_two_pages_moves_no_row(plant: House, program: Program) -> None:
    same_value(plant)
    page = program.get("/api/v1/places?limit=3&ordering=place&fields=place")
    Place.objects.create(station=plant.station, code="A-00")  # before the page that was read
    rest = walked(program, page["next"])
    codes = [row["place"] for row in [*page["results"], *rest]]
    assert codes == sorted(set(codes))
    assert len(codes) == Place.objects.filter(station=plant.station).count() - 1


def test_an_export_comes_in_the_order_that_is_asked_for(plant: House, program: Program) -> None:
    same_value(plant)
    read = streamed(program, "/api/v1/places/export?format=csv&fields=place&ordering=-place").splitlines()[1:]
    assert read == sorted(read, reverse=True)


@pytest.mark.parametrize("shelf", SHELVES, ids=lambda shelf: shelf.name)
def test_every_order_on_offer_can_be_asked_costs_four_queries_and_rests_on_what_is_never_empty(
    program: Program, shelf: Shelf, django_assert_max_num_queries: Callable[[int], Any]
) -> None:
    assert orders_of(shelf)
    model = program_rows(shelf)
    program.get("/api/v1")
    for column in shelf.columns:
        if not column.orders:
            continue
        assert column.kind in (Kind.NAME, Kind.WHOLE, Kind.MASS, Kind.INSTANT, Kind.DAY)
        assert not column.is_empty_allowed
        assert (shelf.name, column.name) in NEVER_EMPTY or never_empty(model, column.path), column.name
        for sign in ("", "-"):
            with django_assert_max_num_queries(4):
                program.get(f"/api/v1/{shelf.name}?ordering={sign}{column.name}")


def program_rows(shelf: Shelf) -> type[models.Model]:
    plant = house("OT")
    return shelf.rows(plant.station, plant.records).model


def never_empty(model: type[models.Model], path: str) -> bool:
    """Walk a path: every step is a column of its own table that is never null and no float."""
    for part in path.split("__"):
        field: Any = model._meta.pk if part == "pk" else model._meta.get_field(part)
        if field.null or isinstance(field, models.FloatField) or not field.concrete:
            return False
        model = field.related_model or model
    return True


def test_acts_by_their_moment_are_found_by_an_index_however_far_one_has_read(plant: House) -> None:
    ordering = Ordering(BY_NAME["operations"].column("at"), is_down=True)
    rows = Operation.objects.filter(station=plant.station)
    cursor = ordering.cursor(3, NOW - timedelta(days=1), is_back=False)
    plan = ordering.sorted(ordering.beyond(rows, cursor))[:100].explain()
    if connection.vendor == "sqlite":
        assert "station_id=? AND at<?" in plan
        assert "TEMP B-TREE" not in plan


def test_a_plot_is_ordered_by_its_season(plant: House, program: Program) -> None:
    seasons = [row["season"] for row in walked(program, "/api/v1/plots?ordering=-season&limit=2")]
    assert seasons == sorted(seasons, reverse=True)
    assert len(seasons) == Plot.objects.filter(station=plant.station, taken_back=False).count()
