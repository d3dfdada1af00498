"""How high resin must climb, at least, on its way to each node."""

from __future__ import annotations

import networkx as nx
import numpy as np

from optimiser.network.flow_network import FloatArray, FlowNetwork


def least_climb_m(network: FlowNetwork) -> FloatArray:
    """Height of the highest place on the way from the manifold whose highest place is lowest, one for each node.

    The way lies on a minimum spanning tree of links weighted by the higher of their ends (minimax path). A node that
    no way leads to has its own height.
    """
    links, height_m = network.links, network.height_m
    higher_m = np.maximum(height_m[links.start], height_m[links.end])
    open_links = links.conductance_m3 > 0
    ways = nx.Graph()
    ways.add_node(network.manifold)
    rows = (links.start[open_links].tolist(), links.end[open_links].tolist(), higher_m[open_links].tolist())
    ways.add_weighted_edges_from(zip(*rows, strict=True))
    climb_m = height_m.copy()
    for before, after in nx.bfs_edges(nx.minimum_spanning_tree(ways), network.manifold):
        climb_m[after] = max(climb_m[before], climb_m[after])
    return np.asarray(climb_m)
