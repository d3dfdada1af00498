"""How far resin in a flow mesh runs ahead of the tool side of the laminate beneath it."""

from __future__ import annotations

import math


def lead_length_m(
    *,
    mesh_thickness_m: float,
    mesh_permeability_m2: float,
    mesh_porosity: float,
    laminate_thickness_m: float,
    laminate_permeability_through_m2: float,
    laminate_porosity: float,
) -> float:
    """Lead, m, of a front that travels steadily: lead = (3/B) [sqrt(2 A + 4 B h2 / 3) - sqrt(2 A)].

    A = 2 phi1 K2z / (phi2 K1) and B = 2 K2z / (K1 h1); 1: mesh, 2: laminate, z: through the thickness. All > 0. No
    viscosity, pressure or time is in it. Flow along the laminate is left out; it shortens the lead, so this is an
    upper bound. Derived: with Y the wetted depth a distance behind the tip of the mesh's front that moves at u, the
    laminate soaks by phi2 u Y Y' = K2z p / mu and the mesh carries h1 K1 p' = mu u (phi1 h1 + phi2 Y); so
    W = Y^2 has W'' = A + B sqrt(W), W(0) = W'(0) = 0, and the lead is where W = h2^2.
    """
    carried = mesh_permeability_m2 * mesh_thickness_m
    a = 2 * mesh_porosity * laminate_permeability_through_m2 / (laminate_porosity * mesh_permeability_m2)
    b_1_m = 2 * laminate_permeability_through_m2 / carried
    return 3 / b_1_m * (math.sqrt(2 * a + 4 * b_1_m * laminate_thickness_m / 3) - math.sqrt(2 * a))
