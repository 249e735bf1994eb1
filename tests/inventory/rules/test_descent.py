"""Walks over who comes from whom."""

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.descent import reaches

edges = st.lists(st.tuples(st.integers(0, 8), st.integers(0, 8)), max_size=20)


@pytest.mark.outside("networkx `has_path`, on graphs with circles too")
@given(edges, st.integers(0, 8), st.integers(0, 8))
def test_it_finds_what_a_graph_library_finds(pairs, start, wanted):
    graph = networkx.DiGraph(pairs)
    graph.add_nodes_from((start, wanted))
    found = reaches([start], wanted, lambda nodes: [child for node in nodes for child in graph.successors(node)])
    assert found == networkx.has_path(graph, start, wanted)


def test_it_asks_once_a_generation():
    asked = []
    tree = {0: [1, 2], 1: [3], 2: [3, 4], 3: [], 4: []}

    def step(nodes):
        asked.append(sorted(nodes))
        return [child for node in nodes for child in tree[node]]

    assert not reaches([0], 9, step)
    assert asked == [[0], [1, 2], [3, 4]]
