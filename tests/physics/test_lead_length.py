"""The lead of resin in a flow mesh: derived numbers, the equations integrated anew, and both limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from optimiser.physics.lead_length import lead_length_m

STACKS = [
    (3e-9, 1.2e-3, 0.85, 2e-12, 4e-3, 0.50, 0.0943393151),
    (3e-9, 1.2e-3, 0.85, 2e-12, 10e-3, 0.50, 0.193772488),
    (5e-9, 1.0e-3, 0.90, 1e-12, 6e-3, 0.48, 0.223700344),
]
"""Mesh K, h, phi; laminate K through, h, phi; lead. Derived from the travelling front, checked by a plane solve."""


def lead_of(stack: tuple[float, ...]) -> float:
    mesh_k, mesh_h, mesh_phi, through, h, phi, *_ = stack
    return lead_length_m(
        mesh_thickness_m=mesh_h,
        mesh_permeability_m2=mesh_k,
        mesh_porosity=mesh_phi,
        laminate_thickness_m=h,
        laminate_permeability_through_m2=through,
        laminate_porosity=phi,
    )


@pytest.mark.parametrize("stack", STACKS)
def test_lead_is_the_derived_one(stack: tuple[float, ...]) -> None:
    """To the nine digits that were worked out apart from this code."""
    assert lead_of(stack) == pytest.approx(stack[-1], rel=1e-8)


@pytest.mark.parametrize("stack", STACKS)
def test_lead_solves_the_travelling_front(stack: tuple[float, ...]) -> None:
    """W = Y^2 with W'' = A + B sqrt(W), integrated by scipy from rest to the laminate's depth.

    The pressure equation of the mesh and the soaking of the laminate, not the formula they lead to.
    """
    mesh_k, mesh_h, mesh_phi, through, h, phi, lead_m = stack

    def front(_: float, state: np.ndarray) -> list[float]:
        depth_m = math.sqrt(max(state[0], 0.0))
        return [state[1], 2 * through / (phi * mesh_k * mesh_h) * (mesh_phi * mesh_h + phi * depth_m)]

    def through_wet(_: float, state: np.ndarray) -> float:
        return float(state[0] - h**2)

    through_wet.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(front, (0.0, 2 * lead_m), [0.0, 0.0], events=through_wet, rtol=1e-9, atol=1e-14)
    assert solved.t_events[0][0] == pytest.approx(lead_of(stack), rel=1e-5)


@pytest.mark.parametrize("stack", STACKS)
def test_lead_stays_below_both_its_limits(stack: tuple[float, ...]) -> None:
    """sqrt(6 h1 h2 K1 / K2z) for a mesh that holds nothing, h2 sqrt(phi2 K1 / (phi1 K2z)) for one that holds much."""
    mesh_k, mesh_h, mesh_phi, through, h, phi, lead_m = stack
    assert lead_m < math.sqrt(6 * mesh_h * h * mesh_k / through)
    assert lead_m < h * math.sqrt(phi * mesh_k / (mesh_phi * through))
    empty = lead_of((mesh_k, mesh_h, 1e-9, through, h, phi))
    assert empty == pytest.approx(math.sqrt(6 * mesh_h * h * mesh_k / through), rel=1e-3)
