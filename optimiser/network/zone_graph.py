"""The zone graph: what a person would draw of the part, with flow times on its edges."""

from __future__ import annotations

import networkx as nx
import numpy as np

from optimiser.network.flow_network import FlowNetwork
from optimiser.network.zones import Zones
from optimiser.physics.closed_form import pore_fill_time_s
from optimiser.physics.pipe_flow import in_series_m3


def build_zone_graph(network: FlowNetwork, zones: Zones, *, pressure_pa: float, viscosity_pa_s: float) -> nx.Graph:
    """Nodes are zone numbers, edges join zones that share links.

    Node data: name, area_m2, pore_m3, area_index, lines (labels that lie on it), vents (labels).
    Edge data: conductance_m3, and flow_s: the time for resin at full pressure to fill the mean of the two zones
    through the conductance between them, as `pore_fill_time_s` has it.
    """
    n = network.cell_count
    zone = zones.zone_of_cell
    area = np.bincount(zone, network.area_m2[:n], minlength=zones.count)
    sheet = slice(0, network.sheet_count)
    pore = np.bincount(zone[network.cell_of_node[sheet]], network.volume_m3[sheet], minlength=zones.count)
    graph = nx.Graph()
    for k, name in enumerate(zones.names):
        cells = np.flatnonzero(zone == k)
        graph.add_node(
            k,
            name=name,
            area_m2=float(area[k]),
            pore_m3=float(pore[k]),
            area_index=int(network.area_of_cell[cells[0]]),
            lines=set(),
            vents=set(),
        )
    _add_edges(graph, network, zones, pressure_pa, viscosity_pa_s)
    _attach(graph, network, zones)
    return graph


def _add_edges(graph: nx.Graph, network: FlowNetwork, zones: Zones, pressure_pa: float, viscosity_pa_s: float) -> None:
    n, links, cell = network.sheet_count, network.links, network.cell_of_node
    inside = (links.start < n) & (links.end < n)
    a, b = (zones.zone_of_cell[cell[ends[inside]]] for ends in (links.start, links.end))
    g = links.conductance_m3[inside]
    pairs = [(a, b, g), *_over_lines(network, zones)]
    a, b, g = (np.concatenate([pair[k] for pair in pairs]) for k in range(3))
    between = (a != b) & (g > 0)
    key = np.minimum(a, b)[between] * zones.count + np.maximum(a, b)[between]
    unique, where = np.unique(key, return_inverse=True)
    conductance = np.bincount(where, weights=g[between])
    for edge, g_edge in zip(unique, conductance, strict=True):
        i, j = int(edge // zones.count), int(edge % zones.count)
        # links sum to K h w / dx over one cell; over the distance between zone middles they are fewer
        middle = np.sqrt(graph.nodes[i]["area_m2"]) / 2 + np.sqrt(graph.nodes[j]["area_m2"]) / 2
        over = g_edge * network.cell_size_m / middle
        volume = (graph.nodes[i]["pore_m3"] + graph.nodes[j]["pore_m3"]) / 2
        flow_s = pore_fill_time_s(
            pore_volume_m3=float(volume),
            conductance_m3=float(over),
            viscosity_pa_s=viscosity_pa_s,
            pressure_difference_pa=pressure_pa,
        )
        graph.add_edge(i, j, conductance_m3=float(over), flow_s=flow_s)


def _over_lines(network: FlowNetwork, zones: Zones) -> list[tuple[np.ndarray, np.ndarray, np.ndarray]]:
    """Cells joined through a pipe node of a line: the line lies between them but parts nothing."""
    n, links = network.sheet_count, network.links
    zone = zones.zone_of_cell[network.cell_of_node[:n]]
    pipe_end = np.concatenate([links.start[links.end >= n], links.end[links.start >= n]])
    pipe = np.concatenate([links.end[links.end >= n], links.start[links.start >= n]])
    g = np.concatenate([links.conductance_m3[links.end >= n], links.conductance_m3[links.start >= n]])
    cell = pipe_end < n
    pipe_end, pipe, g = pipe_end[cell], pipe[cell], g[cell]
    order = np.argsort(pipe, kind="stable")
    out = []
    for group in np.split(order, np.flatnonzero(np.diff(pipe[order])) + 1):
        for k, first in enumerate(group):
            rest = group[k + 1 :]
            series_m3 = in_series_m3((np.full(len(rest), g[first]), g[rest]))
            out.append((np.full(len(rest), zone[pipe_end[first]]), zone[pipe_end[rest]], series_m3))
    return out


def _attach(graph: nx.Graph, network: FlowNetwork, zones: Zones) -> None:
    n, links, zone = network.cell_count, network.links, zones.zone_of_cell
    for line in network.lines:
        on = np.zeros(network.node_count, dtype=bool)
        on[line.nodes] = True
        touched = np.concatenate([links.end[on[links.start]], links.start[on[links.end]]])
        for k in np.unique(zone[touched[touched < n]]):
            graph.nodes[int(k)]["lines"].add(line.label)
    for vent in network.vents:
        for k in np.unique(zone[vent.cells]):
            graph.nodes[int(k)]["vents"].add(vent.label)


def zones_no_line_reaches(graph: nx.Graph, usable: set[str]) -> list[int]:
    """Zones from which no path leads to a usable line."""
    return _out_of_reach(graph, {k for k, data in graph.nodes(data=True) if data["lines"] & usable})


def zones_without_vent(graph: nx.Graph) -> list[int]:
    """Zones from which no path leads to a vent."""
    return _out_of_reach(graph, {k for k, data in graph.nodes(data=True) if data["vents"]})


def _out_of_reach(graph: nx.Graph, goals: set[int]) -> list[int]:
    reached: set[int] = set()
    for piece in nx.connected_components(graph):
        if piece & goals:
            reached |= piece
    return sorted(set(graph) - reached)


def way_to_vent(graph: nx.Graph, wet_s: dict[int, float], zone: int) -> tuple[list[int], str | None]:
    """Zones from here to the vent it drains to, each wet later than the one before; and that vent's label.

    Of all such ways the one with the least flow time. No way: the zone itself and None.
    """
    later = nx.DiGraph()
    later.add_nodes_from(graph)
    for i, j, data in graph.edges(data=True):
        if wet_s[i] < wet_s[j]:
            later.add_edge(i, j, flow_s=data["flow_s"])
        elif wet_s[j] < wet_s[i]:
            later.add_edge(j, i, flow_s=data["flow_s"])
    lengths, paths = nx.single_source_dijkstra(later, zone, weight="flow_s")
    for goal in sorted(lengths, key=lambda k: (lengths[k], k)):
        vents = graph.nodes[goal]["vents"]
        if vents:
            return paths[goal], sorted(vents)[0]
    return [zone], None
