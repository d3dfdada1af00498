"""Zones: groups of cells that the choice of sequence treats as one, with borders at the lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from optimiser.network.bays import near_line
from optimiser.network.flow_network import FloatArray, FlowNetwork, IntArray
from optimiser.part.part import Part


@dataclass(frozen=True, kw_only=True)
class Zones:
    names: tuple[str, ...]
    zone_of_cell: IntArray
    """One per cell of the network they were made on."""

    @property
    def count(self) -> int:
        return len(self.names)

    def of_most(self, cells: IntArray) -> int:
        """The zone that most of these cells lie in; at least one."""
        return int(np.bincount(self.zone_of_cell[cells]).argmax())


def divide(network: FlowNetwork, part: Part, *, most_zones: int) -> Zones:
    """Cells grouped by laminate, by nearest line and the side of it, and in lengths along that line.

    A bay between two lines falls into the half that is nearest to each, so that borders lie at the lines and midway.
    Groups that hang together in several pieces are several zones; crumbs join a neighbour.
    """
    beside = near_line(network)
    nearest, side = beside.line, beside.side
    total = float(network.area_m2[: network.cell_count].sum())
    width = float(np.median(_half_bay_m(network, nearest)))
    length = max(total / most_zones / max(width, network.cell_size_m), network.cell_size_m)
    piece = np.floor(beside.chainage_m / length).astype(np.int64)
    keys = np.column_stack([network.area_of_cell, nearest, side, piece])
    _, group = np.unique(keys, axis=0, return_inverse=True)
    zone = _join_crumbs(network, _connected(network, group), least_m2=0.15 * total / most_zones)
    return Zones(names=_names(network, part, zone, nearest, side), zone_of_cell=zone)


def split(zones: Zones, network: FlowNetwork, cells: IntArray) -> Zones:
    """Cut each zone along the border of the given cells: where the network found what zones had hidden.

    Zones are only ever divided: what lies in two of them before does after.
    """
    inside = np.zeros(network.cell_count, dtype=np.int64)
    inside[cells] = 1
    group = _connected(network, zones.zone_of_cell + zones.count * inside)
    fresh: list[str] = []
    used: dict[str, int] = {}
    for k in range(int(group.max()) + 1):
        first = int(np.argmax(group == k))
        zone = int(zones.zone_of_cell[first])
        whole = inside[zones.zone_of_cell == zone].all()
        name = zones.names[zone] + ("+" if inside[first] and not whole else "")
        used[name] = used.get(name, 0) + 1
        fresh.append(name if used[name] == 1 else f"{name}~{used[name]}")
    return Zones(names=_unique(fresh), zone_of_cell=group)


def carried_over(zones: Zones, network: FlowNetwork, other: FlowNetwork) -> Zones:
    """The zones on another network of the same part: each cell has that of the nearest cell.

    A zone that is the nearest of none, as a sliver at a slanting edge, is left out.
    """
    mine = np.column_stack([network.x_m, network.y_m, network.height_m])[: network.cell_count]
    theirs = np.column_stack([other.x_m, other.y_m, other.height_m])[: other.cell_count]
    _, nearest = cKDTree(mine).query(theirs)
    kept, zone_of_cell = np.unique(zones.zone_of_cell[nearest], return_inverse=True)
    return Zones(names=tuple(zones.names[zone] for zone in kept), zone_of_cell=zone_of_cell)


def _half_bay_m(network: FlowNetwork, nearest: IntArray) -> FloatArray:
    """Area of each line's cells on one side over the line's length."""
    area = np.bincount(nearest, network.area_m2[: network.cell_count], minlength=len(network.lines))
    length = np.array([line.node_length_m.sum() for line in network.lines])
    return np.asarray(area / np.maximum(length, network.cell_size_m) / 2)


def _connected(network: FlowNetwork, group: IntArray) -> IntArray:
    """Number the connected pieces of each group."""
    n = network.cell_count
    links = network.links
    inside = (links.start < n) & (links.end < n)
    start, end = links.start[inside], links.end[inside]
    same = group[start] == group[end]
    graph = coo_matrix((np.ones(np.count_nonzero(same)), (start[same], end[same])), shape=(n, n))
    return np.asarray(connected_components(graph, directed=False)[1], dtype=np.int64)


def _join_crumbs(network: FlowNetwork, zone: IntArray, *, least_m2: float) -> IntArray:
    """Join pieces below the least area to the neighbour of the same laminate with which they share most links."""
    n = network.cell_count
    links = network.links
    inside = (links.start < n) & (links.end < n)
    start, end = links.start[inside], links.end[inside]
    zone = zone.copy()
    for _ in range(n):
        areas = np.bincount(zone, network.area_m2[:n])
        small = [int(k) for k in np.argsort(areas, kind="stable") if 0 < areas[k] < least_m2]
        joined = False
        for k in small:
            across = (zone[start] == k) ^ (zone[end] == k)
            other = np.where(zone[start[across]] == k, end[across], start[across])
            alike = other[network.area_of_cell[other] == network.area_of_cell[zone == k][0]]
            if len(alike) == 0:
                continue
            zone[zone == k] = np.argmax(np.bincount(zone[alike]))
            joined = True
            break
        if not joined:
            break
    return np.asarray(np.unique(zone, return_inverse=True)[1])


def _names(network: FlowNetwork, part: Part, zone: IntArray, nearest: IntArray, side: IntArray) -> tuple[str, ...]:
    """Names a person can find on the part: line, side, number along it, and the laminate where it is not the base."""
    names = []
    counts: dict[str, int] = {}
    for k in range(int(zone.max()) + 1):
        cells = zone == k
        line = network.lines[int(np.argmax(np.bincount(nearest[cells])))].label
        where = "right" if np.mean(side[cells]) > 0.5 else "left"
        area = int(network.area_of_cell[cells][0])
        patch = f" on {part.areas[area].name}" if area > 0 else ""
        stem = f"{line} {where}"
        counts[stem] = counts.get(stem, 0) + 1
        names.append(f"{stem} {counts[stem]}{patch}")
    return tuple(names)


def _unique(names: list[str]) -> tuple[str, ...]:
    seen: dict[str, int] = {}
    out = []
    for name in names:
        seen[name] = seen.get(name, 0) + 1
        out.append(name if seen[name] == 1 else f"{name} ({seen[name]})")
    return tuple(out)
