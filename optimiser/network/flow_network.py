"""Nodes with pore volume, links with conductance, and which of them are cells, lines, vents and the manifold."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

_CRUMB_SHARE = 0.4
"""A cell at a vent smaller than this share of the largest there is a crumb at the slanting edge of the part."""


@dataclass(frozen=True, kw_only=True)
class Links:
    """Flow over a link is conductance / viscosity times the difference of p + rho g z."""

    start: IntArray
    end: IntArray
    conductance_m3: FloatArray

    def __len__(self) -> int:
        return len(self.start)


@dataclass(frozen=True, kw_only=True)
class AirRows:
    """Links along which air passes, each both ways, in the order of the nodes where they start: rows of a graph."""

    start: IntArray
    end: IntArray
    row_ends: IntArray
    """(nodes + 1,): those of node k lie from `row_ends[k]` on and before `row_ends[k + 1]`."""


@dataclass(frozen=True, kw_only=True)
class LineNodes:
    """A feed line in the network: an empty pipe in the bag whatever its tap does."""

    label: str
    nodes: IntArray
    """In order along the run."""
    node_length_m: FloatArray
    hose_node: int
    tap_link: int
    """The link from the manifold to the hose: it conducts only while the tap is open."""


@dataclass(frozen=True, kw_only=True)
class Bay:
    """Cells abreast of one line, out to the next line on either side or to the edge of the part."""

    cells: IntArray
    piece: IntArray
    """Index along the line that each cell is abreast of."""
    side: IntArray
    """0: left of the line as it runs, 1: right."""

    @cached_property
    def sides(self) -> tuple[tuple[IntArray, IntArray], ...]:
        """Cells and their pieces of the line, left and right of it."""
        return tuple((self.cells[on], self.piece[on]) for on in (self.side == 0, self.side == 1))


@dataclass(frozen=True, kw_only=True)
class VentPipe:
    """A vent's line and hose as pipes: resin that enters fills them, and is held up in them. The pot holds vacuum."""

    nodes: IntArray
    """Of the line, in order along its run."""
    node_length_m: FloatArray
    hose_node: int
    clamp_link: int
    """The link from the line to the hose: it conducts until the vent is clamped."""
    to_pot_m3: float
    """Conductance from the middle of the hose to the pot."""
    far_node: int
    """The end of the line that is farther from the hose."""


@dataclass(frozen=True, kw_only=True)
class VentNodes:
    """The cells along a vent, on which it holds the residual vacuum until it is clamped, unless it is a pipe."""

    label: str
    cells: IntArray
    conductance_m3: FloatArray
    pipe: VentPipe | None = None
    """None: it holds the vacuum all along, whatever runs into it."""
    on_line: int | None = None
    """Index of the feed line through which it draws; the cells are then those beside that line."""
    gap_nodes: IntArray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    """Nodes of gaps that open into it, where it is no pipe."""
    gap_m3: FloatArray = field(default_factory=lambda: np.empty(0))
    """Conductance from each of these to it."""

    @property
    def outlets(self) -> IntArray:
        """Nodes from which air and resin leave the network."""
        if self.pipe is not None:
            return np.array([self.pipe.hose_node])
        return np.concatenate([self.cells, self.gap_nodes])

    @property
    def outlet_m3(self) -> FloatArray:
        """Conductance from each of them to the vacuum."""
        if self.pipe is not None:
            return np.array([self.pipe.to_pot_m3])
        return np.concatenate([self.conductance_m3, self.gap_m3])


@dataclass(frozen=True, kw_only=True)
class SheetGive:
    """Where and how the sheet gives under the bag; volumes and conductances of the network are those of the dry bed."""

    pore_share: FloatArray
    """(nodes,): share of each node's pores that lies in reinforcement that gives; zero where nothing does."""
    dry_fraction: FloatArray
    exponent: FloatArray
    least_fraction: FloatArray
    """(nodes,): of that reinforcement."""
    link_share: FloatArray
    """(links,): share of the conductance that is carried by it."""


@dataclass(frozen=True, kw_only=True)
class FlowNetwork:
    """Cells of the sheet come first, then the nodes beneath them, pipe nodes of the lines, hoses, the manifold last.

    A cell is what a crew sees from the bag side. Where flow mesh lies on solid laminate it is the mesh, and the
    laminate's nodes lie beneath it; all other cells are the whole laminate.
    """

    cell_count: int
    cell_size_m: float
    x_m: FloatArray
    y_m: FloatArray
    height_m: FloatArray
    area_m2: FloatArray
    """Zero for pipes; a node beneath a cell covers what the cell covers."""
    volume_m3: FloatArray
    """Pore volume or inner volume."""
    area_of_cell: IntArray
    """Index of the part's laminate area in which most of a cell lies, one per cell."""
    links: Links
    lines: tuple[LineNodes, ...]
    vents: tuple[VentNodes, ...]
    race_tracks: tuple[IntArray, ...] = ()
    """Nodes of each in order along its run."""
    bays: tuple[Bay, ...] = ()
    """One for each line, in the same order."""
    triangles: IntArray | None = None
    """Corners as cell indices, where the part is a triangle surface."""
    under_cell: IntArray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    """The cell above each node that lies beneath one; such nodes follow the cells in this order."""
    give: SheetGive | None = None
    """None: rigid."""
    levelling_m: float = 0.0
    """Over this length along the sheet a difference of pressure between the layers of a cell falls to 1/e."""
    covered_m2: FloatArray = field(default_factory=lambda: np.empty(0))
    """(areas,): what each laminate area covers of the sheet."""
    entered: IntArray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    """Cells on whose bag side a feed line lies, with bare laminate beneath: their layers never come to one pressure."""

    @cached_property
    def node_count(self) -> int:
        return len(self.volume_m3)

    @cached_property
    def manifold(self) -> int:
        return self.node_count - 1

    @cached_property
    def sheet_count(self) -> int:
        """Cells and the nodes beneath them; all later nodes are pipes."""
        return self.cell_count + len(self.under_cell)

    @cached_property
    def cell_of_node(self) -> IntArray:
        """The cell that each node is or lies beneath; -1 for pipes."""
        pipes = np.full(self.node_count - self.sheet_count, -1)
        return np.concatenate([np.arange(self.cell_count), self.under_cell, pipes])

    def cells_of(self, nodes: IntArray) -> IntArray:
        """Cells that these nodes are or lie beneath, each once."""
        return np.unique(self.cell_of_node[nodes[nodes < self.sheet_count]])

    def latest(self, of_nodes: FloatArray) -> FloatArray:
        """For each cell the latest of its layers."""
        out = of_nodes[: self.cell_count].copy()
        np.maximum.at(out, self.under_cell, of_nodes[self.cell_count : self.sheet_count])
        return out

    @cached_property
    def air_rows(self) -> AirRows:
        """All links but those of the taps, which pass resin only."""
        one, other = np.delete(self.links.start, self.tap_links), np.delete(self.links.end, self.tap_links)
        start, end = np.concatenate([one, other]), np.concatenate([other, one])
        order = np.argsort(start, kind="stable")
        return AirRows(
            start=start[order],
            end=end[order],
            row_ends=np.concatenate([[0], np.cumsum(np.bincount(start, minlength=self.node_count))]),
        )

    @cached_property
    def tap_links(self) -> IntArray:
        return np.array([line.tap_link for line in self.lines], dtype=np.int64)

    @cached_property
    def clamp_links(self) -> IntArray:
        """Of each vent that is a pipe, in the order of the vents; -1 for the others."""
        return np.array([-1 if vent.pipe is None else vent.pipe.clamp_link for vent in self.vents], dtype=np.int64)

    @cached_property
    def whole_cells_at_vents(self) -> tuple[IntArray, ...]:
        """Cells of each vent but for crumbs."""
        areas = (self.area_m2[vent.cells] for vent in self.vents)
        whole = (area >= _CRUMB_SHARE * area.max(initial=0.0) for area in areas)
        return tuple(vent.cells[kept] for vent, kept in zip(self.vents, whole, strict=True))

    @cached_property
    def vent_gauges(self) -> IntArray:
        """The far end of each vent that is a pipe, in the order of the vents; -1 for the others."""
        return np.array([-1 if vent.pipe is None else vent.pipe.far_node for vent in self.vents], dtype=np.int64)

    def held_in_vents_m3(self, saturation: FloatArray) -> FloatArray:
        """Resin in line and hose of each vent that is a pipe; zero for the others."""
        filled_m3 = saturation * self.volume_m3
        pipes = (vent.pipe for vent in self.vents)
        held = (0.0 if pipe is None else filled_m3[[*pipe.nodes, pipe.hose_node]].sum() for pipe in pipes)
        return np.array([*held], dtype=np.float64)

    @cached_property
    def pipes(self) -> tuple[IntArray, ...]:
        """Nodes of every feed line, then of every vent that is a pipe: channels that run empty or stand full."""
        vents = (vent.pipe.nodes for vent in self.vents if vent.pipe is not None)
        return (*(line.nodes for line in self.lines), *vents)

    @cached_property
    def line_gauges(self) -> IntArray:
        """(lines, 3): the node that the hose joins, and the first and the last node of each line."""
        start, end = self.links.start, self.links.end
        rows = []
        for line in self.lines:
            joined = np.concatenate([end[start == line.hose_node], start[end == line.hose_node]])
            rows.append((joined[np.isin(joined, line.nodes)][0], line.nodes[0], line.nodes[-1]))
        return np.array(rows, dtype=np.int64).reshape(-1, 3)

    @cached_property
    def line_index(self) -> dict[str, int]:
        return {line.label: index for index, line in enumerate(self.lines)}

    @cached_property
    def vent_index(self) -> dict[str, int]:
        return {vent.label: index for index, vent in enumerate(self.vents)}

    @property
    def places(self) -> tuple[str, ...]:
        """Labels of lines and vents: where a crew can see resin come."""
        return (*self.line_index, *self.vent_index)
