"""Consistency of a document whose shape is right: all faults at once, each with its pointer."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from optimiser.case.case_document import CaseDocument
from optimiser.case.check_cells import smallest_lock_faults, too_many_cells
from optimiser.case.check_crowding import crowding_faults
from optimiser.case.check_labels import label_faults, misread_labels, rule_faults
from optimiser.case.check_materials import material_faults, material_warnings
from optimiser.case.check_names import name_faults, unused_names
from optimiser.case.check_outlines import hidden_areas, outline_faults, sheet_faults
from optimiser.case.check_overlaps import overlap_faults
from optimiser.case.check_process import process_faults
from optimiser.case.check_runs import run_faults, runs_off_sheet, runs_off_surface
from optimiser.case.check_surface import area_of_surface_mm2, surface_area_faults, surface_faults
from optimiser.case.cure_warnings import cure_warnings
from optimiser.case.layout_document import OutlineSheet
from optimiser.case.pointer import keys_of
from optimiser.case.second_look import second_looks
from optimiser.case.sheet_shape import shape_of_sheet, widened
from optimiser.errors import Fault, InputError

_MOST_FAULTS = 200


def check_case(document: CaseDocument) -> tuple[str, ...]:
    """Warnings, if the document can be planned; else InputError with every fault, in document order."""
    faults = [fault for check in _CHECKS for fault in islice(check(document), _MOST_FAULTS)]
    if faults:
        raise InputError(sorted(faults, key=_place_in_document)[:_MOST_FAULTS])
    return (
        *unused_names(document),
        *misread_labels(document),
        *material_warnings(document),
        *hidden_areas(document),
        *cure_warnings(document.resin, document.process.mould_temperature_c),
        *second_looks(document),
        *_doubted_test(document),
        *_no_spread(document),
    )


def _doubted_test(document: CaseDocument) -> Iterator[str]:
    said = document.resin.taken_from
    if said is not None and said.doubt is not None:
        yield said.doubt


def _no_spread(document: CaseDocument) -> Iterator[str]:
    process = document.process
    if process.permeability_spread_percent == process.permeability_patchy_percent == 0:
        yield (
            "permeability_spread_percent and permeability_patchy_percent are 0: verified then says that the sequence "
            "holds where permeability is exactly as stated, and nothing of any other laminate; state both"
        )


def _faults_on_the_sheet(document: CaseDocument) -> Iterator[Fault]:
    sheet = document.sheet
    crooked = list(crowding_faults(document))
    if not crooked:
        crooked = list(outline_faults(sheet) if isinstance(sheet, OutlineSheet) else surface_faults(sheet.surface))
    yield from crooked
    if crooked:
        return
    if isinstance(sheet, OutlineSheet):
        shape = shape_of_sheet(sheet)
        yield from smallest_lock_faults(document, shape.area)
        near = widened(shape)
        yield from sheet_faults(document, sheet, shape, near)
        yield from runs_off_sheet(document, near)
        yield from overlap_faults(document)
    else:
        area_mm2 = area_of_surface_mm2(sheet.surface)
        yield from too_many_cells(document.search.cell_mm, area_mm2)
        yield from smallest_lock_faults(document, area_mm2)
        yield from surface_area_faults(document, sheet.surface)
        yield from runs_off_surface(document, sheet.surface)


_CHECKS = (
    name_faults,
    label_faults,
    rule_faults,
    material_faults,
    process_faults,
    run_faults,
    _faults_on_the_sheet,
)
"""Each yields what it finds as it finds it, so that no more is looked for than will be told."""


def _place_in_document(fault: Fault) -> int:
    first = next(iter(keys_of(fault.path)), "")
    return list(CaseDocument.model_fields).index(first) if first in CaseDocument.model_fields else 0
