"""Permeability: the tensor of a layer, the averages of a stack, and two models of aligned fibres."""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from optimiser.errors import OutOfRangeError
from optimiser.in_range import check_positive

FloatArray = NDArray[np.float64]


class Packing(StrEnum):
    """How parallel fibres stand in the cross-section of a bundle."""

    SQUARE = "square"
    HEXAGONAL = "hexagonal"


_GEBART_ALONG_C = {Packing.SQUARE: 57.0, Packing.HEXAGONAL: 53.0}
_GEBART_ACROSS_C1 = {
    Packing.SQUARE: 16 / (9 * math.pi * math.sqrt(2)),
    Packing.HEXAGONAL: 16 / (9 * math.pi * math.sqrt(6)),
}
_DENSEST_FIBRE_FRACTION = {
    Packing.SQUARE: math.pi / 4,
    Packing.HEXAGONAL: math.pi / (2 * math.sqrt(3)),
}


def in_plane_tensor_m2(along_m2: float, across_m2: float, angle_rad: float) -> FloatArray:
    """Permeability tensor, (2, 2), m2, in the axes of the sheet: K = R diag(K_along, K_across) R^T.

    R is the rotation by the angle, rad, from the sheet's x axis to 'along', counter-clockwise; both K in m2. Range:
    values of 0 or more, else OutOfRangeError; any angle. Source: rotation of a symmetric tensor.
    """
    if not (along_m2 >= 0 and across_m2 >= 0):
        raise OutOfRangeError(f"permeability must not be negative, found {along_m2} and {across_m2} m2")
    cosine, sine = math.cos(angle_rad), math.sin(angle_rad)
    rotation = np.array([[cosine, -sine], [sine, cosine]])
    tensor: FloatArray = rotation @ np.diag([along_m2, across_m2]) @ rotation.T
    return tensor


def even_transmissibility_m3(tensors_m3: FloatArray) -> FloatArray:
    """(...,): K h, m3, of the even sheet that a tensor, (..., 2, 2), m3, stands for round a point: T = sqrt(T1 T2).

    T1 and T2 are its values along and across; written as the root of its determinant. Range: positive definite, not
    checked. Source: derived: the stretch of the axes that makes flow even leaves sqrt(T1 T2); the case is that of
    Adams, Russel and Rebenfeld, Int. J. Multiphase Flow 14(2):203-215, 1988.
    """
    return np.asarray(np.sqrt(np.linalg.det(tensors_m3)))


def square_to_line_m3(tensors_m3: FloatArray, squares: FloatArray) -> FloatArray:
    """(n,): K h, m3, for flow square to a long line, from tensors, (n, 2, 2), m3: T = e T e.

    squares: (n, 2), directions e of length 1 square to the line. Range: positive definite tensors and unit directions,
    not checked; the line at one pressure all along, so that pressure falls square to it, wherever the resin then turns.
    Source: derived from Darcy's law, h u = -T grad p / mu, of which the part along e leaves the line.
    """
    return np.asarray(np.einsum("ni,nij,nj->n", squares, tensors_m3, squares))


def stack_transmissibility_m3(thicknesses_m: Sequence[float], tensors_m2: Sequence[FloatArray]) -> FloatArray:
    """(2, 2): K h, m3, of layers that exchange resin freely: T = sum(h K).

    Thicknesses, m, and in-plane tensors, (2, 2), m2, of as many layers. Range: one layer or more, not checked; layers
    that fill together. Source: Darcy's law, the layers side by side under one fall of pressure.
    """
    return np.asarray(np.einsum("n,nij->ij", thicknesses_m, np.array(tensors_m2)))


def stack_in_plane_m2(thicknesses_m: Sequence[float], permeabilities_m2: Sequence[float]) -> float:
    """In-plane permeability, m2, of layers that exchange resin freely: K = sum(h K) / sum(h).

    h in m, K in m2, sequences of one length. Range: runs much longer than the stack is thick; thicknesses above 0.
    Source: conductances side by side add; Bear, Dynamics of Fluids in Porous Media, 1972 (from memory).
    """
    return float(np.average(permeabilities_m2, weights=thicknesses_m))


def stack_through_thickness_m2(thicknesses_m: Sequence[float], permeabilities_m2: Sequence[float]) -> float:
    """Through-thickness permeability, m2, of layers one on another: Kz = sum(h) / sum(h / K).

    h in m, K in m2, sequences of one length. Range: K of each layer above 0, else OutOfRangeError. Source: resistances
    in a row add; Bear, Dynamics of Fluids in Porous Media, 1972 (from memory).
    """
    thicknesses, permeabilities = np.asarray(thicknesses_m), np.asarray(permeabilities_m2)
    if not np.all(permeabilities > 0):
        raise OutOfRangeError("a layer without permeability lets nothing through the stack")
    return float(thicknesses.sum() / (thicknesses / permeabilities).sum())


def stretched_depth_m(*, thickness_m: float, along_m2: float, through_m2: float) -> float:
    """The thickness, m, as flow along the stack sees it: H = h sqrt(K / Kz).

    z' = z sqrt(K / Kz) turns div(K grad p) = 0 into Laplace's equation, so that from a line on one face the front
    stands upright after about so long a run. h in m; K and Kz in m2. Range: all arguments above 0, else
    OutOfRangeError; one material, K and Kz its permeabilities along and through it. Source: derived.
    """
    check_positive(thickness_m=thickness_m, along_m2=along_m2, through_m2=through_m2)
    return thickness_m * math.sqrt(along_m2 / through_m2)


def kozeny_carman_m2(*, fibre_radius_m: float, fibre_volume_fraction: float, constant: float) -> float:
    """Permeability, m2, of a bed of fibres: K = R^2 / (4 k) (1 - Vf)^3 / Vf^2.

    R in m; the constant k is empirical and must be fitted for each reinforcement and direction. Range: Vf between 0 and
    1, else OutOfRangeError; across the fibres not near their densest packing, where K ends and this law does not.
    Source: Kozeny 1927, Carman 1937, form for fibres from memory.
    """
    _check_fraction(fibre_volume_fraction, most=1.0)
    return fibre_radius_m**2 / (4 * constant) * _void_ratio_term(fibre_volume_fraction)


def gebart_along_m2(*, fibre_radius_m: float, fibre_volume_fraction: float, packing: Packing) -> float:
    """Permeability along parallel fibres, m2: K = (8 R^2 / c) (1 - Vf)^3 / Vf^2.

    R in m; c = 57 (square), 53 (hexagonal). For the inside of a bundle: fabrics with gaps between bundles pass 10 to
    1000 times more. Range: Vf between 0 and the densest packing, else OutOfRangeError. Source: Gebart, J. Compos.
    Mater. 26(8):1100-1133, 1992 (constants from memory, unopened).
    """
    _check_fraction(fibre_volume_fraction, most=_DENSEST_FIBRE_FRACTION[packing])
    return 8 * fibre_radius_m**2 / _GEBART_ALONG_C[packing] * _void_ratio_term(fibre_volume_fraction)


def gebart_across_m2(*, fibre_radius_m: float, fibre_volume_fraction: float, packing: Packing) -> float:
    """Permeability across parallel fibres, m2: K = C1 (sqrt(Vf_max / Vf) - 1)^(5/2) R^2.

    R in m; C1 = 16 / (9 pi sqrt 2), Vf_max = pi / 4 (square); 16 / (9 pi sqrt 6), pi / (2 sqrt 3) (hexagonal). For the
    inside of a bundle. Range: Vf between 0 and Vf_max, else OutOfRangeError; a law of narrow gaps, 10 % off at Vf 0.5.
    Source: Gebart, J. Compos. Mater. 26(8):1100-1133, 1992 (constants from memory, unopened).
    """
    densest = _DENSEST_FIBRE_FRACTION[packing]
    _check_fraction(fibre_volume_fraction, most=densest)
    gap = math.sqrt(densest / fibre_volume_fraction) - 1
    return _GEBART_ACROSS_C1[packing] * math.pow(gap, 2.5) * fibre_radius_m**2


def _void_ratio_term(fibre_volume_fraction: float) -> float:
    return (1 - fibre_volume_fraction) ** 3 / fibre_volume_fraction**2


def _check_fraction(fibre_volume_fraction: float, *, most: float) -> None:
    if not 0 < fibre_volume_fraction < most:
        raise OutOfRangeError(f"fibre volume fraction must lie between 0 and {most:.3f}, found {fibre_volume_fraction}")
