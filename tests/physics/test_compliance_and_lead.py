"""A bag that gives and a mesh that leads: balances, limits and other ways to the same numbers."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_bvp, solve_ivp

from optimiser.errors import OutOfRangeError
from optimiser.physics import bag_compliance, mesh_lead
from optimiser.physics.closed_form import linear_fill_time_s

quick = settings(max_examples=25, deadline=None, derandomize=True)

PRESSURES = {"atmosphere_pa": 1e5, "inlet_pa": 9e4, "vacuum_pa": 2e3}
FABRIC = {
    "reference_fibre_fraction": 0.55,
    "reference_pa": 1e5,
    "stiffening_exponent": 0.1,
    "least_fibre_fraction": 0.3,
}
RUN = {"length_m": 1.5, "viscosity_pa_s": 0.25, "permeability_constant_m2": 4e-10}


def fibre_fraction(pressure_pa: float) -> float:
    return 0.55 * ((1e5 - pressure_pa) / 1e5) ** 0.1


def permeability_m2(fraction: float) -> float:
    return 4e-10 * (1 - fraction) ** 3 / fraction**2


def rigid_time_s(fraction: float, pressures: dict[str, float]) -> float:
    return linear_fill_time_s(
        porosity=1 - fraction,
        viscosity_pa_s=0.25,
        length_m=1.5,
        permeability_m2=permeability_m2(fraction),
        pressure_difference_pa=pressures["inlet_pa"] - pressures["vacuum_pa"],
    )


def test_resin_let_in_is_resin_that_lies_in_the_part() -> None:
    """With thickness as 1 / Vf: the integral of the inflow, which falls as 1 / sqrt(t), is that of pores over length.

    Tolerance: the slope at the inlet is a one-sided difference of second order over 1e-4 of the length.
    """
    time_s = bag_compliance.compliant_fill_time_s(**RUN, **PRESSURES, **FABRIC)

    def pressure_pa(share: float) -> float:
        return bag_compliance.compliant_pressure_pa(at_share=share, **PRESSURES, **FABRIC)

    step = 1e-4
    slope_pa = (-3 * pressure_pa(0.0) + 4 * pressure_pa(step) - pressure_pa(2 * step)) / (2 * step)
    at_inlet = fibre_fraction(PRESSURES["inlet_pa"])
    let_in_m2 = -2 * time_s * permeability_m2(at_inlet) / at_inlet * slope_pa / (0.25 * 1.5)
    pores = quad(lambda share: 1 / fibre_fraction(pressure_pa(share)) - 1, 0.0, 1.0)[0]
    assert let_in_m2 == pytest.approx(pores * 1.5, rel=1e-6, abs=0)


def test_pressure_under_a_bag_that_gives_is_what_collocation_finds() -> None:
    """The same equation as a boundary value problem with the front's slope as unknown, by SciPy's collocation."""
    drive_pa, dry = 8.8e4, fibre_fraction(2e3)

    def change(share: Any, state: Any, unknown: Any) -> Any:
        fraction = 0.55 * (1 - (2e3 + state[0] * drive_pa) / 1e5) ** 0.1
        rise = state[1] * fraction**3 / (1 - fraction) ** 3
        swelling = 0.1 * fraction / (1e5 - 2e3 - state[0] * drive_pa) * drive_pa / fraction**2
        carried = (1 - dry) ** 3 / dry**3 * dry * unknown[0] / (1 - dry)
        return np.vstack([rise, -share * swelling * rise * carried])

    def ends(inlet: Any, front: Any, unknown: Any) -> Any:
        return np.array([inlet[0] - 1, front[0], front[1] + (1 - dry) ** 3 / dry**3 * unknown[0]])

    grid = np.linspace(0, 1, 41)
    guess = np.vstack([1 - grid, np.full_like(grid, -((1 - dry) ** 3) / dry**3)])
    solved = solve_bvp(change, ends, grid, guess, p=[1.0], tol=1e-8, max_nodes=20_000)
    assert solved.success
    for share in (0.1, 0.5, 0.9):
        found_pa = bag_compliance.compliant_pressure_pa(at_share=share, **PRESSURES, **FABRIC)
        assert found_pa == pytest.approx(2e3 + drive_pa * solved.sol(share)[0], rel=1e-7, abs=0)


@given(inlet_pa=st.floats(2e4, 9.9e4), vacuum_pa=st.floats(100.0, 1e4))
@quick
def test_a_bag_that_gives_lies_between_its_two_rigid_bounds(inlet_pa: float, vacuum_pa: float) -> None:
    """Slower than a bed as open as at the inlet all along, faster than one as dense as on the dry side."""
    pressures = {"atmosphere_pa": 1e5, "inlet_pa": inlet_pa, "vacuum_pa": vacuum_pa}
    time_s = bag_compliance.compliant_fill_time_s(**RUN, **pressures, **FABRIC)
    least_s = rigid_time_s(fibre_fraction(inlet_pa), pressures)
    assert least_s < time_s < rigid_time_s(fibre_fraction(vacuum_pa), pressures)


def test_a_loose_fabric_keeps_its_own_fraction() -> None:
    """Without compaction, or pushed apart, the power law gives way to the floor (common practice, no source)."""
    for compaction_pa in (0.0, -1e3):
        assert bag_compliance.compacted_fibre_fraction(compaction_pa=compaction_pa, **FABRIC) == 0.3


@given(exponent=st.floats(0.0, 0.5), vacuum_pa=st.floats(0.0, 2e4))
@quick
def test_an_inlet_at_the_atmosphere_rests_on_the_floor(exponent: float, vacuum_pa: float) -> None:
    """No compaction is left there: the law still answers, and pressure falls all the way from inlet to front."""
    fabric = {**FABRIC, "stiffening_exponent": exponent}
    pressures = {"atmosphere_pa": 1e5, "inlet_pa": 1e5, "vacuum_pa": vacuum_pa}
    assert bag_compliance.compliant_fill_time_s(**RUN, **pressures, **fabric) > 0
    profile_pa = [
        bag_compliance.compliant_pressure_pa(at_share=float(share), **pressures, **fabric)
        for share in np.linspace(0, 1, 6)
    ]
    assert (profile_pa[0], profile_pa[-1]) == pytest.approx((1e5, vacuum_pa), rel=1e-8, abs=1e-3)
    assert profile_pa == sorted(profile_pa, reverse=True)


@pytest.mark.parametrize(
    "changed",
    [
        {"inlet_pa": 2e3},
        {"inlet_pa": 1.1e5},
        {"vacuum_pa": -1.0},
        {"stiffening_exponent": -0.1},
        {"reference_pa": 0.0},
        {"least_fibre_fraction": 0.0},
        {"least_fibre_fraction": 0.6},
        {"reference_fibre_fraction": 1.0},
    ],
    ids=str,
)
def test_a_bag_that_cannot_be_is_refused(changed: dict[str, float]) -> None:
    """Pressures out of order and beds without fibre, or of nothing else, have no fill time."""
    with pytest.raises(OutOfRangeError):
        bag_compliance.compliant_fill_time_s(**{**RUN, **PRESSURES, **FABRIC, **changed})


MESH = {
    "mesh_permeability_m2": 3e-9,
    "mesh_thickness_m": 1.2e-3,
    "mesh_porosity": 0.85,
    "through_permeability_m2": 2e-12,
    "laminate_thickness_m": 4e-3,
    "laminate_porosity": 0.5,
}


def test_lead_is_where_the_wetted_depth_reaches_the_tool() -> None:
    """Pressure and wetted depth of the travelling front from the tip on, with a viscosity and a speed put in."""
    viscosity_pa_s, speed_m_s, start_m = 0.3, 2e-4, 1e-6
    first = np.sqrt(2 * 0.85 * 2e-12 / (0.5 * 3e-9) / 2)

    def change(_behind_m: float, state: Any) -> list[float]:
        depth_m, pressure_pa = state
        down = 2e-12 * pressure_pa / (viscosity_pa_s * 0.5 * speed_m_s * depth_m)
        along = viscosity_pa_s * speed_m_s * (0.85 * 1.2e-3 + 0.5 * depth_m) / (1.2e-3 * 3e-9)
        return [down, along]

    run = solve_ivp(
        change,
        (start_m, 1.0),
        [first * start_m, viscosity_pa_s * speed_m_s * 0.85 / 3e-9 * start_m],
        method="LSODA",
        events=lambda _behind_m, state: state[0] - 4e-3,
        rtol=1e-9,
        atol=1e-14,
    )
    # the start leaves out terms of the order of start over lead, 1e-5
    assert mesh_lead.mesh_lead_m(**MESH) == pytest.approx(run.t_events[0][0], rel=2e-5, abs=0)


@given(
    mesh_permeability_m2=st.floats(1e-10, 1e-7),
    mesh_thickness_m=st.floats(1e-4, 1e-2),
    mesh_porosity=st.floats(0.3, 0.95),
    through_permeability_m2=st.floats(1e-14, 1e-10),
    laminate_thickness_m=st.floats(1e-4, 0.05),
    laminate_porosity=st.floats(0.2, 0.8),
)
@quick
def test_both_limits_bound_the_lead(**stack: float) -> None:
    """Neither a mesh that holds little nor one that holds most leads by less than the full formula says."""
    lead_m = mesh_lead.mesh_lead_m(**stack)
    thin = {name: value for name, value in stack.items() if "porosity" not in name}
    thick = {name: value for name, value in stack.items() if name != "mesh_thickness_m"}
    assert lead_m <= mesh_lead.lead_of_thin_mesh_m(**thin)
    assert lead_m <= mesh_lead.lead_of_thick_mesh_m(**thick) * (1 + 1e-12)


@pytest.mark.parametrize("name", list(MESH))
def test_a_stack_without_one_of_its_parts_has_no_lead(name: str) -> None:
    """Each argument must lie above 0."""
    with pytest.raises(OutOfRangeError, match=name):
        mesh_lead.mesh_lead_m(**{**MESH, name: 0.0})
