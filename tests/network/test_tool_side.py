"""Solid laminate under flow mesh as nodes beneath the cells; all else stays as it is."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.network.flow_network import FlowNetwork
from optimiser.part.laminate import Laminate, Layer, LayerKind
from optimiser.part.part import LaminateArea, TriangleSurface

CELL_M = 0.1


def layer(kind: LayerKind, h: float, phi: float, along_m2: float, through_m2: float | None = None) -> Layer:
    return Layer(
        name=kind.value,
        kind=kind,
        thickness_m=h,
        porosity=phi,
        permeability_along_m2=along_m2,
        permeability_across_m2=along_m2,
        angle_rad=0.0,
        permeability_through_m2=through_m2,
    )


PLIES = layer(LayerKind.REINFORCEMENT, 4e-3, 0.5, 1e-10, 2e-12)
MESH = layer(LayerKind.FLOW_MESH, 1.2e-3, 0.85, 3e-9)
CORE = layer(LayerKind.CORE, 20e-3, 0.02, 1e-10)
SOLID, BARE = Laminate(name="solid", layers=(PLIES, MESH)), Laminate(name="bare", layers=(PLIES,))
CORED = Laminate(name="cored", layers=(PLIES, CORE, PLIES, MESH))


def panel(mould: Any, base: Laminate, patch: Laminate | None = None) -> FlowNetwork:
    """1.2 m by 0.8 m, a line and a vent along its long edges, a patch in the middle."""
    lines = (mould.feed_line("1", (0.0, 0.05), (1.2, 0.05)),)
    border_m = ((0.3, 0.2), (0.9, 0.2), (0.9, 0.6), (0.3, 0.6))
    patches = () if patch is None else (LaminateArea(name="patch", laminate=patch, border_m=border_m),)
    vents = (mould.vent("V", (0.0, 0.8), (1.2, 0.8)),)
    made: FlowNetwork = mould.reduce(mould.panel(1.2, 0.8, base, lines, vents, patches=patches), CELL_M)
    return made


@pytest.mark.parametrize("laminate", [BARE, CORED], ids=["no mesh", "mesh on a core"])
def test_without_mesh_on_solid_laminate_nothing_lies_beneath(mould: Any, laminate: Laminate) -> None:
    """Bare laminate alone, or layers that a core joins, stay one node a cell."""
    network = panel(mould, laminate)
    assert network.sheet_count == network.cell_count
    assert np.array_equal(network.latest(network.volume_m3), network.volume_m3[: network.cell_count])


def test_pore_volume_is_that_of_all_layers(mould: Any) -> None:
    """The mesh in the cell, the plies beneath it; a line across cells moves both to the side where they lie."""
    network = panel(mould, SOLID)
    cells, sheet = slice(0, network.cell_count), slice(0, network.sheet_count)
    assert network.volume_m3[cells].sum() == pytest.approx(0.96 * 1.2e-3 * 0.85)
    assert network.volume_m3[sheet].sum() == pytest.approx(0.96 * SOLID.pore_depth_m)
    below_m3 = np.bincount(network.under_cell, network.volume_m3[network.cell_count : network.sheet_count])
    assert below_m3 == pytest.approx(network.volume_m3[cells] / (1.2e-3 * 0.85) * (4e-3 * 0.5))


def test_a_patch_in_cored_laminate_is_joined_to_it_from_both_its_layers(mould: Any) -> None:
    """Only the patch has nodes beneath; those at its border lead to the cell beside it, as the mesh does."""
    network = panel(mould, CORED, SOLID)
    patch = np.flatnonzero(network.area_of_cell == 1)
    assert np.array_equal(np.unique(network.under_cell), patch)
    links, cell = network.links, network.cell_of_node
    lower = np.maximum(links.start, links.end)
    beneath = (lower >= network.cell_count) & (lower < network.sheet_count)
    ends = np.column_stack([cell[links.start[beneath]], cell[links.end[beneath]]])
    out_of_patch = np.unique(ends[~np.isin(ends, patch)])
    assert len(out_of_patch) == 2 * (6 + 4)
    assert (network.area_of_cell[out_of_patch] == 0).all()


def test_bare_laminate_beside_mesh_keeps_its_tool_side(mould: Any) -> None:
    """Else its one node would close round what is dry under the mesh; its volume stays what it is."""
    network = panel(mould, BARE, SOLID)
    assert np.array_equal(np.unique(network.under_cell), np.arange(network.cell_count))
    expected_m3 = 0.72 * BARE.pore_depth_m + 0.24 * SOLID.pore_depth_m
    assert network.volume_m3[: network.sheet_count].sum() == pytest.approx(expected_m3)


def test_lines_and_vents_lie_on_the_bag_side(mould: Any) -> None:
    """No pipe and no vent touches a node beneath a cell."""
    network = panel(mould, SOLID)
    links = network.links
    beneath = [(ends >= network.cell_count) & (ends < network.sheet_count) for ends in (links.start, links.end)]
    pipes = [ends >= network.sheet_count for ends in (links.start, links.end)]
    assert not ((beneath[0] & pipes[1]) | (beneath[1] & pipes[0])).any()
    assert all((vent.cells < network.cell_count).all() for vent in network.vents)


def test_a_triangle_surface_has_a_tool_side_too(mould: Any) -> None:
    """A square of four triangles round its middle: five columns of nodes, all at their corner's height."""
    corners = ((0.0, 0.0, 0.0), (1.0, 0.0, 0.2), (1.0, 1.0, 0.2), (0.0, 1.0, 0.0), (0.5, 0.5, 0.1))
    surface = TriangleSurface(vertices_m=corners, triangles=((0, 1, 4), (1, 2, 4), (2, 3, 4), (3, 0, 4)))
    base = mould.panel(1.0, 1.0, SOLID, (mould.feed_line("1", corners[0], corners[3]),), (mould.vent("V", corners[1]),))
    part = type(base)(surface=surface, areas=base.areas, feed_lines=base.feed_lines, vents=base.vents)
    network = mould.reduce(part, 0.7)
    assert network.cell_count == 5
    heights_m = network.height_m[network.cell_count : network.sheet_count]
    assert heights_m == pytest.approx(network.height_m[network.under_cell])
    area_m2 = np.sqrt(1.0 + 0.2**2)
    assert network.volume_m3[: network.sheet_count].sum() == pytest.approx(area_m2 * SOLID.pore_depth_m)
