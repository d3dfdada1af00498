"""Values that can be, and are more often a slip or a risk: what a second look is asked for."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.build_laminate import contents_used
from optimiser.case.build_ply import ratio_to_test
from optimiser.case.case_document import CaseDocument
from optimiser.case.laminate_document import FlowMeshLayer, MeasuredPermeability, PlyLayer
from optimiser.case.pointer import pointer
from optimiser.case.resin_document import ResinDocument

_STYRENE_BOILS_MBAR = 7.0
"""At 20 degrees C, from memory; higher when warmer."""
_MOST_TIMES = 3.0
"""The law that scales a test to another fibre volume content is no better than its nearest test (Kozeny-Carman, which
real fabrics follow over a few percent of fibre volume). Common practice, no source."""


_USUAL = "as a rule (common practice, no source): is a digit or a unit slipped?"


def second_looks(document: CaseDocument) -> Iterator[str]:
    yield from _deep_vacuum(document)
    yield from _far_from_the_test(document)
    yield from _mesh_alone(document)
    yield from _unusual(document)


def _mesh_alone(document: CaseDocument) -> Iterator[str]:
    for name in dict.fromkeys(area.laminate for area in document.areas):
        laminate = document.laminates.get(name)
        if laminate is not None and all(isinstance(layer, FlowMeshLayer) for layer in laminate.layers):
            yield f"laminate {name} is flow mesh and nothing else, which is torn off after cure: is a ply missing?"


def _unusual(document: CaseDocument) -> Iterator[str]:
    """Ten times off in one field, as a slip makes it, stands outside of what a yard lays in."""
    for path, value, unit, least, most in _values(document):
        if not least <= value <= most:
            yield f"{path} of {value:g} {unit} lies outside {least:g} to {most:g} {unit}, {_USUAL}"


def _values(document: CaseDocument) -> Iterator[tuple[str, float, str, float, float]]:
    """Path, value, unit, least and most of what is usual."""
    for name, cloth in document.reinforcements.items():
        at = pointer("reinforcements", name)
        yield f"{at}/areal_weight_g_m2", cloth.areal_weight_g_m2, "g/m2", 80, 2500
        yield f"{at}/fibre_density_kg_m3", cloth.fibre_density_kg_m3, "kg/m3", 1300, 2900
        if isinstance(cloth.permeability, MeasuredPermeability):
            measured = cloth.permeability.measured
            yield f"{at}/permeability/measured/along_m2", measured.along_m2, "m2", 2e-12, 8e-10
    for name, laminate in document.laminates.items():
        for place, layer in enumerate(laminate.layers):
            if isinstance(layer, PlyLayer):
                yield f"{pointer('laminates', name, 'layers', place)}/count", layer.count, "plies", 1, 30
    for name, core in document.cores.items():
        at = pointer("cores", name)
        yield f"{at}/thickness_mm", core.thickness_mm, "mm", 2, 80
        yield f"{at}/surface_uptake_g_m2", core.surface_uptake_g_m2, "g/m2", 0, 1500
        for place, groove in enumerate(core.grooves):
            yield f"{at}/grooves/{place}/width_mm", groove.width_mm, "mm", 0.3, 5
            yield f"{at}/grooves/{place}/pitch_mm", groove.pitch_mm, "mm", 8, 200
    for place, line in enumerate(document.feed_lines):
        yield f"{pointer('feed_lines', place)}/bore_mm", line.bore_mm, "mm", 4, 40
    yield "/supply/manifold_volume_litres", document.supply.manifold_volume_litres, "litres", 0, 20
    yield "/process/vacuum_mbar_abs", document.process.vacuum_mbar_abs, "mbar", 0, 100
    yield "/process/ambient_mbar_abs", document.process.ambient_mbar_abs, "mbar", 800, 1080
    yield from _resin_values(document.resin)


def _resin_values(resin: ResinDocument) -> Iterator[tuple[str, float, str, float, float]]:
    yield "/resin/density_kg_m3", resin.density_kg_m3, "kg/m3", 950, 1350
    for place, test in enumerate(resin.viscosity_points):
        yield f"{pointer('resin', 'viscosity_points', place)}/viscosity_mpa_s", test.viscosity_mpa_s, "mPa s", 50, 1500
    for place, gel in enumerate(resin.gel_time_points):
        yield f"{pointer('resin', 'gel_time_points', place)}/gel_time_min", gel.gel_time_min, "min", 3, 900


def _deep_vacuum(document: CaseDocument) -> Iterator[str]:
    vacuum_mbar = document.process.vacuum_mbar_abs
    if vacuum_mbar < _STYRENE_BOILS_MBAR:
        yield (
            f"/process/vacuum_mbar_abs of {vacuum_mbar:g} mbar: styrene boils under about {_STYRENE_BOILS_MBAR:g} mbar "
            "at 20 °C (from memory), and its bubbles stay in the laminate; the data sheet says how deep is too deep"
        )


def _far_from_the_test(document: CaseDocument) -> Iterator[str]:
    """Once for each cloth, at the content that is furthest off."""
    worst: dict[str, tuple[float, float, float]] = {}
    for name, percent in contents_used(document):
        permeability = document.reinforcements[name].permeability
        if isinstance(permeability, MeasuredPermeability):
            ratio = ratio_to_test(permeability, fibre_volume_percent=percent)
            tested_percent = permeability.measured.at_fibre_volume_percent
            row = (max(ratio, 1.0 / ratio), percent, tested_percent)
            worst[name] = max(worst.get(name, row), row)
    for name, (times, percent, tested_percent) in worst.items():
        if times > _MOST_TIMES:
            path = pointer("reinforcements", name, "permeability", "measured")
            less = "less" if percent > tested_percent else "more"
            yield (
                f"{path} was tested at {tested_percent:g} % fibre volume and is used at {percent:g} %: {times:.1f} "
                f"times {less} by the law alone, and flow times go with it; test it at this content"
            )
