"""Ways by which air gets to a vent, against a search of the graph by networkx."""

from __future__ import annotations

from typing import Any

import networkx as nx
import numpy as np

from optimiser.filling.ways_out import WaysOut
from optimiser.network.flow_network import BoolArray, FlowNetwork


def panel_between_two_vents(mould: Any) -> FlowNetwork:
    """Six cells by ten, a line across the middle, a vent along either end."""
    line = mould.feed_line("A", (0.5, 0.0), (0.5, 0.6))
    vents = tuple(mould.vent(label, (x_m, 0.0), (x_m, 0.6)) for label, x_m in (("V", 0.0), ("W", 1.0)))
    network: FlowNetwork = mould.reduce(mould.panel(1.0, 0.6, mould.laminate(), (line,), vents), 0.1)
    return network


def searched(network: FlowNetwork, dry: BoolArray, vent_open: BoolArray) -> BoolArray:
    """Dry nodes in one component of the graph of dry nodes with a dry outlet of an open vent; taps pass no air."""
    graph = nx.Graph()
    graph.add_nodes_from(np.flatnonzero(dry))
    links = np.delete(np.column_stack([network.links.start, network.links.end]), network.tap_links, axis=0)
    graph.add_edges_from(links[dry[links].all(axis=1)])
    outlets = {node for vent, is_open in zip(network.vents, vent_open, strict=True) if is_open for node in vent.outlets}
    drains = np.zeros(network.node_count, dtype=bool)
    for piece in nx.connected_components(graph):
        drains[list(piece)] = not outlets.isdisjoint(piece)
    return drains


def test_ways_that_hold_say_what_a_new_search_would(mould: Any) -> None:
    """Nodes fill one by one in many orders: kept or found anew, what has a way out is what networkx finds."""
    network, random = panel_between_two_vents(mould), np.random.default_rng(1)
    held = {True: 0, False: 0}
    for _ in range(20):
        vent_open = np.array([True, random.random() < 0.5])
        dry = np.ones(network.node_count, dtype=bool)
        dry[network.manifold] = False
        ways = WaysOut.found(network, dry, vent_open)
        for node in random.permutation(network.sheet_count):
            dry = dry.copy()
            dry[node] = False
            holds = ways.hold(dry, vent_open)
            held[holds] += 1
            ways = ways if holds else WaysOut.found(network, dry, vent_open)
            assert np.array_equal(ways.drains & dry, searched(network, dry, vent_open))
    assert min(held.values()) > 100


def test_ways_of_other_vents_or_of_drier_cells_do_not_hold(mould: Any) -> None:
    """A vent that is clamped takes its ways with it; a step that is taken again and shorter leaves more dry."""
    network = panel_between_two_vents(mould)
    dry = np.ones(network.node_count, dtype=bool)
    dry[network.manifold] = False
    wetter = dry.copy()
    wetter[[3, 4]] = False
    both, one = np.array([True, True]), np.array([True, False])
    assert not WaysOut.found(network, dry, both).hold(dry, one)
    assert not WaysOut.found(network, wetter, both).hold(dry, both)
    assert WaysOut.found(network, dry, both).hold(dry, both)
