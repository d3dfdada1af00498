"""Borders of laminate areas that run through cells: coarse cells hold and pass what lies in them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from optimiser.network.flow_network import FlowNetwork
from optimiser.network.mixed_areas import seen_areas
from optimiser.network.sheet_lattice import outline_shape
from optimiser.part.laminate import Laminate, Layer, LayerKind
from optimiser.part.part import LaminateArea, Part
from optimiser.physics import closed_form

FAST_M2, SLOW_M2, DEPTH_M = 1e-9, 4e-11, 5e-3


def strip_of(laminate: Laminate, *, x_m: tuple[float, float], y_m: tuple[float, float]) -> LaminateArea:
    (x0, x1), (y0, y1) = x_m, y_m
    return LaminateArea(name="strip", laminate=laminate, border_m=((x0, y0), (x1, y0), (x1, y1), (x0, y1)))


def panel(mould: Any, *patches: LaminateArea, base: Laminate | None = None) -> Part:
    """1 m by 0.5 m, fed along one short edge and vented along the other."""
    line, vent = mould.feed_line("0", (0.0, 0.0), (0.0, 0.5)), mould.vent("V", (1.0, 0.0), (1.0, 0.5))
    part: Part = mould.panel(1.0, 0.5, base or mould.laminate(FAST_M2), (line,), (vent,), patches=patches)
    return part


def links_between(network: FlowNetwork, x_m: float, axis: int) -> np.ndarray[Any, Any]:
    """Links between cells along the axis whose middle lies at this x."""
    ends = [np.column_stack([network.x_m, network.y_m])[side] for side in (network.links.start, network.links.end)]
    of_cells = np.maximum(network.links.start, network.links.end) < network.cell_count
    middle, along = (ends[0] + ends[1]) / 2, np.abs(ends[1] - ends[0])
    return np.flatnonzero(of_cells & (along[:, axis] > 1e-9) & (np.abs(middle[:, 0] - x_m) < 1e-9))


@pytest.mark.parametrize("cell_m", [0.1, 0.07, 0.05])
def test_cells_hold_what_each_laminate_takes_wherever_its_border_runs(mould: Any, cell_m: float) -> None:
    """Area times pore depth of both laminates, and what each covers, at cell sizes that fit the border nowhere."""
    thick = mould.laminate(SLOW_M2, thickness_m=12e-3, porosity=0.4)
    network = mould.reduce(panel(mould, strip_of(thick, x_m=(0.413, 0.457), y_m=(0.0, 0.333))), cell_m)
    covered_m2 = 0.044 * 0.333
    assert network.covered_m2 == pytest.approx([0.5 - covered_m2, covered_m2])
    expected_m3 = (0.5 - covered_m2) * DEPTH_M * 0.5 + covered_m2 * 12e-3 * 0.4
    assert network.volume_m3[: network.cell_count].sum() == pytest.approx(expected_m3)


def test_a_link_passes_its_pieces_one_after_the_other_and_its_tracks_side_by_side(mould: Any) -> None:
    """Permeabilities in series add up by their inverses, side by side as they are (Bear, Dynamics of Fluids in Porous
    Media, 1972, from memory): 30 mm of slow laminate in a link of 100 mm, and half of one."""
    slow = mould.laminate(SLOW_M2)
    across = mould.reduce(panel(mould, strip_of(slow, x_m=(0.48, 0.51), y_m=(0.0, 0.5))), 0.1)
    expected_m3 = 0.1 * DEPTH_M / (0.07 / FAST_M2 + 0.03 / SLOW_M2)
    assert across.links.conductance_m3[links_between(across, 0.5, 0)] == pytest.approx(expected_m3)
    along = mould.reduce(panel(mould, strip_of(slow, x_m=(0.0, 1.0), y_m=(0.25, 0.3))), 0.1)
    middle = links_between(along, 0.5, 0)
    assert sorted(along.links.conductance_m3[middle] / DEPTH_M) == pytest.approx(
        [0.5 * (FAST_M2 + SLOW_M2), *([FAST_M2] * 4)]
    )


def test_an_area_that_only_touches_another_leaves_no_line_in_it(mould: Any) -> None:
    """Two patches side by side, one under a third: what is seen of each is faces, and together the whole sheet."""
    slow = mould.laminate(SLOW_M2)
    under, beside, over = (
        strip_of(slow, x_m=x_m, y_m=y_m)
        for x_m, y_m in (((0.4, 0.6), (0.1, 0.3)), ((0.6, 0.8), (0.0, 0.5)), ((0.4, 0.5), (0.1, 0.3)))
    )
    part = panel(mould, under, beside, over)
    seen = seen_areas(part, outline_shape(part))
    assert [shapely.area(one) for one in seen] == pytest.approx([0.36, 0.02, 0.1, 0.02])
    kinds = {each.geom_type for one in seen for each in shapely.get_parts(one)}
    assert kinds == {"Polygon"}
    assert shapely.area(shapely.unary_union(seen)) == pytest.approx(0.5)


@pytest.mark.parametrize("cell_m", [0.1, 0.05, 0.02])
def test_a_strip_narrower_than_a_cell_costs_the_time_that_it_costs(mould: Any, cell_m: float) -> None:
    """Three pieces in series (closed_form, derived from Darcy's law piece by piece), the middle one 30 mm of laminate
    25 times slower: within 3 % on cells three times as long as that strip. Without it the panel is wet in half the
    time."""
    part = panel(mould, strip_of(mould.laminate(SLOW_M2), x_m=(0.465, 0.495), y_m=(0.0, 0.5)))
    filled = mould.fill(part, cell_m, *mould.open_at_start("0"), viscosity_pa_s=0.2)
    expected_s = closed_form.series_fill_times_s(
        lengths_m=(0.465, 0.03, 0.505),
        thicknesses_m=(DEPTH_M,) * 3,
        porosities=(0.5,) * 3,
        permeabilities_m2=(FAST_M2, SLOW_M2, FAST_M2),
        viscosity_pa_s=0.2,
        pressure_difference_pa=9e4,
    )
    assert filled.run.wet_out_s == pytest.approx(expected_s[-1], rel=0.03)
    without_s = closed_form.linear_fill_time_s(
        porosity=0.5, viscosity_pa_s=0.2, length_m=1.0, permeability_m2=FAST_M2, pressure_difference_pa=9e4
    )
    assert without_s < 0.6 * expected_s[-1]


def test_between_cells_of_one_layer_resin_goes_through_all_of_a_strip_in_two(mould: Any) -> None:
    """Solid laminate beside one with mesh is in two layers; where a strip of it has no cell of its own, both count."""

    def layer(name: str, kind: LayerKind, thickness_m: float, along_m2: float) -> Layer:
        return Layer(
            name=name,
            kind=kind,
            thickness_m=thickness_m,
            porosity=0.5,
            permeability_along_m2=along_m2,
            permeability_across_m2=along_m2,
            angle_rad=0.0,
            permeability_through_m2=2e-12,
        )

    plies, core = layer("plies", LayerKind.REINFORCEMENT, 4e-3, SLOW_M2), layer("core", LayerKind.CORE, 20e-3, FAST_M2)
    mesh = layer("mesh", LayerKind.FLOW_MESH, 1e-3, 3e-9)
    cored = Laminate(name="cored", layers=(plies, core, plies))
    narrow = strip_of(Laminate(name="bare", layers=(plies,)), x_m=(0.48, 0.51), y_m=(0.0, 0.5))
    far = LaminateArea(
        name="meshed",
        laminate=Laminate(name="meshed", layers=(plies, mesh)),
        border_m=((0.8, 0.0), (1.0, 0.0), (1.0, 0.5), (0.8, 0.5)),
    )
    network = mould.reduce(panel(mould, narrow, far, base=cored), 0.1)
    assert len(network.under_cell) == 2 * 10
    cored_m3, bare_m3 = 20e-3 * FAST_M2 + 8e-3 * SLOW_M2, 4e-3 * SLOW_M2
    expected_m3 = 0.1 / (0.07 / cored_m3 + 0.03 / bare_m3)
    assert network.links.conductance_m3[links_between(network, 0.5, 0)] == pytest.approx(expected_m3)
