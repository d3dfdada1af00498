"""What is laid in the mould: reinforcements, cores, flow meshes and the laminates made of them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Discriminator, Field, Tag

from optimiser.case.document_shape import (
    LIKE_2_0,
    Angle,
    DocumentShape,
    FibreVolumePercent,
    InPlanePermeability,
    Name,
    Number,
    ThroughPermeability,
    Whole,
    came_later,
)
from optimiser.case.one_of import one_key_of

FibreRadius = Annotated[Number, Field(ge=1, le=60)]
KozenyConstant = Annotated[Number, Field(ge=0.001, le=1000)]


class MeasuredValues(DocumentShape):
    along_m2: InPlanePermeability
    """In the fabric's own main direction."""
    across_m2: InPlanePermeability
    """In the plane, at right angles to it."""
    through_m2: ThroughPermeability | None = Field(default=None, exclude_if=lambda through_m2: through_m2 is None)
    """Through the thickness. It matters under flow mesh and in thick laminate, where the tool side trails; left out,
    it is assumed."""
    at_fibre_volume_percent: FibreVolumePercent
    """Fibre volume content of the test. For another content in the laminate the value is scaled."""


class MeasuredPermeability(DocumentShape):
    measured: MeasuredValues


class GebartLaw(DocumentShape):
    """Inside a bundle of parallel fibres; a fabric with gaps between its bundles is far more permeable."""

    law: Literal["gebart"]
    fibre_radius_um: FibreRadius
    packing: Literal["square", "hexagonal"]


class KozenyCarmanLaw(DocumentShape):
    """K = R^2 / (4 k) (1 - Vf)^3 / Vf^2 with a constant fitted for each direction."""

    law: Literal["kozeny_carman"]
    fibre_radius_um: FibreRadius
    constant_along: KozenyConstant
    constant_across: KozenyConstant


class ModelledPermeability(DocumentShape):
    modelled: Annotated[GebartLaw | KozenyCarmanLaw, Field(discriminator="law")]


class ReinforcementDocument(DocumentShape):
    fibre_density_kg_m3: Annotated[Number, Field(ge=900, le=4000)]
    """Of the fibre itself, not of the fabric."""
    areal_weight_g_m2: Annotated[Number, Field(ge=20, le=6000)]
    """Of one ply."""
    permeability: Annotated[
        Annotated[MeasuredPermeability, Tag("⟨measured⟩")]
        | Annotated[ModelledPermeability, Tag("⟨modelled⟩")],
        Discriminator(one_key_of("measured", "modelled")),
    ]
    """Either measured values (best: of your own fabric) or a published law."""


class GrooveDocument(DocumentShape):
    """One set of parallel grooves or cuts."""

    width_mm: Annotated[Number, Field(ge=0.1, le=20)]
    depth_mm: Annotated[Number, Field(ge=0.1, le=100)]
    pitch_mm: Annotated[Number, Field(ge=2, le=500)]
    """From middle to middle."""
    angle_deg: Angle
    """From the sheet's x axis to the grooves, counter-clockwise."""


class PerforationDocument(DocumentShape):
    """Holes through the core on a square pattern."""

    diameter_mm: Annotated[Number, Field(ge=0.3, le=30)]
    pitch_mm: Annotated[Number, Field(ge=2, le=500)]


class CoreDocument(DocumentShape):
    thickness_mm: Annotated[Number, Field(ge=1, le=200)]
    grooves: Annotated[tuple[GrooveDocument, ...], Field(max_length=8)]
    """Empty: the core carries no resin along the sheet."""
    perforations: PerforationDocument | None
    surface_uptake_g_m2: Annotated[Number, Field(ge=0, le=3000)]
    """Resin taken up by the open cells of both faces together."""


class FlowMeshDocument(DocumentShape):
    thickness_mm: Annotated[Number, Field(ge=0.2, le=20)]
    """As it lies under the bag."""
    porosity_percent: Annotated[Number, Field(ge=20, le=99)]
    permeability_m2: Annotated[Number, Field(ge=1e-12, le=1e-5)]
    """The same in all directions of the plane."""


class PlyLayer(DocumentShape):
    ply: Name
    """Name of a reinforcement."""
    angle_deg: Angle
    """From the sheet's x axis to the fabric's main direction, counter-clockwise."""
    count: Annotated[Whole, Field(ge=1, le=100), LIKE_2_0] = 1
    """Plies of this kind lying one on another."""
    fibre_volume_percent: FibreVolumePercent | None = None
    """Under the bag. Left out: that of the laminate."""


class CoreLayer(DocumentShape):
    core: Name
    """Name of a core."""


class FlowMeshLayer(DocumentShape):
    flow_mesh: Name
    """Name of a flow mesh."""


LayerDocument = Annotated[
    Annotated[PlyLayer, Tag("⟨ply⟩")]
    | Annotated[CoreLayer, Tag("⟨core⟩")]
    | Annotated[FlowMeshLayer, Tag("⟨flow_mesh⟩")],
    Discriminator(one_key_of("ply", "core", "flow_mesh")),
]


class CompactionDocument(DocumentShape):
    """How far the plies give as resin takes over the pressure of the bag: Vf = Vf0 (pc / p0)^B, pc what presses.

    From your own compaction test, saturated and on the way back up if you can: fabrics give differently each way.
    """

    stiffening_exponent: Annotated[Number, Field(ge=0, le=0.5)]
    """B. 0: they do not give."""
    least_fibre_volume_percent: FibreVolumePercent
    """Of the loose fabric: where nothing presses the power law would fall to nothing."""
    stated_at_mbar: Annotated[Number, Field(ge=50, le=1100)] | None = came_later()
    """p0: the pressure on the plies, air less resin, at which they have the fibre volume content stated. Left out:
    that of the dry stack, ambient less vacuum."""


class LaminateDocument(DocumentShape):
    fibre_volume_percent: FibreVolumePercent | None = None
    """For every ply of this laminate that states none of its own."""
    layers: Annotated[tuple[LayerDocument, ...], Field(min_length=1, max_length=100)]
    """From the tool side to the bag side."""
    compaction: CompactionDocument | None = came_later()
    """Left out: the bag does not give, thickness and permeability stay."""
