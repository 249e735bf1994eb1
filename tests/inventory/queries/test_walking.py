"""The walk itself: one query, each node once, cut off with a word."""

from fractions import Fraction

import networkx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.models import Link, Operation, Standing
from inventory.queries.tracing import trace
from inventory.queries.walking import walk
from inventory.rules.nodes import NodeKind, node
from tests.inventory.queries.seasons import blended
from tests.make import house, kg_left, received

pytestmark = pytest.mark.django_db


def lots(*keys: int) -> list[int]:
    return [node(NodeKind.LOT, key) for key in keys]


def linked(pairs: list[tuple[int, int]]) -> None:
    """Links between lot keys, parent first; the walk asks nothing of the lots themselves."""
    plant = house()
    received(plant)
    operation = Operation.objects.get()
    Link.objects.all().delete()
    Link.objects.bulk_create(
        Link(
            station=plant.station, operation=operation, parent=node(NodeKind.LOT, parent),
            child=node(NodeKind.LOT, child), weight=1, total=2,
        )
        for parent, child in pairs
    )  # fmt: skip


def test_the_walk_is_one_query_and_brings_the_lots_columns(django_assert_num_queries) -> None:
    plant = house()
    first, other = received(plant, "100"), received(plant, "100", "ST24-N-1-2")
    lot = blended(plant, {first: "50", other: "40"}, "90")
    with django_assert_num_queries(1):
        reached = walk(lots(lot.pk))
    by_node = {row.node: row for row in reached.rows}
    assert {row.number for row in reached.rows} == {first.number, other.number, lot.number, None}
    assert by_node[lots(lot.pk)[0]].opening_mg == 90_000_000
    assert {row.total for row in reached.rows if row.node == lots(lot.pk)[0]} == {90_000_000}
    assert Standing.objects.get(lot=lot).line_id == by_node[lots(lot.pk)[0]].line


def test_twenty_levels_of_two_by_two_blends_visit_forty_lots_and_not_every_path() -> None:
    # Each lot of a level is blended from both of the level before: half a million paths, 41 lots.
    pairs = [(0, 1), (0, 2)]
    for level in range(1, 20):
        a, b = 2 * level - 1, 2 * level
        pairs += [(parent, child) for parent in (a, b) for child in (a + 2, b + 2)]
    linked(pairs)
    reached = walk(lots(39))
    assert not reached.is_truncated
    assert len({row.node for row in reached.rows}) == 40  # its twin is no ancestor
    assert len(reached.rows) == 37 * 2 + 2 + 1  # a row for each link, and one for the first lot, which has none


def test_the_walk_is_cut_off_at_its_most_nodes_and_says_so() -> None:
    linked([(key, key + 1) for key in range(50)])
    whole, cut = walk(lots(50)), walk(lots(50), most=20)
    assert (whole.is_truncated, len({row.node for row in whole.rows})) == (False, 51)
    assert (cut.is_truncated, {row.node for row in cut.rows}) == (True, set(lots(*range(31, 51))))
    assert not walk(lots(50), most=51).is_truncated
    assert walk(lots(*range(40)), most=20).is_truncated


def test_it_walks_forward_too_and_from_several_nodes_at_once() -> None:
    linked([(1, 2), (2, 3), (4, 3), (3, 5)])
    assert {row.node for row in walk(lots(2), forward=True).rows} == set(lots(2, 3, 5))
    assert {row.node for row in walk(lots(1, 4), forward=True).rows} == set(lots(1, 2, 3, 4, 5))
    assert walk([]).rows == []


@pytest.mark.outside("networkx lists the paths one by one (all_simple_paths); ours passes each lot once")
@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_shares_are_the_sums_over_all_paths_of_the_books(data: st.DataObject) -> None:
    plant = house(f"S{Operation.objects.count()}")
    made = [received(plant, "1000", f"ST24-N-1-{index}") for index in (1, 2)]
    graph = networkx.DiGraph()
    for _ in range(data.draw(st.integers(1, 5))):
        sources = data.draw(st.lists(st.sampled_from(made), min_size=2, max_size=3, unique=True))
        parts = {source: str(data.draw(st.integers(1, 9))) for source in sources if kg_left(source) > 9}
        if len(parts) < 2:
            continue
        whole = sum(map(int, parts.values()))
        child = blended(plant, parts, str(whole))
        for source, kg in parts.items():
            graph.add_edge(child.number, source.number, share=Fraction(int(kg), whole))
        made.append(child)
    ref = made[-1].number
    found = {item.id: item.share for item in trace(plant.station, ref).nodes if item.kind == "lot"}
    assert set(found) == {ref} | (networkx.descendants(graph, ref) if ref in graph else set())
    for number in set(found) - {ref}:
        paths = networkx.all_simple_edge_paths(graph, ref, number)
        assert found[number] == sum(_product(graph, path) for path in paths)


def _product(graph: networkx.DiGraph, path: list[tuple[str, str]]) -> Fraction:
    product = Fraction(1)
    for edge in path:
        product *= graph.edges[edge]["share"]
    return product
