"""Gaps as deep as the laminate open into its tool side too."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.network.flow_network import BoolArray, FloatArray, IntArray, Links
from optimiser.network.lay_lines import LaidRun, lay_run, touch_conductance_m3
from optimiser.network.sheet import Sheet
from optimiser.part.part import Part, RaceTrack


@dataclass(frozen=True, kw_only=True)
class GapBeneath:
    """A gap laid on the cells of the tool side."""

    run: LaidRun
    nodes: IntArray
    """Of its pipe, one for each length of the run."""
    reaches: FloatArray
    """(areas, depths): share of the laminate at each depth that the gap cuts through."""


def gap_beneath(
    tool_sheet: Sheet, track: RaceTrack, nodes: IntArray, above_m: FloatArray, deep_m: FloatArray
) -> GapBeneath:
    """above_m, deep_m: (areas, depths), how much laminate and mesh lies above each depth, and how thick it is there."""
    reaches = np.clip((track.depth_m - above_m) / deep_m, 0.0, 1.0)
    return GapBeneath(run=lay_run(tool_sheet, track.run_m), nodes=nodes, reaches=reaches)


def opened_into(
    part: Part, tool_sheet: Sheet, gaps: tuple[GapBeneath, ...], nodes: IntArray, share: float, depth: int
) -> tuple[Links, FloatArray]:
    """Links from the gaps into the nodes of one depth, and what share of each of the sheet's links they cut through.

    part: the tool side; nodes: of each cell, its own where it is one layer; share: of the laminate, at this depth. A
    link that a gap cuts through in part is as two side by side: one as it was, the other with the gap in it.
    """
    links, beneath = tool_sheet.links, nodes >= len(nodes)
    cut = np.zeros(len(links))
    start, end, conductance = [], [], []
    for gap in gaps:
        reached = np.where(beneath, gap.reaches[tool_sheet.area_of_cell, depth], 1.0)
        run, touches = gap.run, gap.run.touches
        ends = np.stack([links.start[run.crossing_link], links.end[run.crossing_link]])
        through = np.where(beneath[ends].any(axis=0), reached[ends].min(axis=0), 0.0)
        through = np.minimum(through, 1.0 - cut[run.crossing_link])
        np.maximum.at(cut, run.crossing_link, through)
        flow_m3 = share * through * links.conductance_m3[run.crossing_link]
        at = gap.nodes[run.crossing_node]
        touched: BoolArray = beneath[touches.cell] & (reached[touches.cell] > 0)
        touch_m3 = share * reached[touches.cell] * touch_conductance_m3(part, tool_sheet, touches)
        start += [at[through > 0], at[through > 0], gap.nodes[run.touch_node][touched]]
        end += [nodes[ends[0]][through > 0], nodes[ends[1]][through > 0], nodes[touches.cell][touched]]
        conductance += [
            (flow_m3 / run.crossing_share)[through > 0],
            (flow_m3 / (1.0 - run.crossing_share))[through > 0],
            touch_m3[touched],
        ]
    if not start:
        empty = np.empty(0, dtype=np.int64)
        return Links(start=empty, end=empty, conductance_m3=np.empty(0)), cut
    return Links(start=np.concatenate(start), end=np.concatenate(end), conductance_m3=np.concatenate(conductance)), cut
