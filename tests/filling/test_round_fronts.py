"""Fronts round an inlet: radial and elliptical fill times (tests/check_values/{radial,elliptical}.csv).

Source of the cases: Adams, Russel & Rebenfeld, Int. J. Multiphase Flow 14(2):203-215, 1988; the formulas are
derived from Darcy's law and a volume balance.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.network.flow_network import FlowNetwork, LineNodes, Links, VentNodes
from optimiser.part.part import LaminateArea, Part, TriangleSurface
from optimiser.physics import closed_form

RINGS_EXACT = 1e-3
"""Forty rings filled one by one are the midpoint rule for the integral of the law: measured 4e-5, falling
with the square of their number."""
SURFACE = 0.02
"""A mesh of 20 rings of 36 corners holds a polygon's area, 0.5 % less than the round one's, and its triangles
see the pressure fall as straight across rings a tenth of a radius wide: measured 1.1 %."""


def chain_of_rings(
    rings: int, *, inlet_m: float, end_m: float, permeability_m2: float, porosity: float
) -> FlowNetwork:
    """Rings of equal width as nodes, joined by 2 pi h K / ln(r2 / r1), behind a line, a hose and a manifold
    that hold and resist next to nothing."""
    thickness_m = 4e-3
    edge_m = np.linspace(inlet_m, end_m, rings + 1)
    middle_m = (edge_m[1:] + edge_m[:-1]) / 2
    area_m2 = np.pi * np.diff(edge_m**2)
    volume_m3 = area_m2 * thickness_m * porosity
    inward_m = np.concatenate([[inlet_m], middle_m[:-1]])
    conductance_m3 = 2 * np.pi * permeability_m2 * thickness_m / np.log(middle_m / inward_m)
    wide_open_m3 = 1e3 * conductance_m3.max()
    line, hose, manifold = rings, rings + 1, rings + 2
    level = np.zeros(rings + 3)
    return FlowNetwork(
        cell_count=rings,
        cell_size_m=float(edge_m[1] - edge_m[0]),
        x_m=np.concatenate([middle_m, np.full(3, inlet_m)]),
        y_m=level,
        height_m=level,
        area_m2=np.concatenate([area_m2, np.zeros(3)]),
        volume_m3=np.concatenate([volume_m3, np.full(3, 1e-4 * volume_m3[0])]),
        area_of_cell=np.zeros(rings, dtype=np.int64),
        links=Links(
            start=np.array([line, *range(rings - 1), hose, manifold]),
            end=np.array([*range(rings), line, hose]),
            conductance_m3=np.array([*conductance_m3, wide_open_m3, wide_open_m3]),
        ),
        lines=(
            LineNodes(
                label="0",
                nodes=np.array([line]),
                node_length_m=np.array([1.0]),
                hose_node=hose,
                tap_link=rings + 1,
            ),
        ),
        vents=(VentNodes(label="V", cells=np.array([rings - 1]), conductance_m3=conductance_m3[-1:]),),
    )


@pytest.mark.parametrize(
    ("porosity", "viscosity_pa_s", "inlet_m", "end_m", "permeability_m2", "pressure_pa"),
    [
        (0.5, 0.2, 0.01, 0.5, 2e-10, 9e4),
        (0.5, 0.25, 0.01, 1.0, 3e-9, 9e4),
        (0.52, 0.3, 0.006, 0.3, 5e-11, 9.5e4),
    ],
)
def test_rings_fill_in_the_radial_time(
    mould: Any,
    porosity: float,
    viscosity_pa_s: float,
    inlet_m: float,
    end_m: float,
    permeability_m2: float,
    pressure_pa: float,
) -> None:
    """A network of rings, each a node, is full when the round front reaches the outermost one's edge."""
    network = chain_of_rings(
        40, inlet_m=inlet_m, end_m=end_m, permeability_m2=permeability_m2, porosity=porosity
    )
    run = mould.fill_network(
        network, *mould.open_at_start("0"), viscosity_pa_s=viscosity_pa_s, pressure_pa=pressure_pa
    )
    expected_s = closed_form.radial_fill_time_s(
        porosity=porosity,
        viscosity_pa_s=viscosity_pa_s,
        inlet_radius_m=inlet_m,
        front_radius_m=end_m,
        permeability_m2=permeability_m2,
        pressure_difference_pa=pressure_pa,
    )
    assert run.wet_out_s == pytest.approx(expected_s, rel=RINGS_EXACT)


def ringed_surface(
    mould: Any, *, rings: int, round_about: int, inlet_m: float, end_m: float, across_share: float
) -> Part:
    """A flat annulus of triangles, stretched into an ellipse by K1 / K2 = 1 / across_share, fed all round its
    inner border and vented at every corner of its outer one."""
    radius_m = np.geomspace(inlet_m, end_m, rings + 1)[:, None]
    turn = 2 * np.pi * (np.arange(round_about) + 0.5 * (np.arange(rings + 1)[:, None] % 2)) / round_about
    stretch = across_share**-0.25
    x_m, y_m = (stretch * radius_m * np.cos(turn)).ravel(), (radius_m / stretch * np.sin(turn)).ravel()
    corners = tuple((float(x), float(y), 0.0) for x, y in zip(x_m, y_m, strict=True))
    triangles = []
    for ring in range(rings):
        for k in range(round_about):
            a, b = ring * round_about + k, ring * round_about + (k + 1) % round_about
            c, d = a + round_about, b + round_about
            triangles += [(a, b, c), (b, d, c)] if ring % 2 == 0 else [(a, b, d), (a, d, c)]
    inlet = mould.feed_line(
        "0", *corners[:round_about], corners[0], bore_m=0.02, hose_bore_m=0.02, hose_length_m=0.05
    )
    laminate = mould.laminate(2e-10, across_m2=2e-10 * across_share, thickness_m=4e-3)
    return Part(
        surface=TriangleSurface(vertices_m=corners, triangles=tuple(triangles)),
        areas=(LaminateArea(name="all", laminate=laminate, border_m=None),),
        feed_lines=(inlet,),
        vents=(mould.vent("V", *corners[-round_about:]),),
    )


@pytest.mark.parametrize("across_share", [1.0, 0.25], ids=["round", "elliptical"])
def test_front_from_a_ring_on_a_surface_takes_the_law_s_time(mould: Any, across_share: float) -> None:
    """From a round line, or an ellipse of axes as sqrt(K1 / K2), the whole border is met at once."""
    part = ringed_surface(mould, rings=20, round_about=36, inlet_m=0.05, end_m=0.5, across_share=across_share)
    filled = mould.fill(part, 0.05, *mould.open_at_start("0"), viscosity_pa_s=0.2)
    stretch = across_share**-0.25
    expected_s = closed_form.elliptical_fill_time_s(
        porosity=0.5,
        viscosity_pa_s=0.2,
        inlet_semi_axis_along_m=0.05 * stretch,
        front_semi_axis_along_m=0.5 * stretch,
        permeability_along_m2=2e-10,
        permeability_across_m2=2e-10 * across_share,
        pressure_difference_pa=9e4,
    )
    border_s = filled.run.arrival_s[: filled.network.cell_count][-36:]
    assert border_s == pytest.approx(expected_s, rel=SURFACE)
