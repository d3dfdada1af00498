"""One scenario as something to be played: the shot as it would turn out then, on the coarse network."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optimiser.filling.many_runs import Scene
from optimiser.filling.simulate import FillLimits
from optimiser.network.flow_network import FloatArray, FlowNetwork
from optimiser.part.part import Part, RaceTrack
from optimiser.part.resin import CureLaw, MeasuredThickening, Resin, ThickeningLaw
from optimiser.part.scatter import Scatter
from optimiser.part.shot import Shot
from optimiser.physics.cure_kinetics import factor_at_gel_ratio_1_s
from optimiser.physics.lognormal_scatter import factors_at_joints
from optimiser.plan.resin_clock import ResinClock, clock_of_shot
from optimiser.plan.scenes import (
    Scenes,
    coarse_network_of,
    full_scene_of,
    limits_of,
    patchy_field,
    with_permeability,
)
from optimiser.scatter.factors import FactorKind
from optimiser.scatter.scenarios import Scenario

_HALF = 0.5


@dataclass(frozen=True, kw_only=True)
class ScenarioScene:
    scenario: Scenario
    shot: Shot
    """As it would be in this scenario; permeability aside, which is in the scene alone."""
    scene: Scene
    clock: ResinClock
    limits: FillLimits


def scenario_scene(shot: Shot, scatter: Scatter, scenes: Scenes, scenario: Scenario) -> ScenarioScene:
    """Temperature moves viscosity and gel time together, as the resin's data have it; both at the safe end as ever."""
    there = _shot_in(shot, scatter, scenario)
    clock = clock_of_shot(there)
    same_gaps = there.part.race_tracks == shot.part.race_tracks
    network = scenes.coarse if same_gaps else coarse_network_of(there, scenes.full)
    factor = _laminate_factor(there.part, network, scenario)
    variation = shot.process.permeability_patchy_fraction
    if variation > 0:
        factor = factor * patchy_field(network, variation, (shot.search.seed, scenario.number))
    return ScenarioScene(
        scenario=scenario,
        shot=there,
        scene=with_permeability(full_scene_of(there, network, clock), factor),
        clock=clock,
        limits=limits_of(there, clock.gel_time_s),
    )


def _shot_in(shot: Shot, scatter: Scatter, scenario: Scenario) -> Shot:
    process, resin = shot.process, shot.resin
    warmer_k = scenario.value(FactorKind.TEMPERATURE, otherwise=0.0)
    gel = scenario.value(FactorKind.GEL_TIME, otherwise=1.0)
    return replace(
        shot,
        part=replace(shot.part, race_tracks=_gaps_in(shot.part, scatter, scenario)),
        process=replace(
            process,
            vacuum_pa=process.vacuum_pa + scenario.value(FactorKind.VACUUM, otherwise=0.0),
            mould_temperature_k=process.mould_temperature_k + warmer_k,
            resin_temperature_k=process.resin_temperature_k + warmer_k,
            temperatures=tuple(
                replace(row, mould_k=row.mould_k + warmer_k, resin_k=row.resin_k + warmer_k)
                for row in process.temperatures
            ),
        ),
        resin=_gelling(resin, gel),
        crew=replace(shot.crew, action_s=shot.crew.action_s + scenario.value(FactorKind.LATE_CREW, otherwise=0.0)),
    )


def _gelling(resin: Resin, factor: float) -> Resin:
    """All of its cure takes that many times as long: it gels later and thickens later."""
    known = resin.thickening
    if isinstance(known, MeasuredThickening):
        known = replace(known, points=tuple(replace(one, age_s=one.age_s * factor) for one in known.points))
    elif isinstance(known, ThickeningLaw):
        known = replace(
            known, cure_factor_1_s=factor_at_gel_ratio_1_s(factor_1_s=known.cure_factor_1_s, gel_ratio=factor)
        )
    elif isinstance(known, CureLaw):
        known = replace(
            known,
            first_factor_1_s=factor_at_gel_ratio_1_s(factor_1_s=known.first_factor_1_s, gel_ratio=factor),
            second_factor_1_s=factor_at_gel_ratio_1_s(factor_1_s=known.second_factor_1_s, gel_ratio=factor),
        )
    gel_points = tuple(replace(one, gel_time_s=one.gel_time_s * factor) for one in resin.gel_points)
    return replace(resin, gel_points=gel_points, thickening=known)


def _gaps_in(part: Part, scatter: Scatter, scenario: Scenario) -> tuple[RaceTrack, ...]:
    there = [
        one.track
        for one in scatter.may_race
        if scenario.value(FactorKind.GAP_THERE, one.track.name, otherwise=0.0) > _HALF
    ]
    return tuple(
        replace(gap, width_m=gap.width_m * scenario.value(FactorKind.GAP_WIDTH, gap.name, otherwise=1.0))
        for gap in (*part.race_tracks, *there)
    )


def _laminate_factor(part: Part, network: FlowNetwork, scenario: Scenario) -> FloatArray:
    """Each laminate's own, wherever it lies; a pipe has the mean of the cells it is joined to, so that a link between
    the two goes with the cell."""
    of_area = np.array(
        [scenario.value(FactorKind.PERMEABILITY, area.laminate.name, otherwise=1.0) for area in part.areas]
    )
    sheet = network.sheet_count
    of_sheet = of_area[network.area_of_cell[network.cell_of_node[:sheet]]]
    links = network.links
    pipe, cell = np.concatenate([links.start, links.end]), np.concatenate([links.end, links.start])
    beside = (pipe >= sheet) & (cell < sheet)
    of_pipes = factors_at_joints(of_sheet[cell[beside]], pipe[beside], network.node_count)[sheet:]
    return np.concatenate([of_sheet, of_pipes])
