"""Judge a stored plan by playing its sequence again: the full network alone, its spread if that holds, and if that
holds too cells of half the size."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

from optimiser.case.change_document import ChangeDocument, changed_case
from optimiser.case.check_sequence import check_sequence
from optimiser.case.plan_document import Reason
from optimiser.case.planned_mixes import mixes_too_old
from optimiser.case.read_case import case_from_mapping
from optimiser.case.reasons import (
    IN_SPREAD,
    against_the_rules,
    broken_in_spread,
    failing_on_finer,
    late_on_finer,
    locked,
)
from optimiser.errors import InputError, NotConvergedError
from optimiser.filling.fill_run import FillRun
from optimiser.filling.many_runs import run_scene
from optimiser.network.flow_network import FlowNetwork
from optimiser.network.line_layout import line_layouts
from optimiser.network.reduce_part import reduce_part
from optimiser.one_blas_thread import one_blas_thread
from optimiser.part.part import Part
from optimiser.part.sequence import Sequence
from optimiser.part.shot import Shot
from optimiser.plan.finer_cells import finer_cells
from optimiser.plan.gel_judgement import judge_gel
from optimiser.plan.resin_clock import clock_of_shot
from optimiser.plan.scenes import full_scene_of, limits_of, spread_scenes_of
from optimiser.revalidation.answer import Answer, CannotJudge, Found, Way, answer_of
from optimiser.revalidation.facts import Facts
from optimiser.revalidation.sheet_times import changed_conditions, moved_on_sheet

_NETWORKS_KEPT = 8
"""Two for each part."""


@one_blas_thread
def replay(case_data: Mapping[str, Any], facts: Facts, change: ChangeDocument) -> Answer | CannotJudge:
    """What checking the stored sequence in the changed case would say, in this process and at no more cost.

    case_data: plain data of the case that the plan was made for, before the change.
    """
    try:
        shot = case_from_mapping(changed_case(case_data, change)).shot
        faults = check_sequence(facts.sequence, shot)
        if faults:
            raise InputError(faults)
        return answer_of(facts, _played(shot, facts, change), Way.FULL_RUN)
    except InputError as error:
        return CannotJudge.because_of(error)
    except NotConvergedError as error:
        return CannotJudge(reason=f"a run stopped without an answer that may be believed: {error}")


def _played(shot: Shot, facts: Facts, change: ChangeDocument) -> Found:
    clock, sequence = clock_of_shot(shot), facts.sequence
    limits = limits_of(shot, clock.gel_time_s)
    scene = full_scene_of(shot, _network_of(shot, shot.search.cell_m), clock)
    run = run_scene(scene, sequence, limits)
    failure = first_failure(shot, sequence, scene.network, run)
    spread: list[FillRun] = []
    judged = judge_gel(shot, clock, scene.network, run)
    if failure is None and judged.margin_s >= 0:
        for patchy in spread_scenes_of(shot, scene):
            spread.append(run_scene(patchy, sequence, limits))
            failure = said([*locked(spread[-1], IN_SPREAD), *broken_in_spread(shot, sequence, spread[-1])])
            if failure is not None:
                break
    finer = finer_cells(shot, scene.network.cell_count, line_layouts(scene.network, shot.part))
    runs = 1 + len(spread)
    if failure is None and spread and finer.played:
        network, runs = _network_of(shot, finer.cell_m), runs + 1
        on_finer = run_scene(replace(scene, network=network), sequence, limits)
        failing = failing_on_finer(shot, sequence, network, on_finer)
        failure = said(failing or late_on_finer(shot, clock, network, on_finer))
    return Found(
        wet_out_s=run.wet_out_s,
        gel_time_s=clock.gel_time_s,
        gel_limit_s=judged.limit_s,
        gel_fraction=shot.process.gel_fraction,
        other_failure=failure,
        moved=(*changed_conditions(facts, change), *moved_on_sheet(facts, shot.resin, run, spread)),
        network_runs=runs,
    )


def first_failure(shot: Shot, sequence: Sequence, network: FlowNetwork, run: FillRun) -> str | None:
    """The first requirement that the nominal run does not meet, lateness aside."""
    too_old = mixes_too_old(shot, run, clock_of_shot(shot))
    failure = said([*against_the_rules(shot, sequence, run), *locked(run, ""), *too_old])
    if failure is not None or math.isfinite(run.wet_out_s):
        return failure
    dry = ~np.isfinite(network.latest(run.arrival_s))
    return f"all of the part must be wet: {network.area_m2[: network.cell_count][dry].sum():.2f} m2 stay dry"


def said(reasons: list[Reason]) -> str | None:
    """The first of them in a sentence; None: there is none."""
    return f"{reasons[0].requirement}: {reasons[0].by_how_much}, {reasons[0].where}" if reasons else None


def _network_of(shot: Shot, cell_m: float) -> FlowNetwork:
    supply = shot.supply
    return _network(shot.part, cell_m, supply.height_m, supply.manifold_volume_m3)


@lru_cache(maxsize=_NETWORKS_KEPT)
def _network(part: Part, cell_m: float, manifold_height_m: float, manifold_volume_m3: float) -> FlowNetwork:
    """One reduction for all sequences and resins of a part; what it depends on is its key."""
    return reduce_part(part, cell_m=cell_m, manifold_height_m=manifold_height_m, manifold_volume_m3=manifold_volume_m3)
