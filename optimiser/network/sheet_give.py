"""Where the sheet gives under the bag: which share of its pores and of its links lies in reinforcement that does."""

from __future__ import annotations

import numpy as np

from optimiser.network.flow_network import FloatArray, FlowNetwork, IntArray, SheetGive
from optimiser.part.laminate import Laminate
from optimiser.part.part import Part

_RIGID = 0.5, 0.0, 0.5
"""Dry fraction, exponent and floor of a node that does not give: any fractions will do."""


def sheet_give(bag_side: Part, tool_side: Part, network: FlowNetwork) -> SheetGive | None:
    """bag_side, tool_side: the part as it lies in the cells, and beneath them where they have nodes beneath.

    Along the sheet a link is carried by what lies at its two ends. Links through the thickness, pipes and gaps stay as
    they are in the dry bed: resin soaks down no sooner for it, which is the slow side.
    """
    rows = np.array([[_of(area.laminate) for area in part.areas] for part in (bag_side, tool_side)])
    if not rows[..., 0].any():
        return None
    cells = network.cell_count
    area = np.concatenate([network.area_of_cell, network.area_of_cell[network.under_cell]])
    beneath = np.arange(len(area)) >= cells
    of_sheet = rows[beneath.astype(np.int64), area]
    of_pipes = np.tile((0.0, 0.0, *_RIGID), (network.node_count - len(of_sheet), 1))
    pore_share, carried, dry, exponent, least = np.concatenate([of_sheet, of_pipes]).T
    return SheetGive(
        pore_share=pore_share,
        dry_fraction=dry,
        exponent=exponent,
        least_fraction=least,
        link_share=_link_share(network, carried),
    )


def _of(laminate: Laminate) -> tuple[float, float, float, float, float]:
    """Shares of pores and of K h in its reinforcement; fibre fraction, exponent and floor of that."""
    plies = laminate.plies
    if laminate.compaction is None or laminate.compaction.stiffening_exponent == 0 or not plies.layers:
        return (0.0, 0.0, *_RIGID)
    return (
        plies.pore_depth_m / laminate.pore_depth_m,
        float(np.trace(plies.transmissibility_m3) / np.trace(laminate.transmissibility_m3)),
        plies.fibre_fraction,
        laminate.compaction.stiffening_exponent,
        min(laminate.compaction.least_fibre_fraction, plies.fibre_fraction),
    )


def _link_share(network: FlowNetwork, carried: FloatArray) -> FloatArray:
    start, end = network.links.start, network.links.end
    sheet_ends = _on_sheet(network, start) + _on_sheet(network, end)
    share = (carried[start] + carried[end]) / np.maximum(sheet_ends, 1.0)
    cell = network.cell_of_node
    return np.where((cell[start] == cell[end]) | (sheet_ends == 0), 0.0, share)


def _on_sheet(network: FlowNetwork, nodes: IntArray) -> FloatArray:
    return (nodes < network.sheet_count).astype(np.float64)
