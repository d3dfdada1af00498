"""Plies, cores and flow meshes of a document as the flow sees them."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from optimiser.case.build_core import core_layer, core_pore_depth_m, flow_mesh_layer
from optimiser.case.build_ply import ply_layer
from optimiser.case.laminate_document import (
    CoreDocument,
    FlowMeshDocument,
    GrooveDocument,
    PerforationDocument,
    PlyLayer,
    ReinforcementDocument,
)
from optimiser.part.laminate import Laminate

RESIN_KG_M3 = 1120.0


def core(*grooves: GrooveDocument, thickness_mm: float = 20.0, **more: Any) -> CoreDocument:
    given: dict[str, Any] = {"perforations": None, "surface_uptake_g_m2": 0.0, **more}
    return CoreDocument(thickness_mm=thickness_mm, grooves=grooves, **given)


def groove(
    angle_deg: float, *, width_mm: float = 2, depth_mm: float = 3, pitch_mm: float = 20
) -> GrooveDocument:
    return GrooveDocument(width_mm=width_mm, depth_mm=depth_mm, pitch_mm=pitch_mm, angle_deg=angle_deg)


def transmissibility_m3(document: CoreDocument) -> Any:
    layer = core_layer("core", document, resin_density_kg_m3=RESIN_KG_M3)
    return Laminate(name="core", layers=(layer,)).transmissibility_m3


def reinforcement(permeability: dict[str, Any], **more: Any) -> ReinforcementDocument:
    fabric = {"fibre_density_kg_m3": 2540, "areal_weight_g_m2": 5000, **more, "permeability": permeability}
    return ReinforcementDocument.model_validate(fabric)


def test_one_set_of_grooves_adds_duct_conductance_over_pitch() -> None:
    """2 x 3 mm at 20 mm: 5.87282127e-11 m3 along, 0 across (duct series, White, from memory)."""
    tensor = transmissibility_m3(core(groove(0)))
    assert tensor[0, 0] == pytest.approx(5.87282127e-11, rel=1e-8)
    assert abs(tensor[1, 1]) < 1e-12 * tensor[0, 0]


def test_width_and_depth_of_a_groove_may_be_exchanged() -> None:
    """A duct on its side carries the same."""
    flat = transmissibility_m3(core(groove(0, width_mm=3, depth_mm=2)))
    np.testing.assert_allclose(flat, transmissibility_m3(core(groove(0))), rtol=1e-12)


def test_grooves_at_an_angle_carry_along_that_angle() -> None:
    """The tensor times the direction of the grooves is that direction times the same conductance."""
    angle_rad = math.radians(30)
    direction = np.array([math.cos(angle_rad), math.sin(angle_rad)])
    along = transmissibility_m3(core(groove(30))) @ direction
    np.testing.assert_allclose(along, 5.87282127e-11 * direction, rtol=1e-7)


@pytest.mark.parametrize("turn_deg", [0.0, 17.0, 45.0])
def test_crossed_equal_grooves_carry_alike_in_every_direction(turn_deg: float) -> None:
    """Two equal sets at right angles are isotropic however they are turned."""
    tensor = transmissibility_m3(core(groove(turn_deg), groove(turn_deg + 90)))
    np.testing.assert_allclose(tensor, 5.87282127e-11 * np.eye(2), rtol=1e-7, atol=1e-22)


def test_three_sets_add_up_to_one_tensor() -> None:
    """Unequal sets at odd angles: the layer's main directions give the sum of the single tensors back."""
    sets = (groove(0), groove(50, pitch_mm=30), groove(-70, depth_mm=5))
    summed = sum(transmissibility_m3(core(single)) for single in sets)
    np.testing.assert_allclose(transmissibility_m3(core(*sets)), summed, rtol=1e-9)


def test_a_core_holds_resin_in_grooves_holes_and_faces() -> None:
    """0.4 l/m2 in grooves of 2 x 4 mm at 20 mm, pi/4 (2/20)^2 of 20 mm in holes, 300 g/m2 in the faces."""
    document = core(
        groove(0, depth_mm=4),
        perforations=PerforationDocument(diameter_mm=2, pitch_mm=20),
        surface_uptake_g_m2=300.0,
    )
    expected_m = 0.4e-3 + math.pi / 4 * 0.01 * 0.020 + 0.3 / RESIN_KG_M3
    assert core_pore_depth_m(document, resin_density_kg_m3=RESIN_KG_M3) == pytest.approx(expected_m)
    layer = core_layer("core", document, resin_density_kg_m3=RESIN_KG_M3)
    assert layer.thickness_m * layer.porosity == pytest.approx(expected_m)


def test_a_plain_core_neither_carries_nor_holds_resin() -> None:
    """Closed cells, no grooves."""
    layer = core_layer("core", core(), resin_density_kg_m3=RESIN_KG_M3)
    assert (layer.permeability_along_m2, layer.permeability_across_m2, layer.porosity) == (0, 0, 0)


def test_a_flow_mesh_keeps_its_thickness_and_porosity() -> None:
    """1.2 mm at 85 % holds 1.02 l/m2."""
    mesh = FlowMeshDocument(thickness_mm=1.2, porosity_percent=85, permeability_m2=2e-9)
    layer = flow_mesh_layer("mesh", mesh)
    assert layer.thickness_m * layer.porosity == pytest.approx(1.02e-3)
    assert layer.permeability_along_m2 == layer.permeability_across_m2 == 2e-9


def test_a_ply_is_as_thick_as_its_fibre_at_its_content() -> None:
    """5 kg/m2 of 2540 kg/m3 at 54 %: 3.64537766 mm by t = w / (rho Vf)."""
    fabric = reinforcement(
        {"measured": {"along_m2": 1e-10, "across_m2": 1e-10, "at_fibre_volume_percent": 54}}
    )
    layer = ply_layer(PlyLayer(ply="x", angle_deg=0), fabric, fibre_volume_percent=54)
    assert layer.thickness_m == pytest.approx(3.64537766e-3, rel=1e-8)
    assert layer.porosity == pytest.approx(0.46)
    assert layer.fibre_mass_kg_m2 == pytest.approx(5.0)


def test_a_ply_modelled_after_gebart_has_his_permeabilities() -> None:
    """R 8.5 um, Vf .50, square: 5.07017544e-12 along, 9.33682082e-13 across (Gebart 1992, from memory)."""
    fabric = reinforcement({"modelled": {"law": "gebart", "fibre_radius_um": 8.5, "packing": "square"}})
    layer = ply_layer(PlyLayer(ply="x", angle_deg=0), fabric, fibre_volume_percent=50)
    assert layer.permeability_along_m2 == pytest.approx(5.07017544e-12, rel=1e-8)
    assert layer.permeability_across_m2 == pytest.approx(9.33682082e-13, rel=1e-8)


def test_a_ply_modelled_after_kozeny_and_carman_has_a_constant_each_way() -> None:
    """R 8.5 um, Vf .50, k = 1: 9.03125e-12 (published form, from memory); twice the constant, half of it."""
    law = {"law": "kozeny_carman", "fibre_radius_um": 8.5, "constant_along": 1, "constant_across": 2}
    layer = ply_layer(
        PlyLayer(ply="x", angle_deg=0), reinforcement({"modelled": law}), fibre_volume_percent=50
    )
    assert layer.permeability_along_m2 == pytest.approx(9.03125e-12, rel=1e-9)
    assert layer.permeability_across_m2 == pytest.approx(9.03125e-12 / 2, rel=1e-9)
