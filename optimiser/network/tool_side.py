"""The tool side of solid laminate: nodes beneath the cells, joined through the thickness."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse

from optimiser.network.flow_network import FloatArray, IntArray, Links
from optimiser.network.gaps_beneath import gap_beneath, opened_into
from optimiser.network.sheet import Sheet
from optimiser.part.laminate import Laminate
from optimiser.part.mesh_on_laminate import has_tool_side, mesh_on_laminate, through_solid_m2
from optimiser.part.part import Part, RaceTrack
from optimiser.physics.two_layers import conductance_between_m, levelling_length_m

DEPTH_SHARES = (0.3, 0.7)
"""Shares of the laminate's thickness in each node beneath a cell, from the bag side downwards. Against the derived lead
of three stacks: one node leads by 11 to 20 % too far, two halves by 5 to 10 %, these two by 4 to 7 %."""
_TOP_SHARE = 0.2
"""Share of bare laminate that its cell holds. Where mesh ends the laminate goes on, and its tool side still trails: as
one node it would close round what is dry under the mesh. So does that of thick laminate without any."""


@dataclass(frozen=True, kw_only=True)
class Split:
    """A laminate in two."""

    bag_side: Laminate
    tool_side: Laminate
    permeability_through_m2: float
    top_depth_m: float
    """Thickness of laminate on the bag side: none where mesh lies there."""


@dataclass(frozen=True, kw_only=True)
class Layers:
    """The part as it lies on the bag side and beneath: each a part of its own over the same areas."""

    bag_side: Part
    tool_side: Part
    split: tuple[Split | None, ...]
    """One for each area; None: the area is one layer."""


@dataclass(frozen=True, kw_only=True)
class Beneath:
    """Nodes beneath the cells, in the order of `under_cell`, and all links that end at them."""

    under_cell: IntArray
    volume_m3: FloatArray
    links: Links
    levelling_m: float


def layers_of(part: Part) -> Layers:
    """Where the tool side trails anywhere, all solid laminate of the part in two, with mesh or bare."""
    trails = any(has_tool_side(area.laminate) for area in part.areas)
    split = tuple(_split(area.laminate) if trails else None for area in part.areas)
    if not trails:
        return Layers(bag_side=part, tool_side=part, split=split)
    return Layers(
        bag_side=_with_laminates(part, [two.bag_side if two else None for two in split]),
        tool_side=_with_laminates(part, [two.tool_side if two else None for two in split]),
        split=split,
    )


def _split(laminate: Laminate) -> Split | None:
    two = mesh_on_laminate(laminate)
    if two is not None:
        return Split(
            bag_side=two.mesh,
            tool_side=two.solid,
            permeability_through_m2=two.permeability_through_m2,
            top_depth_m=0.0,
        )
    through_m2 = through_solid_m2(laminate.layers)
    if through_m2 is None:
        return None
    return Split(
        bag_side=_thinned(laminate, _TOP_SHARE),
        tool_side=_thinned(laminate, 1.0 - _TOP_SHARE),
        permeability_through_m2=through_m2,
        top_depth_m=_TOP_SHARE * laminate.thickness_m,
    )


def _thinned(laminate: Laminate, share: float) -> Laminate:
    layers = (replace(layer, thickness_m=share * layer.thickness_m) for layer in laminate.layers)
    return replace(laminate, layers=tuple(layers))


def split_cells(layers: Layers, sheet: Sheet) -> IntArray:
    """Cells of the sheet that have a tool side of their own."""
    split = np.array([two is not None for two in layers.split])
    return np.flatnonzero(split[sheet.area_of_cell])


def beneath(
    layers: Layers,
    sheet: Sheet,
    tool_sheet: Sheet,
    moved: sparse.csr_matrix,
    gaps: tuple[tuple[RaceTrack, IntArray], ...] = (),
) -> Beneath:
    """The tool side as nodes.

    sheet, tool_sheet: both sides cut into the same cells; moved: what line_borders moves between them; gaps: each with
    the nodes of its pipe, open into every depth that it reaches. A link through
    the thickness has conductance area K / distance, from the mesh or the middle of the laminate above to the middle of
    the first node, and from middle to middle below it. Along the tool side each node has its share of the laminate's
    links; where the neighbour is one layer they lead to its cell, as those of the bag side do.
    """
    cells, count = split_cells(layers, sheet), len(sheet.area_m2)
    tops = np.arange(count)
    links = [_through(layers, sheet, moved, cells, tops, 0)]
    above_m, deep_m = _depths_m(layers)
    opened = tuple(gap_beneath(tool_sheet, track, pipe, above_m, deep_m) for track, pipe in gaps)
    for k in range(len(DEPTH_SHARES)):
        nodes = np.arange(count)
        nodes[cells] = count + k * len(cells) + np.arange(len(cells))
        if k > 0:
            links.append(_through(layers, sheet, moved, cells, tops, k))
        into, cut = opened_into(layers.tool_side, tool_sheet, opened, nodes, DEPTH_SHARES[k], k)
        links += [into, _along(tool_sheet, nodes, DEPTH_SHARES[k] * (1.0 - cut))]
        tops = nodes
    volume_m3 = (moved @ tool_pores_m3(layers, sheet))[cells]
    return Beneath(
        under_cell=np.tile(cells, len(DEPTH_SHARES)),
        volume_m3=np.concatenate([share * volume_m3 for share in DEPTH_SHARES]),
        links=Links(
            start=np.concatenate([one.start for one in links]),
            end=np.concatenate([one.end for one in links]),
            conductance_m3=np.concatenate([one.conductance_m3 for one in links]),
        ),
        levelling_m=max((_levelling_m(two) for two in layers.split if two is not None), default=0.0),
    )


def _levelling_m(two: Split) -> float:
    """Length over which the two, wet, come to one pressure, from middle to middle."""
    sides = two.bag_side, two.tool_side
    one_m3, other_m3 = (float(np.linalg.eigvalsh(side.transmissibility_m3).max()) for side in sides)
    return levelling_length_m(
        one_m3=one_m3,
        other_m3=other_m3,
        permeability_through_m2=two.permeability_through_m2,
        apart_m=(two.top_depth_m + two.tool_side.thickness_m) / 2,
    )


def tool_pores_m3(layers: Layers, sheet: Sheet) -> FloatArray:
    """Pore volume beneath each cell, as far as it lies in laminate that has a tool side of its own."""
    depths = [area.laminate.pore_depth_m for area in layers.tool_side.areas]
    beneath = np.array([depth if two else 0.0 for depth, two in zip(depths, layers.split, strict=True)])
    return np.asarray(sheet.area_m2 * (sheet.shares @ beneath))


def _through(
    layers: Layers, sheet: Sheet, moved: sparse.csr_matrix, cells: IntArray, tops: IntArray, k: int
) -> Links:
    """From the nodes on top to those of the k-th depth."""
    per_area = np.array([per_area_m(two, k) if two else 0.0 for two in layers.split])
    area_m2 = (moved @ sheet.area_m2)[cells]
    return Links(
        start=tops[cells],
        end=len(sheet.area_m2) + k * len(cells) + np.arange(len(cells)),
        conductance_m3=area_m2 * (sheet.shares @ per_area)[cells],
    )


def per_area_m(two: Split, k: int) -> float:
    """Conductance per area, m, from middle to middle down to the k-th depth."""
    deep_m = two.tool_side.thickness_m
    above_m = DEPTH_SHARES[k - 1] * deep_m if k > 0 else two.top_depth_m
    return conductance_between_m(
        permeability_through_m2=two.permeability_through_m2, apart_m=(above_m + DEPTH_SHARES[k] * deep_m) / 2
    )


def _depths_m(layers: Layers) -> tuple[FloatArray, FloatArray]:
    """(areas, depths): what lies above each depth, and how thick it is; one layer has none beneath it."""
    shares = np.array(DEPTH_SHARES)
    above, deep = np.zeros((len(layers.split), len(shares))), np.ones((len(layers.split), len(shares)))
    for k, two in enumerate(layers.split):
        if two is not None:
            deep[k] = shares * two.tool_side.thickness_m
            above[k] = two.bag_side.thickness_m + np.cumsum(deep[k]) - deep[k]
    return above, deep


def _along(tool_sheet: Sheet, nodes: IntArray, share: FloatArray) -> Links:
    """The sheet's links on the tool side, of which at least one end lies beneath a cell, by what share is left."""
    start, end = nodes[tool_sheet.links.start], nodes[tool_sheet.links.end]
    conductance_m3 = share * tool_sheet.links.conductance_m3
    kept = ((start >= len(nodes)) | (end >= len(nodes))) & (conductance_m3 > 0)
    return Links(start=start[kept], end=end[kept], conductance_m3=conductance_m3[kept])


def _with_laminates(part: Part, laminates: list[Laminate | None]) -> Part:
    areas = (
        replace(area, laminate=laminate or area.laminate)
        for area, laminate in zip(part.areas, laminates, strict=True)
    )
    return replace(part, areas=tuple(areas))
