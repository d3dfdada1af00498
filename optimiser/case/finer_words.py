"""What the run on cells of half the size says of a plan, and why there is none."""

from __future__ import annotations

import math

from optimiser.case.proof_document import FinerCellsRun
from optimiser.plan.in_time import margin_on_finer_s
from optimiser.plan.result import PlanResult
from optimiser.units import min_from_s, mm_from_m


def finer_cells_run(result: PlanResult) -> FinerCellsRun | None:
    """None: the sequence fails as planned already."""
    chosen, finer, scene = result.chosen, result.scenes.finer_cells, result.scenes.finer
    size = f"on cells of half the size, {mm_from_m(finer.cell_m):g} mm"
    if not finer.played:
        return FinerCellsRun(
            cell_mm=mm_from_m(finer.cell_m),
            cells=finer.cells,
            played=False,
            holds=None,
            wet_out_s=None,
            says=f"Not played {size}: about {finer.cells} of them, more than {finer.most_cells}.",
        )
    if scene is None or chosen.finer_run is None:
        return None
    holds = chosen.clean_on_finer and margin_on_finer_s(result.scenes, chosen) >= 0
    wet_out_s = chosen.finer_run.wet_out_s if math.isfinite(chosen.finer_run.wet_out_s) else None
    wet = "" if wet_out_s is None else f", the last place is wet at minute {min_from_s(wet_out_s):.1f}"
    return FinerCellsRun(
        cell_mm=mm_from_m(finer.cell_m),
        cells=scene.network.cell_count,
        played=True,
        holds=holds,
        wet_out_s=wet_out_s,
        says=f"Played once more as planned {size}: {'it holds' if holds else 'it does not hold'} there{wet}.",
    )
