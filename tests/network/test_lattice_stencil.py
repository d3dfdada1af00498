"""Positive links for any fibre angle: the weights give the tensor back at any angle and stretch."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.network.lattice_stencil import lattice_weights
from optimiser.physics.permeability import in_plane_tensor_m2

many = settings(max_examples=200, deadline=None, derandomize=True)


@given(
    along=st.floats(1e-14, 1e-6),
    stretch=st.floats(1.0, 100.0),
    angle_rad=st.floats(-math.pi, math.pi),
    dx=st.floats(0.01, 0.2),
    cell_shape=st.floats(0.8, 1.25),
)
@many
def test_weights_are_positive_and_add_up_to_the_tensor(
    along: float, stretch: float, angle_rad: float, dx: float, cell_shape: float
) -> None:
    """T = sum of w_e (B e)(B e)^T with a handful of offsets, each weight above zero.

    Source of the identity: Selling's formula, Fehrenbach & Mirebeau 2014 (from memory); here it is checked by
    adding up. Conduction along the axes is exact. Weights too small to matter may be given to the axes, which
    costs the cross term up to 1.2 % of the trace to ten to one and 3 % to a hundred to one, less than any
    permeability is known to.
    """
    tensor = in_plane_tensor_m2(along, along / stretch, angle_rad)
    dy = dx * cell_shape
    weights = lattice_weights(tensor, dx, dy)
    assert len(weights) <= 4
    assert all(weight > 0 for weight in weights.values())
    steps = {offset: np.array([offset[0] * dx, offset[1] * dy]) for offset in weights}
    total = sum(weight * np.outer(steps[offset], steps[offset]) for offset, weight in weights.items())
    assert np.diag(total) == pytest.approx(np.diag(tensor), rel=1e-8, abs=0)
    cross = 0.012 if stretch <= 10.0 else 0.03
    assert total[0, 1] == pytest.approx(tensor[0, 1], abs=cross * np.trace(tensor))
    assert total[1, 0] == pytest.approx(total[0, 1], rel=1e-12, abs=0)


def test_tensor_along_the_axes_needs_only_the_axis_neighbours() -> None:
    """Weights are T_xx / dx^2 and T_yy / dy^2: the usual five-point stencil."""
    weights = lattice_weights(np.diag([4e-12, 1e-12]), 0.1, 0.05)
    assert weights == pytest.approx({(1, 0): 4e-10, (0, 1): 4e-10}, rel=1e-12, abs=0)


@pytest.mark.parametrize(
    "tensor", [np.zeros((2, 2)), np.diag([1e-12, -1e-12]), np.array([[1.0, 2.0], [0.0, 1.0]])]
)
def test_what_is_no_permeability_is_refused(tensor: np.ndarray) -> None:
    """Not positive definite, or not symmetric: an error, not a stencil."""
    with pytest.raises(ValueError, match="symmetric and positive definite"):
        lattice_weights(tensor, 0.1, 0.1)
