"""By how much resin in a flow mesh leads resin in the laminate below it.

A front travels steadily at speed u; xi runs back from the tip in the mesh, Y(xi) is the depth wetted below it.
Through the thickness phi2 u Y Y' = K2z p / mu, along the mesh h1 K1 p' = mu u (phi1 h1 + phi2 Y). Without p and with
W = Y^2 this is W'' = A + B sqrt(W), A = 2 phi1 K2z / (phi2 K1), B = 2 K2z / (K1 h1), W(0) = W'(0) = 0. Viscosity,
pressure, time and speed drop out. Flow along the laminate and across the mesh is left out, so a real laminate trails by
less: an upper bound.
"""

from __future__ import annotations

import math

from optimiser.in_range import check_positive


def mesh_lead_m(
    *,
    mesh_permeability_m2: float,
    mesh_thickness_m: float,
    mesh_porosity: float,
    through_permeability_m2: float,
    laminate_thickness_m: float,
    laminate_porosity: float,
) -> float:
    """Length, m, from the tip in the mesh back to where the laminate is wet to the tool.

    l = (3 / B) [sqrt(2 A + 4 B h2 / 3) - sqrt(2 A)], A = 2 phi1 K2z / (phi2 K1), B = 2 K2z / (K1 h1), 1/m; written as 4
    h2 / [sqrt(2 A + 4 B h2 / 3) + sqrt(2 A)], which loses no digits. Mesh h1, m, K1, m2, phi1; laminate h2, K2z through
    it, phi2. Range: all arguments above 0, else OutOfRangeError; once the part is several leads long, mesh on all of
    it; an upper bound. Source: derived, steady travelling front. That mesh leads by a constant length is in Hsiao et
    al., J. Manuf. Sci. Eng. 122(3):463-475, 2000 (from memory; their printed formula was not opened and is not this
    one).
    """
    check_positive(
        mesh_permeability_m2=mesh_permeability_m2,
        mesh_thickness_m=mesh_thickness_m,
        mesh_porosity=mesh_porosity,
        through_permeability_m2=through_permeability_m2,
        laminate_thickness_m=laminate_thickness_m,
        laminate_porosity=laminate_porosity,
    )
    own_1 = 2 * mesh_porosity * through_permeability_m2 / (laminate_porosity * mesh_permeability_m2)
    drawn_1_m = 2 * through_permeability_m2 / (mesh_permeability_m2 * mesh_thickness_m)
    at_the_tool = math.sqrt(2 * own_1 + 4 * drawn_1_m * laminate_thickness_m / 3)
    return 4 * laminate_thickness_m / (at_the_tool + math.sqrt(2 * own_1))


def lead_of_thin_mesh_m(
    *,
    mesh_permeability_m2: float,
    mesh_thickness_m: float,
    through_permeability_m2: float,
    laminate_thickness_m: float,
) -> float:
    """Limit of `mesh_lead_m`, m, for a mesh that holds little resin itself: l = sqrt(6 h1 h2 K1 / K2z).

    Thicknesses in m, permeabilities in m2. Range: all arguments above 0, else OutOfRangeError; phi1 h1 far below phi2
    h2; never below the full formula. Source: derived, steady travelling front.
    """
    check_positive(
        mesh_permeability_m2=mesh_permeability_m2,
        mesh_thickness_m=mesh_thickness_m,
        through_permeability_m2=through_permeability_m2,
        laminate_thickness_m=laminate_thickness_m,
    )
    return math.sqrt(6 * mesh_thickness_m * laminate_thickness_m * mesh_permeability_m2 / through_permeability_m2)


def lead_of_thick_mesh_m(
    *,
    mesh_permeability_m2: float,
    mesh_porosity: float,
    through_permeability_m2: float,
    laminate_thickness_m: float,
    laminate_porosity: float,
) -> float:
    """Limit of `mesh_lead_m`, m, for a mesh that holds most of the resin: l = h2 sqrt(phi2 K1 / (phi1 K2z)).

    h2 in m, permeabilities in m2. Range: all arguments above 0, else OutOfRangeError; phi1 h1 far above phi2 h2; never
    below the full formula. Source: derived, steady travelling front.
    """
    check_positive(
        mesh_permeability_m2=mesh_permeability_m2,
        mesh_porosity=mesh_porosity,
        through_permeability_m2=through_permeability_m2,
        laminate_thickness_m=laminate_thickness_m,
        laminate_porosity=laminate_porosity,
    )
    return laminate_thickness_m * math.sqrt(
        laminate_porosity * mesh_permeability_m2 / (mesh_porosity * through_permeability_m2)
    )
