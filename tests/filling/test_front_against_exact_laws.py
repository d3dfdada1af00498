"""The front in one dimension against the closed forms of optimiser/physics/closed_form.

Those are held to the derived numbers in tests/check_values (linear, series, constant_flow and gravity;
Darcy's law with a volume balance). There are 40 cells along the path. 0.5 % is a tenth of what permeability
is ever known to; measured here is 0.01 to 0.3 %.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from optimiser.part.part import LaminateArea
from optimiser.physics import closed_form
from optimiser.physics.darcy import highest_rise_m
from optimiser.physics.pipe_flow import tube_conductance_m3

CELLS = 40
HALF_A_PERCENT = 5e-3


@pytest.mark.parametrize(
    ("porosity", "viscosity_pa_s", "length_m", "permeability_m2", "pressure_pa"),
    [(0.5, 0.2, 1.0, 2e-10, 9e4), (0.5, 0.25, 2.5, 3e-9, 9e4), (0.6, 0.1, 0.5, 2e-10, 1e5)],
)
def test_even_strip_fills_in_the_linear_time(
    mould: Any,
    porosity: float,
    viscosity_pa_s: float,
    length_m: float,
    permeability_m2: float,
    pressure_pa: float,
) -> None:
    """Wet-out takes phi mu L^2 / (2 K dP), and the far half is reached by the square law cell by cell.

    Rows of tests/check_values/linear.csv. A cell's own arrival is read off within a step of the run.
    """
    part = mould.strip(length_m, CELLS, mould.laminate(permeability_m2, porosity=porosity))
    filled = mould.fill(
        part,
        length_m / CELLS,
        *mould.open_at_start("0"),
        viscosity_pa_s=viscosity_pa_s,
        pressure_pa=pressure_pa,
    )
    end_s = closed_form.linear_fill_time_s(
        porosity=porosity,
        viscosity_pa_s=viscosity_pa_s,
        length_m=length_m,
        permeability_m2=permeability_m2,
        pressure_difference_pa=pressure_pa,
    )
    assert filled.run.wet_out_s == pytest.approx(end_s, rel=HALF_A_PERCENT)
    full_to = (np.arange(CELLS) + 1) / CELLS
    far = full_to > 0.5
    assert filled.run.arrival_s[:CELLS][far] == pytest.approx((end_s * full_to**2)[far], rel=HALF_A_PERCENT)


def test_wide_panel_fed_along_its_edge_fills_as_the_strip(mould: Any) -> None:
    """A line of 12 mm along the edge of a panel holds 6 % of its resin but, being first, costs no time."""
    line, far = mould.feed_line("0", (0.0, 0.0), (0.0, 0.4)), mould.vent("V", (1.0, 0.0), (1.0, 0.4))
    part = mould.panel(1.0, 0.4, mould.laminate(2e-10), (line,), (far,))
    filled = mould.fill(part, 1.0 / CELLS, *mould.open_at_start("0"), viscosity_pa_s=0.2)
    expected_s = closed_form.linear_fill_time_s(
        porosity=0.5, viscosity_pa_s=0.2, length_m=1.0, permeability_m2=2e-10, pressure_difference_pa=9e4
    )
    assert filled.run.wet_out_s == pytest.approx(expected_s, rel=HALF_A_PERCENT)
    cells_m2 = filled.network.area_m2[: filled.network.cell_count]
    assert cells_m2.sum() == pytest.approx(0.4)


@pytest.mark.parametrize(
    "permeabilities_m2", [(1e-9, 1e-10), (1e-10, 1e-9)], ids=["fast first", "slow first"]
)
def test_two_media_in_series_fill_in_the_series_time(
    mould: Any, permeabilities_m2: tuple[float, float]
) -> None:
    """1805.6 s with the open piece first, 4305.6 s with the tight one first (check_values/series.csv)."""
    first, second = (mould.laminate(k, thickness_m=3e-3) for k in permeabilities_m2)
    patch = LaminateArea(
        name="second half", laminate=second, border_m=((0.5, 0.0), (1.0, 0.0), (1.0, 1.0), (0.5, 1.0))
    )
    part = mould.strip(1.0, CELLS, first, patches=(patch,))
    filled = mould.fill(part, 1.0 / CELLS, *mould.open_at_start("0"), viscosity_pa_s=0.2)
    expected_s = closed_form.series_fill_times_s(
        lengths_m=(0.5, 0.5),
        thicknesses_m=(3e-3, 3e-3),
        porosities=(0.5, 0.5),
        permeabilities_m2=permeabilities_m2,
        viscosity_pa_s=0.2,
        pressure_difference_pa=9e4,
    )
    assert filled.run.wet_out_s == pytest.approx(expected_s[-1], rel=HALF_A_PERCENT)
    halfway_s = filled.run.arrival_s[CELLS // 2 - 1]
    assert halfway_s == pytest.approx(expected_s[0], rel=2 * HALF_A_PERCENT)


def test_hose_as_resistive_as_the_bay_makes_it_three_times_slower(mould: Any) -> None:
    """With a feed resistance of s / (h K) a bay takes 2083.3 s in place of 694.4 s (parallel_lines.csv).

    The hose is 50 mm long and as wide as Hagen and Poiseuille want it for that, 0.7 mm; it holds 0.03 % of
    the bay.
    """
    thickness_m, permeability_m2, length_m = 5e-3, 1e-9, 0.05
    bay_m3 = permeability_m2 * thickness_m / CELLS
    bore_m = (bay_m3 / tube_conductance_m3(bore_m=1.0, length_m=length_m)) ** 0.25
    part = mould.strip(1.0, CELLS, mould.laminate(), hose_bore_m=bore_m, hose_length_m=length_m)
    filled = mould.fill(part, 1.0 / CELLS, *mould.open_at_start("0"))
    (expected_s,) = closed_form.series_fill_times_s(
        lengths_m=(1.0,),
        thicknesses_m=(thickness_m,),
        porosities=(0.5,),
        permeabilities_m2=(permeability_m2,),
        viscosity_pa_s=0.25,
        pressure_difference_pa=9e4,
        feed_resistance_1_m2=1.0 / (thickness_m * permeability_m2),
    )
    assert expected_s == pytest.approx(2083.33333)
    assert filled.run.wet_out_s == pytest.approx(expected_s, rel=HALF_A_PERCENT)


def test_metered_flow_gives_way_to_the_pressure_limit(mould: Any) -> None:
    """At 2 ml/s over half a metre the pressure limit is met at 45 s, and the strip is full at 2800.3 s.

    Row 'flow cap then pressure cap' of tests/check_values/constant_flow.csv. Until the switch flow is the
    cap to round-off. Pressure is known once a cell: the switch is within half a cell's worth of flow, 6.25 s.
    """
    width_m, flow_m3_s = 1.0 / CELLS, 2e-6 / 0.5 / CELLS
    switch_s, full_s = closed_form.flow_then_pressure_fill_time_s(
        porosity=0.5,
        viscosity_pa_s=0.2,
        length_m=1.0,
        permeability_m2=2e-10,
        thickness_m=4e-3,
        width_m=width_m,
        flow_m3_s=flow_m3_s,
        pressure_difference_pa=9e4,
    )
    assert (switch_s, full_s) == pytest.approx((45.0, 2800.27778))
    part = mould.strip(1.0, CELLS, mould.laminate(2e-10, thickness_m=4e-3))
    filled = mould.fill(
        part, width_m, *mould.open_at_start("0"), viscosity_pa_s=0.2, most_flow_m3_s=flow_m3_s
    )
    history = filled.run.history
    metered = history.flow_m3_s[1:] > flow_m3_s * (1 - 1e-9)
    last = int(np.flatnonzero(metered)[-1])
    assert metered[: last + 1].all()
    assert history.flow_m3_s[1 : last + 2] == pytest.approx(flow_m3_s, rel=1e-9)
    assert history.manifold_pressure_pa[last + 2 :] == pytest.approx(9e4, rel=1e-9)
    half_a_cell_s = 0.5 * 0.5 * 4e-3 * width_m**2 / flow_m3_s
    assert history.time_s[last + 1] == pytest.approx(switch_s, abs=half_a_cell_s)
    assert filled.run.wet_out_s == pytest.approx(full_s, rel=HALF_A_PERCENT)
    assert filled.run.capped


@pytest.mark.parametrize(
    ("length_m", "rise_m"), [(2.0, 2.0), (2.0, -2.0), (4.0, 2.0)], ids=["up", "down", "up 30 degrees"]
)
def test_weight_of_the_resin_slows_it_uphill_and_speeds_it_downhill(
    mould: Any, length_m: float, rise_m: float
) -> None:
    """1328.3 s up, 960.4 s down, 5313.1 s up a slope of 30 degrees (tests/check_values/gravity.csv)."""
    part = mould.strip(length_m, CELLS, mould.laminate(2e-9), rise_m=rise_m)
    filled = mould.fill(part, length_m / CELLS, *mould.open_at_start("0"), viscosity_pa_s=0.2)
    expected_s = closed_form.inclined_fill_time_s(
        porosity=0.5,
        viscosity_pa_s=0.2,
        length_m=length_m,
        permeability_m2=2e-9,
        pressure_difference_pa=9e4,
        density_kg_m3=1100.0,
        slope_rad=math.asin(rise_m / length_m),
    )
    assert filled.run.wet_out_s == pytest.approx(expected_s, rel=HALF_A_PERCENT)


def test_resin_stays_below_the_height_that_the_pressure_can_lift(mould: Any) -> None:
    """On a wall of 12 m the front rests at dP / (rho g), 8.34 m, to within half a cell."""
    part = mould.strip(12.0, CELLS, mould.laminate(2e-9), rise_m=12.0)
    filled = mould.fill(part, 12.0 / CELLS, *mould.open_at_start("0"), viscosity_pa_s=0.2, longest_s=1e9)
    reach_m = highest_rise_m(density_kg_m3=1100.0, pressure_difference_pa=9e4)
    wet = np.isfinite(filled.run.arrival_s[:CELLS])
    front_m = wet.sum() * 12.0 / CELLS
    assert filled.run.stalled
    assert not filled.run.clean
    assert front_m == pytest.approx(reach_m, abs=0.5 * 12.0 / CELLS)
