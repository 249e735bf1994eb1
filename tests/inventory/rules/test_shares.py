"""Shares of a make-up."""

import time
from fractions import Fraction
from math import prod

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.rules.shares import LineageLoops, back_shares, forward_shares, plot_portions, portions

F = Fraction


def turned(edges):
    """Point every edge the other way, its weight kept."""
    back = {}
    for node, following in edges.items():
        for other, weight in following:
            back.setdefault(other, []).append((node, weight))
    return back


@st.composite
def lineages(draw):
    """Draw lots 0..n, each made of some later ones (its parents) or standing for itself, some links being sowings."""
    size = draw(st.integers(2, 9))
    parents = {}
    for child in range(size - 1):
        chosen = draw(st.lists(st.integers(child + 1, size - 1), unique=True, max_size=3))
        masses = {parent: draw(st.integers(1, 9)) for parent in chosen}
        sown = draw(st.booleans()) and len(chosen) == 1
        parents[child] = (
            [(parent, None if sown else part) for parent, part in portions(masses).items()] if masses else []
        )
    return parents


@pytest.mark.outside("networkx enumerates the paths one by one (all_simple_paths); ours passes each node once")
@given(lineages())
def test_back_shares_are_the_sum_over_all_paths(parents):
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(10))
    for child, edges in parents.items():
        graph.add_weighted_edges_from([(child, parent, weight) for parent, weight in edges])
    shares = back_shares(0, parents)
    assert set(shares) == {0} | networkx.descendants(graph, 0)
    for node in set(shares) - {0}:
        paths = networkx.all_simple_edge_paths(graph, 0, node)
        weights = [[graph.edges[edge]["weight"] for edge in path] for path in paths]
        seed = [prod(path) for path in weights if None not in path]
        assert shares[node] == (sum(seed) if seed else None)


@given(lineages())
def test_what_the_sources_gave_sums_to_one_where_all_is_seed(parents):
    seed_only = {child: [(parent, part) for parent, part in edges if part] for child, edges in parents.items()}
    shares = back_shares(0, seed_only)
    assert sum(share for node, share in shares.items() if not seed_only.get(node)) == 1


@given(lineages())
def test_forward_is_back_seen_from_the_other_end(parents):
    size = max([*parents, 0]) + 2
    opening = {node: 10 * (node + 1) for node in range(size)}
    for source in range(size):
        forward = forward_shares(source, turned(parents), opening)
        for node, share in forward.items():
            back = back_shares(node, parents)[source]
            assert share == (None if back is None else back * opening[node] / opening[source])


BLEND = portions({"24-0016": 434_000_000, "25-0014": 600_000_000})
SEASON = {
    "25-0017/7": [("25-0017", F(1))],
    "25-0017": list(BLEND.items()),
    "24-0016": [("24-0015", F(1))],
    "24-0015": [("24-0001", F(1))],
    "24-0001": [("QM24-I1", F(1))],
    "25-0014": [("25-0001", F(1))],
    "25-0001": [("QM25-I1", F(1))],
    "QM25-I1": [("QN-2104", F(1)), ("24-0017", None)],
    "24-0017": [("24-0015", F(1))],
    "QM24-I1": [("QN-2104", F(1))],
    "QN-2104": [("Q19-04", F(1))],
    "Q19-04": [("Wrenlace", None), ("Palehull", None)],
}


def test_a_blend_of_two_years_is_shared_by_hand_sums():
    shares = back_shares("25-0017/7", SEASON)
    assert shares["QM24-I1"] == F(217, 517)
    assert shares["QM25-I1"] == F(300, 517)
    assert shares["QN-2104"] == shares["Q19-04"] == 1


def test_a_lot_reached_only_through_a_sowing_has_no_share():
    shares = back_shares("25-0017/7", SEASON)
    assert shares["24-0017"] is None
    assert shares["Wrenlace"] is shares["Palehull"] is None


def test_a_lot_reached_both_ways_keeps_the_share_of_its_seed():
    assert back_shares("25-0017/7", SEASON)["24-0015"] == F(217, 517)


def test_forward_says_how_much_of_a_block_stood_in_the_blend():
    opening = {"QM25-I1": 1_840_000_000, "25-0001": 1_840_000_000, "25-0014": 1_632_500_000, "25-0017": 1_033_500_000}
    shares = forward_shares("QM25-I1", turned(SEASON), opening)
    assert shares["25-0017"] == F(31005, 95128)
    assert shares["25-0001"] == 1
    assert shares["25-0017/7"] is None


def test_forward_of_something_without_mass_has_no_shares():
    assert set(forward_shares("Q19-04", turned(SEASON), {"25-0017": 5}).values()) == {None}


def test_an_unknown_reference_is_only_itself():
    assert back_shares("nowhere", SEASON) == {"nowhere": 1}


@pytest.mark.parametrize("loop", [{"a": [("a", F(1))]}, {"a": [("b", F(1))], "b": [("c", F(1))], "c": [("b", F(1))]}])
def test_a_circle_is_refused(loop):
    with pytest.raises(LineageLoops):
        back_shares("a", loop)


def test_a_ladder_of_blends_is_walked_by_nodes_and_not_by_paths():
    # 400 rungs of two lots each, both made of both below: 2^400 paths, 1,600 edges.
    half = F(1, 2)
    ladder = {(rung, side): [((rung + 1, 0), half), ((rung + 1, 1), half)] for rung in range(400) for side in (0, 1)}
    begin = time.perf_counter()
    assert back_shares((0, 0), ladder)[400, 1] == half
    assert time.perf_counter() - begin < 2


def test_plots_share_a_bag_by_their_field_weights():
    parts, assumed = plot_portions({"T101": 4_210, "T206": 4_050, "T304": 4_160})
    assert parts["T101"] == F(4210, 12420)
    assert (sum(parts.values()), assumed) == (1, False)


@pytest.mark.parametrize("missing", [None, 0])
def test_plots_share_equally_where_one_was_not_weighed(missing):
    assert plot_portions({"T101": 4_210, "T206": missing}) == ({"T101": F(1, 2), "T206": F(1, 2)}, True)


@pytest.mark.parametrize("masses", [{}, {"a": 0}, {"a": 5, "b": -1}])
def test_a_make_up_needs_masses(masses):
    with pytest.raises(ValueError, match="make-up"):
        portions(masses)
