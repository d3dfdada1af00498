"""A stack of layers adds thickness, pore depth and permeability as the flow sees them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from optimiser.part.laminate import Laminate, Layer, LayerKind


def layer(
    thickness_m: float, along_m2: float, across_m2: float, angle_deg: float, porosity: float = 0.5
) -> Layer:
    return Layer(
        name="ply",
        kind=LayerKind.REINFORCEMENT,
        thickness_m=thickness_m,
        porosity=porosity,
        permeability_along_m2=along_m2,
        permeability_across_m2=across_m2,
        angle_rad=math.radians(angle_deg),
        fibre_mass_kg_m2=0.6,
    )


def test_a_stack_adds_thickness_pores_and_fibre() -> None:
    """Pore depth is the sum of thickness times porosity: the resin per area of the laminate."""
    stack = Laminate(
        name="two", layers=(layer(1e-3, 1e-10, 1e-10, 0, 0.4), layer(3e-3, 1e-10, 1e-10, 0, 0.5))
    )
    assert stack.thickness_m == pytest.approx(4e-3)
    assert stack.pore_depth_m == pytest.approx(1.9e-3)
    assert stack.fibre_mass_kg_m2 == pytest.approx(1.2)


def test_in_plane_permeability_is_the_thickness_weighted_mean() -> None:
    """K h of a stack is the sum of K h of its layers (layers in parallel, textbook Darcy flow)."""
    stack = Laminate(name="two", layers=(layer(1e-3, 1e-10, 1e-11, 0), layer(1e-3, 1e-9, 1e-10, 0)))
    np.testing.assert_allclose(stack.transmissibility_m3, np.diag([1.1e-12, 1.1e-13]), rtol=1e-12)


def test_a_ply_turned_by_a_right_angle_exchanges_along_and_across() -> None:
    """Zero and ninety degrees together carry alike both ways."""
    stack = Laminate(name="cross", layers=(layer(1e-3, 1e-10, 1e-11, 0), layer(1e-3, 1e-10, 1e-11, 90)))
    np.testing.assert_allclose(stack.transmissibility_m3, 1.1e-13 * np.eye(2), rtol=1e-12, atol=1e-28)


def test_a_turned_ply_carries_along_its_own_direction() -> None:
    """Turning counter-clockwise from x: at 30 degrees the vector at 30 degrees is carried with K along."""
    stack = Laminate(name="turned", layers=(layer(1e-3, 1e-10, 1e-11, 30),))
    direction = np.array([math.cos(math.radians(30)), math.sin(math.radians(30))])
    np.testing.assert_allclose(stack.transmissibility_m3 @ direction, 1e-13 * direction, rtol=1e-12)
