"""Which laminates are two layers: flow mesh on plies of known permeability through the thickness, no core."""

from __future__ import annotations

import pytest

from optimiser.part.laminate import Laminate, Layer, LayerKind
from optimiser.part.mesh_on_laminate import mesh_on_laminate


def layer(kind: LayerKind, thickness_m: float = 1e-3, through_m2: float | None = None) -> Layer:
    return Layer(
        name=kind.value,
        kind=kind,
        thickness_m=thickness_m,
        porosity=0.5,
        permeability_along_m2=1e-10,
        permeability_across_m2=1e-10,
        angle_rad=0.0,
        permeability_through_m2=through_m2,
    )


MESH, CORE = layer(LayerKind.FLOW_MESH), layer(LayerKind.CORE)
PLY, THICK_PLY = layer(LayerKind.REINFORCEMENT, 1e-3, 1e-12), layer(LayerKind.REINFORCEMENT, 3e-3, 3e-12)


def test_mesh_on_plies_is_two_layers() -> None:
    """The mesh alone, and the plies one behind another: 4 mm over 1 mm / 1e-12 m2 + 3 mm / 3e-12 m2."""
    two = mesh_on_laminate(Laminate(name="solid", layers=(THICK_PLY, PLY, MESH)))
    assert two is not None
    assert two.mesh.layers == (MESH,)
    assert two.solid.layers == (THICK_PLY, PLY)
    assert two.permeability_through_m2 == pytest.approx(2e-12)


@pytest.mark.parametrize(
    "layers",
    [
        (PLY, PLY),
        (MESH,),
        (PLY, CORE, PLY, MESH),
        (PLY, layer(LayerKind.REINFORCEMENT), MESH),
    ],
    ids=["no mesh", "mesh alone", "a core", "not known through the thickness"],
)
def test_any_other_laminate_is_one(layers: tuple[Layer, ...]) -> None:
    """A core's holes join its skins; what is not known is not split."""
    assert mesh_on_laminate(Laminate(name="one", layers=layers)) is None
