"""Materials: layers that can be built, laminates that let resin through."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from optimiser.case.build_core import core_pore_depth_m
from optimiser.case.build_laminate import cores_of, layers_of
from optimiser.case.case_document import CaseDocument
from optimiser.case.laminate_document import (
    CoreDocument,
    CoreLayer,
    FlowMeshLayer,
    LaminateDocument,
    LayerDocument,
    MeasuredPermeability,
    ModelledPermeability,
    PlyLayer,
)
from optimiser.case.pointer import pointer
from optimiser.errors import Fault, OutOfRangeError
from optimiser.part.laminate import Laminate, Layer
from optimiser.units import mm_from_m

_MOST_TIMES_ALONG, _MOST_TIMES_THROUGH = 1e3, 1e5
"""Far beyond what any fabric was measured at; cells can no longer show a front so slanted."""


def material_faults(document: CaseDocument) -> Iterator[Fault]:
    for name, reinforcement in document.reinforcements.items():
        yield from _one_sided(name, reinforcement.permeability)
    for name, core in document.cores.items():
        yield from _core_faults(pointer("cores", name), core, document.resin.density_kg_m3)
    cores = cores_of(document)
    for name, laminate in document.laminates.items():
        yield from _laminate_faults(document, pointer("laminates", name), laminate, cores)


def _one_sided(name: str, permeability: MeasuredPermeability | ModelledPermeability) -> Iterator[Fault]:
    if not isinstance(permeability, MeasuredPermeability):
        return
    measured = permeability.measured
    path = pointer("reinforcements", name, "permeability", "measured")
    low, high = sorted((measured.along_m2, measured.across_m2))
    if high > _MOST_TIMES_ALONG * low:
        yield Fault(
            path=path,
            found=f"{high:g} m2 one way and {low:g} m2 the other",
            expected=f"no more than {_MOST_TIMES_ALONG:g} times as much one way as the other",
        )
    through = measured.through_m2
    if through is not None and not high / _MOST_TIMES_THROUGH <= through <= high:
        yield Fault(
            path=f"{path}/through_m2",
            found=f"{through:g} m2",
            expected=f"no more than in the plane, {high:g} m2, and no less than {high / _MOST_TIMES_THROUGH:g} m2",
        )


def material_warnings(document: CaseDocument) -> Iterator[str]:
    for name, reinforcement in document.reinforcements.items():
        permeability = reinforcement.permeability
        if isinstance(permeability, MeasuredPermeability):
            measured = permeability.measured
            if measured.across_m2 > measured.along_m2:
                path = pointer("reinforcements", name, "permeability", "measured")
                yield f"{path} lets resin through faster across than along: are the two exchanged?"
            elif measured.through_m2 is not None and measured.through_m2 > measured.across_m2:
                path = pointer("reinforcements", name, "permeability", "measured", "through_m2")
                yield (
                    f"{path} of {measured.through_m2:g} m2 is more than across the fabric, {measured.across_m2:g} m2: "
                    "it is as a rule the least of the three (common practice, no source)"
                )


def _core_faults(path: str, core: CoreDocument, resin_density_kg_m3: float) -> Iterator[Fault]:
    crooked = list(_cutting_faults(path, core))
    yield from crooked
    pore_depth_mm = mm_from_m(core_pore_depth_m(core, resin_density_kg_m3=resin_density_kg_m3))
    if not crooked and pore_depth_mm >= core.thickness_mm:
        yield Fault(
            path=path,
            found=f"{pore_depth_mm:.3g} mm of resin in grooves, holes and faces",
            expected=f"less than the core's thickness, {core.thickness_mm:g} mm",
        )


def _cutting_faults(path: str, core: CoreDocument) -> Iterator[Fault]:
    for place, groove in enumerate(core.grooves):
        at = path + pointer("grooves", place)
        if groove.depth_mm > core.thickness_mm:
            expected = f"at most the core's thickness, {core.thickness_mm:g} mm"
            yield Fault(path=f"{at}/depth_mm", found=f"{groove.depth_mm:g} mm", expected=expected)
        if groove.width_mm >= groove.pitch_mm:
            expected = f"less than the pitch, {groove.pitch_mm:g} mm"
            yield Fault(path=f"{at}/width_mm", found=f"{groove.width_mm:g} mm", expected=expected)
    holes = core.perforations
    if holes is not None and holes.diameter_mm >= holes.pitch_mm:
        yield Fault(
            path=f"{path}/perforations/diameter_mm",
            found=f"{holes.diameter_mm:g} mm",
            expected=f"less than the pitch, {holes.pitch_mm:g} mm",
        )


def _laminate_faults(
    document: CaseDocument, path: str, laminate: LaminateDocument, cores: Mapping[str, Layer]
) -> Iterator[Fault]:
    layers: list[Layer] = []
    complete = True
    if laminate.compaction is not None and not any(isinstance(layer, PlyLayer) for layer in laminate.layers):
        yield Fault(path=f"{path}/compaction", found="a laminate without plies", expected="plies, which are what gives")
    if too_loose := _too_loose(laminate):
        yield Fault(path=f"{path}/compaction/least_fibre_volume_percent", found=too_loose[0], expected=too_loose[1])
        return
    for place, layer in enumerate(laminate.layers):
        at = path + pointer("layers", place)
        if _lacks_content(layer, laminate):
            yield Fault(
                path=f"{at}/fibre_volume_percent",
                found="nothing",
                expected="the fibre volume content in %, here or once for the laminate",
            )
            complete = False
        elif not _is_defined(document, layer):
            complete = False
        elif _seals(document, laminate, place):
            yield Fault(
                path=f"{at}/core",
                found="a core between plies, without holes, whose grooves do not go through it",
                expected="perforations, a cut as deep as the core, or cuts two ways that meet inside it: else no resin "
                "comes through it to the plies on its far side",
            )
            complete = False
        else:
            try:
                layers.append(_as_one(layers_of(document, laminate, layer, cores)))
            except OutOfRangeError as error:
                complete = False
                if _gives_too_far(document, laminate, layer, cores):
                    yield Fault(
                        path=f"{path}/compaction",
                        found=f"{error}, in layer {place} under the full vacuum",
                        expected="a law under which every ply stays in range: a higher stated_at_mbar, or a smaller "
                        "stiffening_exponent",
                    )
                else:
                    yield Fault(path=at, found=str(error), expected="a layer within the range of its law")
    if complete and not _passes_resin(Laminate(name="", layers=tuple(layers))):
        yield Fault(
            path=path,
            found="layers that resin cannot flow along in every direction",
            expected="at least one reinforcement, flow mesh or core grooved both ways",
        )


def _gives_too_far(
    document: CaseDocument, laminate: LaminateDocument, layer: LayerDocument, cores: Mapping[str, Layer]
) -> bool:
    """Whether a layer that is out of range would be in order if nothing gave."""
    if laminate.compaction is None:
        return False
    try:
        layers_of(document, laminate.model_copy(update={"compaction": None}), layer, cores)
    except OutOfRangeError:
        return False
    return True


def _seals(document: CaseDocument, laminate: LaminateDocument, place: int) -> bool:
    """Whether this layer is a closed core with plies on both its sides, which fill as one layer in a run."""
    layer = laminate.layers[place]
    if not isinstance(layer, CoreLayer):
        return False
    core = document.cores[layer.core]
    sides = (laminate.layers[:place], laminate.layers[place + 1 :])
    between = all(any(isinstance(one, PlyLayer) for one in side) for side in sides)
    cuts_mm = sorted((groove.depth_mm for groove in core.grooves), reverse=True)[:2]
    return between and core.perforations is None and sum(cuts_mm) < core.thickness_mm


def _too_loose(laminate: LaminateDocument) -> tuple[str, str] | None:
    """A floor of the compaction law that lies above the content of some ply: found and expected."""
    law = laminate.compaction
    stated = [layer.fibre_volume_percent for layer in laminate.layers if isinstance(layer, PlyLayer)]
    least = min((one for one in (*stated, laminate.fibre_volume_percent) if one is not None), default=None)
    if law is None or least is None or law.least_fibre_volume_percent <= least:
        return None
    return f"{law.least_fibre_volume_percent:g} %", f"at most the fibre volume content of every ply, {least:g} %"


def _as_one(layers: list[Layer]) -> Layer:
    """Equal layers lying one on another flow as one of their thickness."""
    return replace(layers[0], thickness_m=len(layers) * layers[0].thickness_m)


def _lacks_content(layer: LayerDocument, laminate: LaminateDocument) -> bool:
    return (
        isinstance(layer, PlyLayer)
        and layer.fibre_volume_percent is None
        and laminate.fibre_volume_percent is None
    )


def _is_defined(document: CaseDocument, layer: LayerDocument) -> bool:
    match layer:
        case PlyLayer():
            return layer.ply in document.reinforcements
        case CoreLayer():
            return layer.core in document.cores
        case FlowMeshLayer():
            return layer.flow_mesh in document.flow_meshes


def _passes_resin(laminate: Laminate) -> bool:
    slow_m3, fast_m3 = np.linalg.eigvalsh(laminate.transmissibility_m3)
    return laminate.pore_depth_m > 0 and slow_m3 > 1e-12 * fast_m3 > 0
