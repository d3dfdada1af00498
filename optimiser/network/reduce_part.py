"""Reduce a part to its flow network: cut the sheet, lay lines and vents on it, add hoses and the manifold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy import sparse

from optimiser.network.bays import bays
from optimiser.network.flow_network import FloatArray, FlowNetwork, IntArray, Links
from optimiser.network.line_borders import volume_beyond_lines
from optimiser.network.pipes_on_sheet import PipesOnSheet
from optimiser.network.sheet import Sheet, pore_volume_m3
from optimiser.network.sheet_give import sheet_give
from optimiser.network.sheet_lattice import cut_lattice
from optimiser.network.sheet_surface import cut_surface
from optimiser.network.tool_side import DEPTH_SHARES, Layers, beneath, layers_of, split_cells, tool_pores_m3
from optimiser.one_blas_thread import one_blas_thread
from optimiser.part.part import Part


@one_blas_thread
def reduce_part(part: Part, *, cell_m: float, manifold_height_m: float, manifold_volume_m3: float) -> FlowNetwork:
    """The part as nodes and links, with every feed line in it as a pipe whether its tap is open or not.

    cell_m: wanted size of a cell; smaller triangles of a surface stay as they are. Lines and vents lie on the bag side.
    """
    layers = layers_of(part)
    sheet = _cut(layers.bag_side, cell_m)
    under = split_cells(layers, sheet)
    if len(under):
        sheet = _with_links_of_whole(sheet, _cut(part, cell_m), under)
    build = PipesOnSheet(layers, sheet, len(sheet.area_m2) + len(under) * len(DEPTH_SHARES))
    for line in part.feed_lines:
        build.lay(line)
    for vent in part.vents:
        build.lay_vent(vent)
        if vent.on_line is not None:
            build.join_vent(vent)
    tracks = tuple(build.lay_track(track) for track in part.race_tracks)
    crossed_links = build.split_crossed_links()
    beyond = volume_beyond_lines(sheet, [channel.run for channel in build.channels])
    tool_sheet = _cut(layers.tool_side, cell_m) if len(under) else sheet
    gaps = zip(part.race_tracks, tracks, strict=True) if len(under) else ()
    tool = beneath(layers, sheet, tool_sheet, beyond, tuple(gaps))
    build.add_manifold(manifold_height_m, manifold_volume_m3)
    keep = np.ones(len(sheet.links), dtype=bool)
    keep[crossed_links] = False
    shift = int(np.count_nonzero(keep))
    vents = tuple(build.vent(vent, shift) for vent in part.vents)
    links = Links(
        start=np.concatenate(
            [sheet.links.start[keep], np.array(build.link_start, dtype=np.int64), tool.links.start]
        ),
        end=np.concatenate([sheet.links.end[keep], np.array(build.link_end, dtype=np.int64), tool.links.end]),
        conductance_m3=np.concatenate(
            [sheet.links.conductance_m3[keep], np.array(build.link_conductance), tool.links.conductance_m3]
        ),
    )
    cells = len(sheet.area_m2)
    pipes = np.array(build.pipe_position)
    node = np.concatenate([np.arange(cells), tool.under_cell])
    network = FlowNetwork(
        cell_count=cells,
        cell_size_m=sheet.cell_size_m,
        x_m=np.concatenate([sheet.position_m[:, 0][node], pipes[:, 0]]),
        y_m=np.concatenate([sheet.position_m[:, 1][node], pipes[:, 1]]),
        height_m=np.concatenate([sheet.height_m[node], np.array(build.pipe_height)]),
        area_m2=np.concatenate([(beyond @ sheet.area_m2)[node], np.zeros(len(pipes))]),
        volume_m3=np.concatenate([_cell_volume_m3(layers, sheet, beyond), tool.volume_m3, np.array(build.pipe_volume)]),
        area_of_cell=sheet.area_of_cell,
        covered_m2=sheet.area_m2 @ sheet.shares,
        links=links,
        lines=tuple(build.line_nodes(index, shift) for index in range(len(part.feed_lines))),
        vents=vents,
        race_tracks=tracks,
        triangles=sheet.triangles,
        under_cell=tool.under_cell,
        levelling_m=tool.levelling_m,
        entered=build.entered(),
    )
    return replace(network, bays=bays(network), give=sheet_give(layers.bag_side, layers.tool_side, network))


def _with_links_of_whole(sheet: Sheet, whole: Sheet, split: IntArray) -> Sheet:
    """Between two cells of one layer resin goes through all of what lies there, split elsewhere or not."""
    one_layer = np.ones(len(sheet.area_m2), dtype=bool)
    one_layer[split] = False
    kept = ~(one_layer[sheet.links.start] & one_layer[sheet.links.end])
    taken = one_layer[whole.links.start] & one_layer[whole.links.end]
    return replace(
        sheet,
        links=Links(
            start=np.concatenate([sheet.links.start[kept], whole.links.start[taken]]),
            end=np.concatenate([sheet.links.end[kept], whole.links.end[taken]]),
            conductance_m3=np.concatenate([sheet.links.conductance_m3[kept], whole.links.conductance_m3[taken]]),
        ),
    )


def _cut(part: Part, cell_m: float) -> Sheet:
    return cut_surface(part, cell_m) if part.surface is not None else cut_lattice(part, cell_m)


def _cell_volume_m3(layers: Layers, sheet: Sheet, beyond: sparse.csr_matrix) -> FloatArray:
    """Pore volume of the cells; what lies beneath and beyond a line falls to the cell there, if it is one layer."""
    volume_m3 = beyond @ pore_volume_m3(layers.bag_side, sheet)
    tool_m3 = beyond @ tool_pores_m3(layers, sheet)
    tool_m3[split_cells(layers, sheet)] = 0.0
    return np.asarray(volume_m3 + tool_m3)
