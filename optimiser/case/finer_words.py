"""What the run on cells of half the size says of a plan, and why there is none."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from optimiser.case.printed_minutes import wet_out_min
from optimiser.case.proof_document import FinerCellsRun
from optimiser.filling.fill_run import FillRun
from optimiser.plan.in_time import margin_on_finer_s
from optimiser.plan.result import PlanResult
from optimiser.units import mm_from_m

_SETTLED = 0.1
"""Of wet-out, our choice: half the size moves it by a few percent, and by more where resin creeps into a corner."""


def unsettled_wet_out(result: PlanResult) -> Iterator[str]:
    """Where the last place to be wet is one that resin creeps into ever more slowly, finer cells tell a later end."""
    chosen, scene = result.chosen, result.scenes.finer
    if scene is None or chosen.finer_run is None or not _unsettled(chosen.run, chosen.finer_run):
        return
    finer_run, network = chosen.finer_run, scene.network
    arrival_s = network.latest(finer_run.arrival_s)
    last = int(np.argmax(arrival_s))
    dry_m2 = float(network.area_m2[: network.cell_count][arrival_s > chosen.run.wet_out_s].sum())
    dry = f", at which {1e4 * dry_m2:.0f} cm2 would still be dry" if dry_m2 > 0 else ""
    yield (
        f"wet-out hangs on one place, x {network.x_m[last]:.2f} m, y {network.y_m[last]:.2f} m: cells of half the size "
        f"say minute {wet_out_min(finer_run.wet_out_s):.1f}, not {wet_out_min(chosen.run.wet_out_s):.1f}{dry}; "
        "finer cells may say another still: a vent or a line there would settle it"
    )


def _unsettled(run: FillRun, finer: FillRun) -> bool:
    """Of two that get all wet."""
    apart_s = abs(finer.wet_out_s - run.wet_out_s)
    return math.isfinite(apart_s) and apart_s > _SETTLED * run.wet_out_s


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
    wet = "" if wet_out_s is None else f", the last place is wet at minute {wet_out_min(wet_out_s):.1f}"
    if _unsettled(chosen.run, chosen.finer_run):
        wet += f" and not {wet_out_min(chosen.run.wet_out_s):.1f}"
    return FinerCellsRun(
        cell_mm=mm_from_m(finer.cell_m),
        cells=scene.network.cell_count,
        played=True,
        holds=holds,
        wet_out_s=wet_out_s,
        says=f"Played once more as planned {size}: {'it holds' if holds else 'it does not hold'} there{wet}.",
    )
