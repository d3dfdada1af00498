"""From the laminates of a document to stacks of layers in SI. The document must have passed its checks."""

from __future__ import annotations

from collections.abc import Mapping

from optimiser.case.build_core import core_layer, flow_mesh_layer
from optimiser.case.build_ply import THROUGH_SHARE, ply_layer, ratio_to_test, through_of_test_m2
from optimiser.case.case_document import CaseDocument
from optimiser.case.laminate_document import (
    CompactionDocument,
    CoreLayer,
    FlowMeshLayer,
    LaminateDocument,
    LayerDocument,
    MeasuredPermeability,
    PlyLayer,
)
from optimiser.case.plan_document import Assumption
from optimiser.case.pointer import pointer
from optimiser.part.laminate import Compaction, Laminate, Layer
from optimiser.part.mesh_on_laminate import has_tool_side
from optimiser.physics.bag_compliance import compacted_fibre_fraction
from optimiser.units import fraction_from_percent, pa_from_mbar

_SAME_CONTENT_PERCENT = 0.05
"""Fibre volume contents this close are one: finer than anyone measures."""


def laminates_of(document: CaseDocument) -> dict[str, Laminate]:
    cores = cores_of(document)
    return {
        name: Laminate(
            name=name,
            layers=tuple(made for layer in laminate.layers for made in layers_of(document, laminate, layer, cores)),
            compaction=_compaction(laminate.compaction),
        )
        for name, laminate in document.laminates.items()
    }


def cores_of(document: CaseDocument) -> dict[str, Layer]:
    """Each core as the layer that it is wherever it lies."""
    density_kg_m3 = document.resin.density_kg_m3
    return {name: core_layer(name, core, resin_density_kg_m3=density_kg_m3) for name, core in document.cores.items()}


def content_percent(ply: PlyLayer, laminate: LaminateDocument) -> float:
    """Fibre volume content of a ply: its own, else that of its laminate."""
    stated = (ply.fibre_volume_percent, laminate.fibre_volume_percent)
    return next(percent for percent in stated if percent is not None)


def dry_percent(document: CaseDocument, ply: PlyLayer, laminate: LaminateDocument) -> float:
    """The same under the full vacuum before resin comes: where the plies give, by their law of compaction."""
    stated = content_percent(ply, laminate)
    law = laminate.compaction
    if law is None or law.stated_at_mbar is None:
        return stated
    dry_mbar = document.process.ambient_mbar_abs - document.process.vacuum_mbar_abs
    return 100.0 * compacted_fibre_fraction(
        compaction_pa=pa_from_mbar(dry_mbar),
        reference_fibre_fraction=fraction_from_percent(stated),
        reference_pa=pa_from_mbar(law.stated_at_mbar),
        stiffening_exponent=law.stiffening_exponent,
        least_fibre_fraction=fraction_from_percent(law.least_fibre_volume_percent),
    )


def assumed_compaction(document: CaseDocument) -> tuple[Assumption, ...]:
    """The pressure at which the stated content holds, where plies give and the document does not say."""
    dry_mbar = document.process.ambient_mbar_abs - document.process.vacuum_mbar_abs
    return tuple(
        Assumption(
            path=pointer("laminates", name, "compaction", "stated_at_mbar"),
            value=f"{dry_mbar:g} mbar",
            why="ambient less vacuum: the stated fibre volume content is that of the dry stack under the bag",
        )
        for name, laminate in document.laminates.items()
        if laminate.compaction is not None and laminate.compaction.stated_at_mbar is None
    )


def scaled_permeabilities(document: CaseDocument) -> tuple[Assumption, ...]:
    """Measured permeabilities used at another fibre volume content than that of their test."""
    scalings = (_scaling(document, name, percent) for name, percent in contents_used(document))
    return tuple(scaling for scaling in scalings if scaling is not None)


def contents_used(document: CaseDocument) -> list[tuple[str, float]]:
    """Every cloth with the fibre volume contents, percent, that it lies with, in order."""
    return sorted(
        {
            (layer.ply, dry_percent(document, layer, laminate))
            for laminate in document.laminates.values()
            for layer in laminate.layers
            if isinstance(layer, PlyLayer)
        }
    )


def assumed_through(document: CaseDocument) -> tuple[Assumption, ...]:
    """Permeabilities through the thickness that stand in for a test, where the tool side trails by them."""
    names = sorted(
        {
            layer.ply
            for name, made in laminates_of(document).items()
            if has_tool_side(made)
            for layer in document.laminates[name].layers
            if isinstance(layer, PlyLayer)
        }
    )
    permeabilities = [(name, document.reinforcements[name].permeability) for name in names]
    return tuple(
        Assumption(
            path=pointer("reinforcements", name, "permeability", "measured", "through_m2"),
            value=f"{through_of_test_m2(permeability):.3g} m²",
            why=f"{THROUGH_SHARE:g} of the smaller value in the plane, the slow end of published tests (from memory); "
            "the tool side waits for it: measure it",
        )
        for name, permeability in permeabilities
        if isinstance(permeability, MeasuredPermeability) and permeability.measured.through_m2 is None
    )


def layers_of(
    document: CaseDocument, laminate: LaminateDocument, layer: LayerDocument, cores: Mapping[str, Layer]
) -> list[Layer]:
    match layer:
        case PlyLayer():
            percent = dry_percent(document, layer, laminate)
            ply = ply_layer(layer, document.reinforcements[layer.ply], fibre_volume_percent=percent)
            return [ply] * layer.count
        case CoreLayer():
            return [cores[layer.core]]
        case FlowMeshLayer():
            return [flow_mesh_layer(layer.flow_mesh, document.flow_meshes[layer.flow_mesh])]


def _compaction(law: CompactionDocument | None) -> Compaction | None:
    if law is None:
        return None
    return Compaction(
        stiffening_exponent=law.stiffening_exponent,
        least_fibre_fraction=fraction_from_percent(law.least_fibre_volume_percent),
    )


def _scaling(document: CaseDocument, name: str, percent: float) -> Assumption | None:
    permeability = document.reinforcements[name].permeability
    if not isinstance(permeability, MeasuredPermeability):
        return None
    tested_percent = permeability.measured.at_fibre_volume_percent
    if abs(tested_percent - percent) < _SAME_CONTENT_PERCENT:
        return None
    ratio = ratio_to_test(permeability, fibre_volume_percent=percent)
    return Assumption(
        path=pointer("reinforcements", name, "permeability", "measured"),
        value=f"times {ratio:.3g} from {tested_percent:g} % to {percent:g} % fibre volume",
        why="scaled by (1 - Vf)^3 / Vf^2 (Kozeny-Carman); a test at this content would be better",
    )
