"""Positive link weights for any in-plane permeability tensor on a rectangular lattice."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Offset = tuple[int, int]

_MOST_REDUCTIONS = 200
_LEAST_WEIGHT = 0.005
"""A slanting neighbour that would carry less than this share of the whole is left out and its part given to the axes:
permeability is not known so well, and each more neighbour makes the pressure system half as dear again."""


def lattice_weights(tensor: NDArray[np.float64], dx: float, dy: float) -> dict[Offset, float]:
    """Split a tensor into links to lattice neighbours, every weight positive.

    T = sum over offsets e of w_e (B e)(B e)^T with B = diag(dx, dy), so that w_e times the area of a cell is the
    conductance of its link to the neighbour at e. At most three offsets; for a tensor along the axes these are
    the two axis neighbours with the usual T_xx dy/dx and T_yy dx/dy. Positive weights keep the pressure system
    an M-matrix whatever the angle of the fibres. The cross term may be out by half a percent of the trace.

    tensor: (2, 2), symmetric positive definite, m3 (permeability times thickness).
    Raises ValueError if the tensor is not positive definite.
    Source: Selling's reduction of positive quadratic forms (Selling 1874) as a sparse non-negative stencil,
    Fehrenbach & Mirebeau, J. Math. Imaging Vis. 49:123-147, 2014, doi 10.1007/s10851-013-0446-3 (from memory).
    """
    scale = np.diag([1.0 / dx, 1.0 / dy])
    form = scale @ tensor @ scale
    if not (np.allclose(form, form.T) and np.all(np.linalg.eigvalsh(form) > 0)):
        raise ValueError("the permeability tensor must be symmetric and positive definite")
    superbase = _obtuse_superbase(form)
    weights: dict[Offset, float] = {}
    least = _LEAST_WEIGHT * float(np.trace(form))
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        weight = -float(superbase[i] @ form @ superbase[j])
        x, y = -int(superbase[k][1]), int(superbase[k][0])
        if weight > least or (weight > 0 and 0 in (x, y)):
            weights[_canonical((x, y))] = weights.get(_canonical((x, y)), 0.0) + weight
        elif weight > 0:
            weights[1, 0] = weights.get((1, 0), 0.0) + weight * x * x
            weights[0, 1] = weights.get((0, 1), 0.0) + weight * y * y
    return weights


def _obtuse_superbase(form: NDArray[np.float64]) -> list[NDArray[np.int64]]:
    base = [np.array([1, 0]), np.array([0, 1]), np.array([-1, -1])]
    for _ in range(_MOST_REDUCTIONS):
        for i, j in ((0, 1), (0, 2), (1, 2)):
            if base[i] @ form @ base[j] > 1e-14 * np.trace(form):
                base = [-base[i], base[j], base[i] - base[j]]
                break
        else:
            return base
    raise ValueError("the permeability tensor is too stretched for the lattice")


def _canonical(offset: Offset) -> Offset:
    """Of the two opposite offsets, the one that points to the right, or up."""
    x, y = offset
    return (x, y) if x > 0 or (x == 0 and y > 0) else (-x, -y)
