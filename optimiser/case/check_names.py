"""Names: each defined once, each one used is defined, and what is defined but not used."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from optimiser.case.case_document import CaseDocument
from optimiser.case.laminate_document import CoreLayer, FlowMeshLayer, LayerDocument, PlyLayer
from optimiser.case.layout_document import OutlineSheet
from optimiser.case.pointer import pointer
from optimiser.case.say_found import say_found
from optimiser.case.unknown_name import unknown_name
from optimiser.errors import Fault


def name_faults(document: CaseDocument) -> Iterator[Fault]:
    """Names used without a definition, and names given twice."""
    if isinstance(document.sheet, OutlineSheet):
        named = [(("sheet", "outlines", i), piece.name) for i, piece in enumerate(document.sheet.outlines)]
        yield from _doubled(named, "outline")
    yield from _layer_faults(document)
    for place, area in enumerate(document.areas):
        if area.laminate not in document.laminates:
            path = pointer("areas", place, "laminate")
            yield unknown_name(path, area.laminate, document.laminates, noun="laminate")
    yield from _doubled(((("areas", i), area.name) for i, area in enumerate(document.areas)), "area")
    tracks: list[tuple[tuple[str | int, ...], str]] = [
        (("race_tracks", i), track.name) for i, track in enumerate(document.race_tracks)
    ]
    may_race = document.process.scatter.may_race if document.process.scatter else ()
    tracks += [(("process", "scatter", "may_race", i), gap.name) for i, gap in enumerate(may_race)]
    yield from _doubled(tracks, "race track")


def unused_names(document: CaseDocument) -> Iterator[str]:
    """Warnings for definitions that nothing uses."""
    layers = [layer for laminate in document.laminates.values() for layer in laminate.layers]
    used = {_reference(layer) for layer in layers}
    laid = {area.laminate for area in document.areas}
    defined = [(section, name) for section, names in _materials(document).items() for name in names]
    idle = [entry for entry in defined if entry not in used]
    idle += [("laminates", name) for name in document.laminates if name not in laid]
    yield from (f"{pointer(*entry)} is defined but not used" for entry in idle)


def _materials(document: CaseDocument) -> dict[str, Collection[str]]:
    return {
        "reinforcements": document.reinforcements,
        "cores": document.cores,
        "flow_meshes": document.flow_meshes,
    }


def _reference(layer: LayerDocument) -> tuple[str, str]:
    match layer:
        case PlyLayer():
            return "reinforcements", layer.ply
        case CoreLayer():
            return "cores", layer.core
        case FlowMeshLayer():
            return "flow_meshes", layer.flow_mesh


_KEY_OF_SECTION = {"reinforcements": "ply", "cores": "core", "flow_meshes": "flow_mesh"}


def _layer_faults(document: CaseDocument) -> Iterator[Fault]:
    materials = _materials(document)
    for laminate_name, laminate in document.laminates.items():
        for place, layer in enumerate(laminate.layers):
            section, name = _reference(layer)
            if name not in materials[section]:
                key = _KEY_OF_SECTION[section]
                path = pointer("laminates", laminate_name, "layers", place, key)
                yield unknown_name(path, name, materials[section], noun=key.replace("_", " "))


def _doubled(named: Iterable[tuple[tuple[str | int, ...], str]], noun: str) -> Iterator[Fault]:
    seen: set[str] = set()
    for keys, name in named:
        if name in seen:
            path, found = pointer(*keys, "name"), f"{say_found(name)} a second time"
            yield Fault(path=path, found=found, expected=f"a name of its own for each {noun}")
        seen.add(name)
