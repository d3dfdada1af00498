"""The scenes a shot is played in: coarse to search, full to verify, and with the stated spread of permeability."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optimiser.filling.front_state import Drive
from optimiser.filling.many_runs import Scene
from optimiser.filling.simulate import FillLimits
from optimiser.network.flow_network import FloatArray, FlowNetwork, Links
from optimiser.network.line_layout import line_layouts
from optimiser.network.reduce_part import reduce_part
from optimiser.part.shot import Crew, Shot
from optimiser.physics.lognormal_scatter import factor_between, factor_of_mean_one, wave_field
from optimiser.plan.finer_cells import FinerCells, finer_cells
from optimiser.plan.resin_clock import ResinClock, clock_of_shot, fresh_pa_s_at

COARSE, FULL, OPEN = 0, 1, 2
"""Places of the scenes in `Scenes.all`: OPEN is the full network without flow cap, supply hose and hands'
time, for the bound."""
COARSE_SPREADS = (3, 4)
"""The coarse network with patchy permeability: what a candidate must survive."""
SPREADS = (5, 6, 7, 8, 9)
"""The full network: faster and slower all over, then patchy three times."""
LONGEST_OVER_GEL = 20.0
"""Runs are followed for this many gel times: long enough to say by how much a layout is too slow."""
_PATCH_M = 0.5
"""Patches of permeability are about this wide: below the width of a fabric, above a cell."""
_WAVES = 48
_PATCHY_DIGITS = 9
_PATCHY, _COARSE_PATCHY = 3, 2
"""Scenes with patchy permeability on the full network, and the first of them on the coarse one."""
_MORE_PATCHY = 12
"""Of orders that lock air in one laminate of four about three in a hundred are clean in all of these."""
_FEWEST_COARSE_CELLS = 6


@dataclass(frozen=True, kw_only=True)
class Scenes:
    shot: Shot
    all: tuple[Scene, ...]
    resin_clock: ResinClock

    @property
    def viscosity_pa_s(self) -> float:
        """Of the fresh resin, at the first tap."""
        return self.resin_clock.fresh_pa_s

    @property
    def gel_time_s(self) -> float:
        """Age at which the first mix gels."""
        return self.resin_clock.gel_time_s

    @property
    def coarse(self) -> FlowNetwork:
        return self.all[COARSE].network

    @property
    def full(self) -> FlowNetwork:
        return self.all[FULL].network

    @cached_property
    def more_patchy(self) -> tuple[Scene, ...]:
        """As COARSE_SPREADS, otherwise each time; empty where permeability is the same from place to place."""
        shot, coarse = self.shot, self.all[COARSE]
        patchy = shot.process.permeability_patchy_fraction
        if not patchy:
            return ()
        seeds = range(shot.search.seed + _PATCHY, shot.search.seed + _PATCHY + _MORE_PATCHY)
        return tuple(with_permeability(coarse, patchy_field(coarse.network, patchy, seed)) for seed in seeds)

    @cached_property
    def finer_cells(self) -> FinerCells:
        return finer_cells(self.shot, self.full.cell_count, line_layouts(self.full, self.shot.part))

    @cached_property
    def finer(self) -> Scene | None:
        """The scene FULL on cells of half the size, made when it is first asked for; None: it is not played."""
        if not self.finer_cells.played:
            return None
        return replace(self.all[FULL], network=finer_network_of(self.shot))


def viscosity_of(shot: Shot) -> float:
    """When fresh, at the colder of resin and mould: thick is the safe side for wet-out."""
    return fresh_pa_s_at(shot.resin, min(shot.process.mould_temperature_k, shot.process.resin_temperature_k))


def gel_time_of(shot: Shot) -> float:
    """Of the first mix, at the warmer of resin and mould: soon is the safe side for gel."""
    return clock_of_shot(shot).gel_time_s


def limits_of(shot: Shot, gel_time_s: float) -> FillLimits:
    """When a run is given up, and what counts as locked in it."""
    return FillLimits(longest_s=LONGEST_OVER_GEL * gel_time_s, smallest_lock_m2=shot.process.smallest_lock_m2)


def scenes_of(shot: Shot) -> Scenes:
    clock = clock_of_shot(shot)
    full = full_scene_of(shot, full_network_of(shot), clock)
    spreads = spread_scenes_of(shot, full)
    if coarse_cell_m(shot, full.network) == shot.search.cell_m:
        coarse, coarse_spreads = full, spreads[-_PATCHY:][:_COARSE_PATCHY]
    else:
        coarse = replace(full, network=coarse_network_of(shot, full.network))
        coarse_spreads = coarse_spread_scenes_of(shot, coarse)
    unhindered = replace(
        full,
        drive=replace(full.drive, most_flow_m3_s=None, feed_conductance_m3=None),
        crew=Crew(hands=shot.crew.hands, action_s=0.0),
    )
    return Scenes(
        shot=shot,
        all=(coarse, full, unhindered, *coarse_spreads, *spreads),
        resin_clock=clock,
    )


def full_network_of(shot: Shot) -> FlowNetwork:
    return _network(shot, shot.search.cell_m)


def finer_network_of(shot: Shot) -> FlowNetwork:
    """As the full one, with cells of half the size."""
    return _network(shot, shot.search.cell_m / 2)


def coarse_network_of(shot: Shot, full: FlowNetwork) -> FlowNetwork:
    return _network(shot, coarse_cell_m(shot, full))


def full_scene_of(shot: Shot, network: FlowNetwork, clock: ResinClock) -> Scene:
    """The scene FULL on the network of this shot's part, or on a coarser one of it; clock: that of the shot."""
    return Scene(
        network=network,
        drive=Drive(
            supply_pressure_pa=shot.supply.most_pressure_pa - shot.process.vacuum_pa,
            most_flow_m3_s=shot.supply.most_flow_m3_s,
            resin_density_kg_m3=shot.resin.density_kg_m3,
            feed_conductance_m3=shot.supply.hose_conductance_m3,
            trapped_air_pa=shot.process.vacuum_pa,
            compaction_pa=None if network.give is None else shot.process.ambient_pa - shot.process.vacuum_pa,
        ),
        clock=clock.fluidity,
        crew=shot.crew,
    )


def coarse_spread_scenes_of(shot: Shot, coarse: Scene) -> tuple[Scene, ...]:
    """The scenes COARSE_SPREADS, in their order."""
    seed, patchy = shot.search.seed, shot.process.permeability_patchy_fraction
    fields = (patchy_field(coarse.network, patchy, seed + k) for k in range(_COARSE_PATCHY))
    return tuple(with_permeability(coarse, field) for field in fields)


def spread_scenes_of(shot: Shot, full: Scene) -> tuple[Scene, ...]:
    """The scenes SPREADS, in their order."""
    seed, spread = shot.search.seed, shot.process.permeability_spread_fraction
    patchy = shot.process.permeability_patchy_fraction
    even = np.ones(full.network.node_count)
    return (
        *(with_permeability(full, even * factor) for factor in (1 + spread, 1 / (1 + spread))),
        *(with_permeability(full, patchy_field(full.network, patchy, seed + k)) for k in range(_PATCHY)),
    )


def coarse_cell_m(shot: Shot, full: FlowNetwork) -> float:
    """As asked for, but never finer than the full network's cells, nor so coarse that a narrow part has but a few."""
    cells = slice(0, full.cell_count)
    extents = sorted(float(np.ptp(values[cells])) for values in (full.x_m, full.y_m))
    return max(shot.search.cell_m, min(shot.search.coarse_cell_m, extents[0] / _FEWEST_COARSE_CELLS))


def _network(shot: Shot, cell_m: float) -> FlowNetwork:
    return reduce_part(
        shot.part,
        cell_m=cell_m,
        manifold_height_m=shot.supply.height_m,
        manifold_volume_m3=shot.supply.manifold_volume_m3,
    )


def patchy_field(network: FlowNetwork, variation: float, seed: int | tuple[int, ...]) -> FloatArray:
    """A smooth random factor of mean one and the given coefficient of variation, the same on every lattice.

    Lognormal, `factor_of_mean_one` of a `wave_field` whose correlation falls to exp(-1/2) over the patch width.
    Rounded, because the last digits of a cosine depend on the processor and equal inputs are to give equal plans.
    """
    random = np.random.default_rng(seed)
    depth = network.height_m if network.triangles is not None else np.zeros(network.node_count)
    place = np.column_stack([network.x_m, network.y_m, depth])
    wave = random.normal(size=(3, _WAVES)) / _PATCH_M
    phase = random.uniform(0, 2 * np.pi, _WAVES)
    field = wave_field(place, wave, phase)
    return np.asarray(factor_of_mean_one(variation=variation, deviations=field).round(_PATCHY_DIGITS))


def with_permeability(scene: Scene, factor: FloatArray) -> Scene:
    """The scene with the permeability of its sheet times a factor for each node; pipes stay as they are."""
    return replace(scene, network=_with_factor(scene.network, factor))


def _with_factor(network: FlowNetwork, factor: FloatArray) -> FlowNetwork:
    links = network.links
    of_sheet = (links.start < network.sheet_count) | (links.end < network.sheet_count)
    mean = factor_between(factor[links.start], factor[links.end])
    changed = Links(
        start=links.start,
        end=links.end,
        conductance_m3=np.where(of_sheet, links.conductance_m3 * mean, links.conductance_m3),
    )
    vents = tuple(replace(vent, conductance_m3=vent.conductance_m3 * factor[vent.cells]) for vent in network.vents)
    return replace(network, links=changed, vents=vents)
