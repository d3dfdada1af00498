"""How the lines lie: who is next to whom, how far resin has to run, and whether a line feeds its far end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from optimiser.network.bays import NearLine, drawn_place, line_directions, near_line
from optimiser.network.flow_network import FloatArray, FlowNetwork, IntArray
from optimiser.network.sheet_surface import axes_on
from optimiser.part.part import FeedLine, Part
from optimiser.physics.permeability import square_to_line_m3
from optimiser.physics.pipe_flow import bay_loss_m2, line_decay_per_m, line_end_pressure_ratio

_NO_AREA = 1e-300
"""Keeps a place without triangles from dividing by zero."""


@dataclass(frozen=True, kw_only=True)
class LineSide:
    """What lies beside a line on one side."""

    side: int
    """0: left of the line as it runs, 1: right."""
    neighbour: str | None
    """The line on the far side of the bay; None: the edge of the part."""
    run_m: float
    """How far resin runs: the distance to that line, or to the farthest cell where there is none."""


@dataclass(frozen=True, kw_only=True)
class LineLayout:
    label: str
    length_m: float
    sides: tuple[LineSide, ...]
    far_end_share: float
    """Pressure at the far end over that at the inlet, with the bays at their widest wetted."""
    bays_m3: float
    """Conductance of these bays together, were the line at one pressure; the viscosity taken out."""

    @property
    def longest_run_m(self) -> float:
        return max((side.run_m for side in self.sides), default=0.0)


def line_layouts(network: FlowNetwork, part: Part) -> tuple[LineLayout, ...]:
    beside = near_line(network)
    place = drawn_place(network)
    square_m3 = _square_to_line_m3(part, network, beside)
    out = []
    for k, line in enumerate(part.feed_lines):
        sides = tuple(
            one for side in (0, 1) if (one := _side(network, place, beside.line, beside.side, k, side)) is not None
        )
        length = float(network.lines[k].node_length_m.sum())
        loss_m2 = _loss_m2(network, k, beside, square_m3, sides)
        out.append(
            LineLayout(
                label=line.label,
                length_m=length,
                sides=sides,
                far_end_share=_far_end_share(line, length_m=length, loss_m2=loss_m2),
                bays_m3=loss_m2 * length,
            )
        )
    return tuple(out)


def narrowest_bay_m(layouts: tuple[LineLayout, ...]) -> float | None:
    """Between two lines; None: there is one line only."""
    return min((side.run_m for layout in layouts for side in layout.sides if side.neighbour), default=None)


def _side(
    network: FlowNetwork, place: np.ndarray, nearest: IntArray, side_of: IntArray, k: int, side: int
) -> LineSide | None:
    bay = network.bays[k]
    across = bay.cells[(bay.side == side) & (nearest[bay.cells] != k)]
    own_nodes = place[network.lines[k].nodes]
    if len(across):
        other = int(np.argmax(np.bincount(nearest[across])))
        between = across[nearest[across] == other]
        to_own, _ = cKDTree(own_nodes).query(place[between])
        to_other, _ = cKDTree(place[network.lines[other].nodes]).query(place[between])
        return LineSide(side=side, neighbour=network.lines[other].label, run_m=float(np.median(to_own + to_other)))
    mine = np.flatnonzero((nearest == k) & (side_of == side))
    if len(mine) == 0:
        return None
    distance, _ = cKDTree(own_nodes).query(place[mine])
    return LineSide(side=side, neighbour=None, run_m=float(distance.max()))


def _loss_m2(
    network: FlowNetwork, k: int, near: NearLine, square_m3: FloatArray, sides: tuple[LineSide, ...]
) -> float:
    """What a line loses along its length to both its bays, once these are wetted to their full width.

    Earlier in the fill a bay takes more and the far end gets less; it is the filled bay that must be kept fed.
    square_m3: of each cell, K h square to its line.
    """
    own = np.flatnonzero(near.line == k)
    loss_m2 = 0.0
    for one in sides:
        if one.neighbour is None and one.run_m < network.cell_size_m:
            continue  # a strip of an edge, full at once, draws nothing
        beside = own[near.side[own] == one.side]
        cells = beside if len(beside) else own
        if len(cells):
            loss_m2 += bay_loss_m2(
                transmissibility_m3=float(square_m3[cells].mean()),
                run_m=max(one.run_m, network.cell_size_m),
            )
    return loss_m2


def _square_to_line_m3(part: Part, network: FlowNetwork, near: NearLine) -> FloatArray:
    """Of each cell, K h square to the line that it lies beside."""
    tensors = np.array([area.laminate.transmissibility_m3 for area in part.areas])[network.area_of_cell]
    along = np.empty((network.cell_count, 3))
    for k in range(len(network.lines)):
        own = near.line == k
        along[own] = line_directions(network, k)[near.piece[own]]
    if network.triangles is None:
        return square_to_line_m3(tensors, np.column_stack([-along[:, 1], along[:, 0]]))
    up = _normals(drawn_place(network), network.triangles)[: network.cell_count]
    square = np.cross(up, along)
    square /= np.linalg.norm(square, axis=1)[:, None]
    x_axis, y_axis = axes_on(up)
    return square_to_line_m3(tensors, np.column_stack([(square * axis).sum(axis=1) for axis in (x_axis, y_axis)]))


def _normals(place: FloatArray, triangles: IntArray) -> FloatArray:
    """Of a surface at each place, (n, 3); the zero vector where no triangle meets it."""
    one, other, third = (place[triangles[:, k]] for k in range(3))
    normal = np.zeros((len(place), 3))
    np.add.at(normal, triangles.ravel(), np.repeat(np.cross(other - one, third - one), 3, axis=0))
    return np.asarray(normal / np.maximum(np.linalg.norm(normal, axis=1), _NO_AREA)[:, None])


def _far_end_share(line: FeedLine, *, length_m: float, loss_m2: float) -> float:
    """Fin law of a line that loses resin all along."""
    if loss_m2 == 0.0:
        return 1.0
    reach = max(line.inlet_share, 1.0 - line.inlet_share) * length_m
    decay = line_decay_per_m(bore_m=line.bore_m, loss_m2=loss_m2)
    return line_end_pressure_ratio(decay_per_m=decay, length_m=reach)
