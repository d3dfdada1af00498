"""Flow laws against general-purpose libraries and against quadrature of the equations they integrate."""

from __future__ import annotations

import math
from collections.abc import Callable

import fluids
import numpy as np
import pytest
import skfem
from scipy.constants import g
from scipy.integrate import quad, solve_bvp, solve_ivp
from skfem.models.poisson import laplace, unit_load

from optimiser.physics import closed_form, pipe_flow, vacuum
from optimiser.physics.darcy import front_speed_m_s

ROUNDING = 1e-12
"""A few hundred roundings of a double."""
QUADRATURE = 1e-7
"""SciPy aims at 1.5e-8 in a quadrature; one digit is left over."""

LAMINATE = {
    "porosity": 0.5,
    "viscosity_pa_s": 0.2,
    "permeability_m2": 2e-9,
    "pressure_difference_pa": 9e4,
}


def time_of_front_s(
    pressure_fall_at_front_pa_m: Callable[[float], float], start_m: float, end_m: float
) -> float:
    """Integral of dx over the front speed, given the pressure fall there for each place."""

    def slowness_s_m(front_m: float) -> float:
        return 1 / front_speed_m_s(
            permeability_m2=LAMINATE["permeability_m2"],
            viscosity_pa_s=LAMINATE["viscosity_pa_s"],
            porosity=LAMINATE["porosity"],
            pressure_fall_pa_m=pressure_fall_at_front_pa_m(front_m),
        )

    return float(quad(slowness_s_m, start_m, end_m)[0])


@pytest.mark.parametrize(
    ("bore_m", "length_m", "viscosity_pa_s", "pressure_pa"),
    [(0.010, 3.0, 0.20, 1e4), (0.016, 5.0, 0.30, 5e3), (0.012, 10.0, 0.25, 2e4)],
)
def test_tube_asks_for_the_pressure_that_a_pipe_flow_library_gives(
    bore_m: float, length_m: float, viscosity_pa_s: float, pressure_pa: float
) -> None:
    """The flow through the tube costs, by the library's friction factor, the pressure put in."""
    density_kg_m3 = 1100.0
    conductance_m3 = pipe_flow.tube_conductance_m3(bore_m=bore_m, length_m=length_m)
    flow_kg_s = conductance_m3 / viscosity_pa_s * pressure_pa * density_kg_m3
    lost_pa = fluids.one_phase_dP(m=flow_kg_s, rho=density_kg_m3, mu=viscosity_pa_s, D=bore_m, L=length_m)
    assert lost_pa == pytest.approx(pressure_pa, rel=ROUNDING, abs=0)


@pytest.mark.parametrize("long_over_short", [1.0, 1.5, 4.0])
def test_duct_carries_what_a_finite_element_solution_carries(long_over_short: float) -> None:
    """The flow equals the integral of the velocity that quadratic elements give on 48 by 48 cells.

    Tolerance: at 24 by 24 cells the worst of the three is 1.5e-5 off and falls thirteenfold when the cells
    are halved.
    """
    grid = skfem.MeshQuad.init_tensor(np.linspace(0, long_over_short, 49), np.linspace(0, 1, 49))
    basis = skfem.Basis(grid, skfem.ElementQuad2())
    load = unit_load.assemble(basis)
    velocity = skfem.solve(*skfem.condense(laplace.assemble(basis), load, D=basis.get_dofs()))
    found_m4 = pipe_flow.rectangular_duct_conductance_m4(long_side_m=long_over_short, short_side_m=1.0)
    assert found_m4 == pytest.approx(load @ velocity, rel=2e-6, abs=0)


def test_flat_duct_tends_to_the_open_gap() -> None:
    """A duct a thousand times wider than high carries the wide slit's flow less 0.63 heights of width.

    Source: the series itself, whose sum tends to 31/32 zeta(5); 192 / pi^5 of it is 0.6302.
    """
    found_m4 = pipe_flow.rectangular_duct_conductance_m4(long_side_m=1.0, short_side_m=1e-3)
    slit_m4 = pipe_flow.gap_permeability_m2(gap_m=1e-3) * 1e-3 * (1.0 - 0.6302e-3)
    assert found_m4 == pytest.approx(slit_m4, rel=1e-7, abs=0)


def test_line_that_loses_resin_obeys_its_own_equation() -> None:
    """End and mean pressure are those of p'' = m^2 p, p(0) = 1, p'(L) = 0, solved numerically."""
    decay_per_m, length_m = 0.3, 8.0
    solved = solve_bvp(
        lambda _x, p: np.vstack([p[1], decay_per_m**2 * p[0]]),
        lambda inlet, end: np.array([inlet[0] - 1, end[1]]),
        np.linspace(0, length_m, 50),
        np.ones((2, 50)),
        tol=1e-9,
    )
    mean = quad(lambda x: solved.sol(x)[0], 0, length_m)[0] / length_m
    found_end = pipe_flow.line_end_pressure_ratio(decay_per_m=decay_per_m, length_m=length_m)
    found_mean = pipe_flow.line_mean_pressure_ratio(decay_per_m=decay_per_m, length_m=length_m)
    assert (found_end, found_mean) == pytest.approx((solved.sol(length_m)[0], mean), rel=QUADRATURE, abs=0)


def test_round_front_takes_the_time_of_its_integrated_speed() -> None:
    """Radial fill time equals the quadrature of dr over the front's speed."""
    inlet_m, end_m = 0.01, 0.6
    expected_s = time_of_front_s(
        lambda r: LAMINATE["pressure_difference_pa"] / (r * math.log(r / inlet_m)),
        inlet_m * (1 + 1e-12),
        end_m,
    )
    found_s = closed_form.radial_fill_time_s(inlet_radius_m=inlet_m, front_radius_m=end_m, **LAMINATE)
    assert found_s == pytest.approx(expected_s, rel=QUADRATURE, abs=0)


@pytest.mark.parametrize("slope_rad", [-1.2, -0.3, -1e-5, 0.0, 1e-5, 0.3, 1.2])
def test_front_on_a_slope_takes_the_time_of_its_integrated_speed(slope_rad: float) -> None:
    """Inclined fill time equals the quadrature of dx over the speed under p + rho g z, up and down."""
    length_m, density_kg_m3 = 4.0, 1100.0
    head_pa_m = density_kg_m3 * g * math.sin(slope_rad)
    expected_s = time_of_front_s(
        lambda x: LAMINATE["pressure_difference_pa"] / x - head_pa_m, 1e-12, length_m
    )
    found_s = closed_form.inclined_fill_time_s(
        length_m=length_m, density_kg_m3=density_kg_m3, slope_rad=slope_rad, **LAMINATE
    )
    assert found_s == pytest.approx(expected_s, rel=QUADRATURE, abs=0)


def test_pieces_in_series_take_the_time_of_the_integrated_speed() -> None:
    """Two pieces of unequal thickness behind a feed resistance: quadrature of the resistance met so far."""
    lengths, thicknesses, porosities, permeabilities = (0.7, 0.4), (0.003, 0.005), (0.5, 0.6), (1e-9, 2e-10)
    feed_1_m2, viscosity_pa_s, pressure_pa = 4e10, 0.3, 8e4

    def resistance_1_m2(front_m: float) -> float:
        first_m, second_m = min(front_m, lengths[0]), max(front_m - lengths[0], 0.0)
        first = first_m / (thicknesses[0] * permeabilities[0])
        return feed_1_m2 + first + second_m / (thicknesses[1] * permeabilities[1])

    def pore_area_m2_m(front_m: float) -> float:
        piece = 0 if front_m < lengths[0] else 1
        return porosities[piece] * thicknesses[piece]

    expected_s = quad(
        lambda x: pore_area_m2_m(x) * resistance_1_m2(x) * viscosity_pa_s / pressure_pa,
        0,
        sum(lengths),
        points=[lengths[0]],
    )[0]
    found_s = closed_form.series_fill_times_s(
        lengths_m=lengths,
        thicknesses_m=thicknesses,
        porosities=porosities,
        permeabilities_m2=permeabilities,
        viscosity_pa_s=viscosity_pa_s,
        pressure_difference_pa=pressure_pa,
        feed_resistance_1_m2=feed_1_m2,
    )
    assert found_s[-1] == pytest.approx(expected_s, rel=QUADRATURE, abs=0)


def test_thickening_resin_takes_the_time_of_the_integrated_fluidity() -> None:
    """The run ends when the integral of exp(-k t) has reached the time it takes at the first viscosity."""
    tau_s, growth_1_s = 2400.0, 1 / 3600
    ended = solve_ivp(
        lambda t, _spent: [math.exp(-growth_1_s * t)],
        (0, 36_000),
        [0.0],
        events=lambda _t, spent: spent[0] - tau_s,
        rtol=1e-10,
        atol=1e-8,
    )
    found_s = closed_form.time_while_thickening_s(constant_viscosity_time_s=tau_s, growth_1_s=growth_1_s)
    assert found_s == pytest.approx(ended.t_events[0][0], rel=QUADRATURE, abs=0)


@pytest.mark.parametrize(
    ("bore_m", "length_m", "flow_m3_s"), [(0.01, 5.0, 8e-5), (0.006, 8.0, 8e-5), (0.012, 3.0, 2e-5)]
)
def test_air_driven_out_through_a_vent_line_falls_as_isothermal_gas_in_a_pipe(
    bore_m: float, length_m: float, flow_m3_s: float
) -> None:
    """`fluids.isothermal_gas`, which has the gas's inertia too: at these speeds less than a thousandth of the fall."""
    held_pa, temperature_k = 2500.0, 293.15
    fall_pa = vacuum.air_pressure_fall_pa(
        bore_m=bore_m, length_m=length_m, flow_m3_s=flow_m3_s, pressure_pa=held_pa
    )
    density = 0.0289652 / (8.314462618 * temperature_k)
    mass_kg_s = density * (held_pa + fall_pa) * flow_m3_s
    reynolds = 4 * mass_kg_s / (math.pi * 1.82e-5 * bore_m)
    found_kg_s = fluids.isothermal_gas(
        rho=density * (held_pa + fall_pa), fd=64 / reynolds, P1=held_pa + fall_pa, P2=held_pa, L=length_m, D=bore_m
    )
    assert found_kg_s == pytest.approx(mass_kg_s, rel=1e-3)
    assert reynolds < 2000
