"""Cells of the search that are not as large as the case asks for."""

from __future__ import annotations

from optimiser.case.process_document import SearchDocument
from optimiser.plan.scenes import Scenes, coarse_cell_m
from optimiser.units import mm_from_m

_SAME_MM = 0.5


def other_coarse_cells(search: SearchDocument, scenes: Scenes) -> list[str]:
    """Told where the case asks for another size than where it says nothing; that one is fitted to the part anyway."""
    asked_mm, taken_mm = search.coarse_cell_mm, mm_from_m(coarse_cell_m(scenes.shot, scenes.full))
    if asked_mm == SearchDocument.model_fields["coarse_cell_mm"].default or abs(asked_mm - taken_mm) <= _SAME_MM:
        return []
    why = (
        "the part is no more than a few of those across"
        if asked_mm > taken_mm
        else "they are never smaller than those that the plan is verified on"
    )
    cells = f"orders are looked for on cells of about {taken_mm:.0f} mm, not {asked_mm:.4g} mm"
    return [f"/search/coarse_cell_mm: {cells}: {why}"]
