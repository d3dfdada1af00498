"""Lines, vents and gaps of a part laid on its cells, with their hoses and the manifold."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from optimiser.network.channel_joins import ChannelCourse, joins_of, openings_into
from optimiser.network.flow_network import FloatArray, IntArray, LineNodes, VentNodes, VentPipe
from optimiser.network.lay_lines import OVER_MIDDLE_SHARE, LaidRun, lay_run, touch_conductance_m3
from optimiser.network.line_entry import hidden_entry_m
from optimiser.network.sheet import Sheet
from optimiser.network.sheet_lattice import height_at
from optimiser.network.tool_side import Layers
from optimiser.part.part import FeedLine, Part, RaceTrack, Vent
from optimiser.physics.pipe_flow import (
    rectangular_duct_conductance_m4,
    tube_conductance_m3,
    tube_section_conductance_m4,
    tube_section_m2,
    tube_volume_m3,
)


@dataclass(frozen=True)
class _Channel:
    """A pipe along a run: a feed line, or a gap in which resin runs ahead."""

    run: LaidRun
    heights_m: FloatArray
    nodes: list[int]
    course: ChannelCourse


@dataclass
class _Laid:
    line: FeedLine
    channel: _Channel
    hose_node: int
    tap_link: int = -1


@dataclass(frozen=True)
class _LaidVent:
    channel: _Channel
    hose_node: int
    clamp_link: int
    joined_at: int
    """Place along the line of the node that the hose joins."""


@dataclass
class PipesOnSheet:
    """The growing lists of pipe nodes and links while lines are laid."""

    layers: Layers
    sheet: Sheet
    first_pipe: int
    """Index of the first node that is not of the sheet."""
    pipe_position: list[FloatArray] = field(default_factory=list)
    pipe_height: list[float] = field(default_factory=list)
    pipe_volume: list[float] = field(default_factory=list)
    link_start: list[int] = field(default_factory=list)
    link_end: list[int] = field(default_factory=list)
    link_conductance: list[float] = field(default_factory=list)
    entry_m: dict[int, FloatArray] = field(default_factory=dict)
    """For each node of a feed line the run to be added into each area; see `line_entry`."""
    channels: list[_Channel] = field(default_factory=list)
    gaps: list[_Channel] = field(default_factory=list)
    laid: list[_Laid] = field(default_factory=list)
    laid_vents: dict[str, _LaidVent] = field(default_factory=dict)

    @property
    def part(self) -> Part:
        """As it lies on the bag side."""
        return self.layers.bag_side

    def _node(self, position: FloatArray, height_m: float, volume_m3: float) -> int:
        self.pipe_position.append(position)
        self.pipe_height.append(height_m)
        self.pipe_volume.append(volume_m3)
        return self.first_pipe + len(self.pipe_position) - 1

    def _link(self, start: int, end: int, conductance_m3: float) -> int:
        self.link_start.append(start)
        self.link_end.append(end)
        self.link_conductance.append(conductance_m3)
        return len(self.link_start) - 1

    def _heights(self, position: FloatArray) -> FloatArray:
        return position[:, 2] if self.part.surface is not None else height_at(self.part.heights, position[:, :2])

    def lay(self, line: FeedLine) -> None:
        """The line's channel, and the hose that joins it."""
        entry_m = np.array(
            [
                hidden_entry_m(two, bore_m=line.bore_m, cell_m=self.sheet.cell_size_m) if two else 0.0
                for two in self.layers.split
            ]
        )
        channel, inlet = self._tube(line.run_m, line.bore_m, line.inlet_share, entry_m)
        hose = self._hose(channel, inlet, line.hose_bore_m, line.hose_length_m)
        self._link(hose, channel.nodes[inlet], _half_hose_m3(line))
        self.laid.append(_Laid(line, channel, hose))

    def lay_vent(self, vent: Vent) -> None:
        """Where the bore of its hose is known, the vent's channel and hose: a feed line the other way round."""
        if vent.hose_bore_m is None or vent.on_line is not None:
            return
        channel, joined = self._tube(vent.run_m, vent.bore_m, vent.outlet_share)
        hose = self._hose(channel, joined, vent.hose_bore_m, vent.hose_length_m)
        clamp = self._link(channel.nodes[joined], hose, _half_hose_m3(vent))
        self.laid_vents[vent.label] = _LaidVent(channel, hose, clamp, joined)

    def _tube(
        self, run_m: tuple[tuple[float, ...], ...], bore_m: float, share: float, entry_m: FloatArray | None = None
    ) -> tuple[_Channel, int]:
        """A round channel, and the place along it of the node at this share."""
        along_m4 = tube_section_conductance_m4(bore_m=bore_m)
        channel = self._channel(run_m, tube_section_m2(bore_m=bore_m), along_m4, width_m=bore_m, entry_m=entry_m)
        return channel, min(int(share * len(channel.nodes)), len(channel.nodes) - 1)

    def _hose(self, channel: _Channel, at: int, bore_m: float, length_m: float) -> int:
        """The hose as one node."""
        inside_m3 = tube_volume_m3(bore_m=bore_m, length_m=length_m)
        return self._node(channel.run.position_m[at], float(channel.heights_m[at]), inside_m3)

    def join_vent(self, vent: Vent) -> None:
        """A vent that draws through a feed line: its hose on the node of that line next to where it joins."""
        laid = next(laid for laid in self.laid if laid.line.label == vent.on_line)
        if vent.hose_bore_m is None:
            raise ValueError(f"the bore of the hose of {vent.label} is not known")
        point = np.array((*vent.run_m[0], 0.0)[:3])
        channel = laid.channel
        joined = int(np.argmin(np.linalg.norm(channel.run.position_m - point, axis=1)))
        hose = self._hose(channel, joined, vent.hose_bore_m, vent.hose_length_m)
        clamp = self._link(channel.nodes[joined], hose, _half_hose_m3(vent))
        self.laid_vents[vent.label] = _LaidVent(channel, hose, clamp, joined)

    def lay_track(self, track: RaceTrack) -> IntArray:
        """A gap as a rectangular duct, open to the cells beside it and to lines and gaps that it meets; its nodes."""
        short_m, long_m = sorted((track.width_m, track.depth_m))
        along_m4 = rectangular_duct_conductance_m4(long_side_m=long_m, short_side_m=short_m)
        before = tuple(self.channels)
        gap = self._channel(track.run_m, track.width_m * track.depth_m, along_m4, width_m=track.width_m)
        for channel in before:
            for join in joins_of(gap.course, channel.course):
                self._link(gap.nodes[join.node], channel.nodes[join.other_node], join.conductance_m3)
        if track.run_m[0] == track.run_m[-1] and len(gap.nodes) > 2:
            self._link(gap.nodes[-1], gap.nodes[0], along_m4 / gap.course.node_length_m)
        self.gaps.append(gap)
        return np.array(gap.nodes, dtype=np.int64)

    def _channel(
        self,
        run_m: tuple[tuple[float, ...], ...],
        section_m2: float,
        along_m4: float,
        *,
        width_m: float,
        entry_m: FloatArray | None = None,
    ) -> _Channel:
        """Pipe nodes along the run, and the touches of lengths that cross no link."""
        run = lay_run(self.sheet, run_m)
        heights = self._heights(run.position_m)
        length_m = run.node_length_m or width_m  # a point is as long as it is wide
        nodes = [
            self._node(position, height, section_m2 * length_m)
            for position, height in zip(run.position_m, heights, strict=True)
        ]
        if entry_m is not None:
            self.entry_m.update(dict.fromkeys(nodes, entry_m))
        for a, b in pairwise(nodes):
            self._link(a, b, along_m4 / length_m)
        touch_m3 = touch_conductance_m3(self.part, self.sheet, run.touches, 0.0 if entry_m is None else entry_m)
        for node, cell, conductance_m3 in zip(run.touch_node, run.touches.cell, touch_m3, strict=True):
            self._link(nodes[node], int(cell), float(conductance_m3))
        course = ChannelCourse(
            run_m=run_m,
            node_count=len(nodes),
            node_length_m=length_m,
            width_m=width_m,
            section_conductance_m4=along_m4,
        )
        channel = _Channel(run, heights, nodes, course)
        self.channels.append(channel)
        return channel

    def split_crossed_links(self) -> IntArray:
        """Put each line between the two cells of every link it crosses; return the links that are no more.

        A line at share f of a link of conductance g leaves g/f and g/(1-f): in series they are the link again,
        so a line that does nothing changes nothing but its own volume, and its place is exact within a cell.
        """
        crossings: dict[int, list[tuple[float, int]]] = {}
        for channel in self.channels:
            run = channel.run
            for node, link, share in zip(run.crossing_node, run.crossing_link, run.crossing_share, strict=True):
                crossings.setdefault(int(link), []).append((float(share), channel.nodes[int(node)]))
        links = self.sheet.links
        for link, on_it in crossings.items():
            on_it.sort()
            first, last = int(links.start[link]), int(links.end[link])
            conductance_m3 = float(links.conductance_m3[link])
            before, at = first, 0.0
            for share, node in on_it:
                if node == before:
                    continue
                added = self._added_share(node, first) if before == first else 0.0
                self._link(before, node, conductance_m3 / (max(share - at, 0.01) + added))
                before, at = node, share
            self._link(before, last, conductance_m3 / (max(1.0 - at, 0.01) + self._added_share(before, last)))
        return np.array(sorted(crossings), dtype=np.int64)

    def _added_share(self, node: int, cell: int) -> float:
        """Of a link's length, what the run from a line's node into this cell is longer than the lattice shows."""
        if node not in self.entry_m:
            return 0.0
        return float(self.entry_m[node][self.sheet.area_of_cell[cell]]) / self.sheet.cell_size_m

    def entered(self) -> IntArray:
        """Cells of bare laminate with nodes beneath that a feed line lies on."""
        bare = np.array([two is not None and two.top_depth_m > 0 for two in self.layers.split])
        start, end = np.array(self.link_start), np.array(self.link_end)
        lines = np.array(sorted(self.entry_m), dtype=np.int64)
        cells = np.concatenate([start[np.isin(end, lines)], end[np.isin(start, lines)]])
        cells = np.unique(cells[cells < len(self.sheet.area_m2)])
        return np.asarray(cells[bare[self.sheet.area_of_cell[cells]]], dtype=np.int64)

    def vent(self, vent: Vent, kept_sheet_links: int) -> VentNodes:
        """The cells along the vent's run; if it is no pipe it holds vacuum all along, and lets flow pass beneath.

        Where it runs over the middles of cells it holds these alone, not their neighbours on either side.
        """
        if vent.on_line is not None:
            return self._vent_on_line(vent, kept_sheet_links)
        run = lay_run(self.sheet, vent.run_m)
        links, link, share = self.sheet.links, run.crossing_link, run.crossing_share
        g = links.conductance_m3[link]
        at_start, at_end = share < 1 - OVER_MIDDLE_SHARE, share > OVER_MIDDLE_SHARE
        touch_m3 = touch_conductance_m3(self.part, self.sheet, run.touches)
        cells = np.concatenate([links.start[link][at_start], links.end[link][at_end], run.touches.cell])
        conductance = np.concatenate([(g / share)[at_start], (g / (1 - share))[at_end], touch_m3])
        unique, where = np.unique(cells, return_inverse=True)
        made = VentNodes(
            label=vent.label, cells=unique, conductance_m3=np.bincount(where, weights=conductance).astype(float)
        )
        if vent.label in self.laid_vents:
            return replace(made, pipe=self._vent_pipe(vent, kept_sheet_links))
        return self._with_gaps(made, vent)

    def _with_gaps(self, made: VentNodes, vent: Vent) -> VentNodes:
        opens = [
            (gap.nodes[k], g) for gap in self.gaps for k, g in openings_into(vent.run_m, vent.bore_m, gap.course)
        ]
        return replace(
            made, gap_nodes=np.array([k for k, _ in opens], dtype=np.int64), gap_m3=np.array([g for _, g in opens])
        )

    def _vent_on_line(self, vent: Vent, kept_sheet_links: int) -> VentNodes:
        """Only its hose is its own: the line's nodes stay the line's."""
        index = next(k for k, laid in enumerate(self.laid) if laid.line.label == vent.on_line)
        nodes = self.laid[index].channel.nodes
        ends = np.array([*zip(self.link_start, self.link_end, strict=True)], dtype=np.int64)
        of_line = ends[np.isin(ends, nodes).any(axis=1)]
        cells = np.unique(of_line[of_line < len(self.sheet.area_m2)])
        pipe = replace(
            self._vent_pipe(vent, kept_sheet_links),
            nodes=np.empty(0, dtype=np.int64),
            node_length_m=np.empty(0),
        )
        return VentNodes(label=vent.label, cells=cells, conductance_m3=np.zeros(len(cells)), pipe=pipe, on_line=index)

    def _vent_pipe(self, vent: Vent, kept_sheet_links: int) -> VentPipe:
        laid = self.laid_vents[vent.label]
        nodes = laid.channel.nodes
        return VentPipe(
            nodes=np.array(nodes, dtype=np.int64),
            node_length_m=np.full(len(nodes), laid.channel.course.node_length_m),
            hose_node=laid.hose_node,
            clamp_link=kept_sheet_links + laid.clamp_link,
            to_pot_m3=_half_hose_m3(vent),
            far_node=nodes[0] if laid.joined_at > len(nodes) - 1 - laid.joined_at else nodes[-1],
        )

    def add_manifold(self, height_m: float, volume_m3: float) -> None:
        position = np.mean([laid.channel.run.position_m[0] for laid in self.laid], axis=0)
        manifold = self._node(position, height_m, volume_m3)
        for laid in self.laid:
            laid.tap_link = self._link(manifold, laid.hose_node, _half_hose_m3(laid.line))

    def line_nodes(self, index: int, kept_sheet_links: int) -> LineNodes:
        laid = self.laid[index]
        channel = laid.channel
        return LineNodes(
            label=laid.line.label,
            nodes=np.array(channel.nodes, dtype=np.int64),
            node_length_m=np.full(len(channel.nodes), channel.run.node_length_m),
            hose_node=laid.hose_node,
            tap_link=kept_sheet_links + laid.tap_link,
        )


def _half_hose_m3(tube: FeedLine | Vent) -> float:
    if tube.hose_bore_m is None:
        raise ValueError(f"the bore of the hose of {tube.label} is not known")
    return tube_conductance_m3(bore_m=tube.hose_bore_m, length_m=tube.hose_length_m / 2)
