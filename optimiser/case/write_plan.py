"""From what planning found to the plan document."""

from __future__ import annotations

import numpy as np

from optimiser import __version__
from optimiser.case.advice_words import layout_advice
from optimiser.case.coarse_cells import other_coarse_cells
from optimiser.case.conflict_words import conflict_of_plan
from optimiser.case.finer_words import unsettled_wet_out
from optimiser.case.gap_warnings import gap_warnings
from optimiser.case.gel_clock import gel_clock_of, gel_clock_warnings
from optimiser.case.idle_steps import idle_steps
from optimiser.case.late_spread import slow_wet_out_s, spread_warnings, spread_wet_out
from optimiser.case.layout_warnings import layout_warnings
from optimiser.case.leak import leak_of, loose_drop_test
from optimiser.case.line_pressures import far_end_share, line_pressure, starved_lines
from optimiser.case.lock_words import near_lock
from optimiser.case.map_data import map_data
from optimiser.case.mesh_warnings import mesh_warnings
from optimiser.case.mistake_results import mistakes_of
from optimiser.case.plan_document import (
    Conditions,
    Consumption,
    Effort,
    LineResult,
    LockedRegion,
    PlanDocument,
    PlannedStep,
    Verdict,
    ZoneResult,
)
from optimiser.case.planned_mixes import mixes_in_a_rush, planned_mixes, too_large_a_mix
from optimiser.case.proof_words import candidate_of, finite, proof_of
from optimiser.case.quantities import for_the_part_m3, resin_quantities
from optimiser.case.read_case import Case
from optimiser.case.reasons import gel_judgement, reasons
from optimiser.case.resin_document import ResinDocument
from optimiser.case.rule_warnings import rule_warnings
from optimiser.case.rules_in_words import rules_in_words
from optimiser.case.supply_words import supply_words
from optimiser.case.thickness import area_thicknesses, grown_m, swollen_m3, zone_thickness
from optimiser.case.tool_side import tool_sides, trails_s
from optimiser.case.trigger_words import trigger_text
from optimiser.case.vent_results import flooded_vents, never_clamped, vent_results
from optimiser.case.write_robustness import coarse_network_warnings, robustness_result, robustness_warnings
from optimiser.filling.fill_run import FillRun, Lock
from optimiser.filling.tap_play import DueStep, reached_at, standing_at_start
from optimiser.network.line_layout import line_layouts
from optimiser.network.zone_graph import way_to_vent
from optimiser.part.part import FeedLine
from optimiser.part.sequence import Step
from optimiser.part.shot import Shot
from optimiser.physics.trapped_gas import compressed_volume_m3
from optimiser.physics.vacuum import dew_point_k
from optimiser.plan.bled_before import bled_before
from optimiser.plan.result import PlanResult
from optimiser.sequencing.solver_version import SOLVER_VERSION
from optimiser.units import (
    c_from_k,
    kg_min_from_m3_s,
    litres_from_m3,
    m3_from_litres,
    mbar_from_pa,
    min_from_s,
    mm_from_m,
)

_MOST_ROWS = 160
"""Rows of the consumption table: enough for a smooth curve on paper."""


def plan_document(case: Case, result: PlanResult) -> PlanDocument:
    shot, run = case.shot, result.chosen.run
    why_not = reasons(shot, result)
    steps = _steps(shot, result)
    judged = gel_judgement(shot, result)
    layouts = line_layouts(result.scenes.full, shot.part)
    vents = vent_results(shot, result.scenes.full, run)
    leak = leak_of(case.drop_test, shot.process, finite(run.wet_out_s) or result.scenes.gel_time_s)
    robustness = robustness_result(shot, result)
    order: dict[str, int] = {}
    for step in steps:
        order.setdefault(step.label, step.order)
    resin = resin_quantities(
        shot,
        result.scenes.full,
        float(run.vent_drawn_m3.sum()),
        m3_from_litres(sum(vent.in_catch_pot_litres for vent in vents)),
        swollen_m3(result.scenes.full, run),
        bleeds=sum(step.bled_before_litres is not None for step in steps),
    )
    slow_s, bought_m3 = slow_wet_out_s(result, robustness), for_the_part_m3(shot, resin)
    mixes = planned_mixes(shot, run, result.scenes.resin_clock, total_kg=resin.total_kg)
    return PlanDocument(
        tapcall_version=__version__,
        solver_version=SOLVER_VERSION,
        case_name=shot.name,
        case_digest=case.digest,
        seed=shot.search.seed,
        verdict=Verdict.NOT_ADMISSIBLE if why_not else Verdict.VERIFIED,
        reasons=why_not,
        wet_out_s=finite(run.wet_out_s),
        gel_time_s=result.scenes.gel_time_s,
        gel_limit_s=judged.limit_s,
        gel_margin_s=finite(judged.margin_s),
        permeability_spread_percent=100 * shot.process.permeability_spread_fraction,
        permeability_patchy_percent=100 * shot.process.permeability_patchy_fraction,
        spread_wet_out_s=spread_wet_out(result),
        steps=steps,
        locked=[_locked(shot, result, lock) for lock in run.locks],
        lines=[_line(shot, result, index, line) for index, line in enumerate(shot.part.feed_lines)],
        zones=_zones(shot, result),
        tool_side=tool_sides(shot, result.scenes.full, run),
        resin=resin,
        consumption=_consumption(shot, run),
        proof=proof_of(result),
        candidates=[candidate_of(tried) for tried in result.tried],
        conditions=_conditions(case, result),
        rules=list(rules_in_words(case.document.rules)) or None,
        assumptions=list(case.assumptions),
        cut_short=result.cut_short,
        warnings=[
            *_cut_short(shot, result),
            *case.warnings,
            *layout_warnings(shot, result.scenes.full, layouts, result.graph),
            *mesh_warnings(shot, result.scenes.full),
            *idle_steps(steps, finite(run.wet_out_s)),
            *spread_warnings(shot, result, judged.limit_s),
            *gel_clock_warnings(shot, result),
            *loose_drop_test(case.drop_test, shot.process, judged.limit_s),
            *too_large_a_mix(shot, resin),
            *mixes_in_a_rush(shot, mixes),
            *rule_warnings(shot, result, verified=not why_not),
            *_small_locks(run),
            *gap_warnings(shot, result.scenes.full, run),
            *unsettled_wet_out(result),
            *starved_lines(shot, result.scenes.full, run),
            *flooded_vents(vents),
            *never_clamped(shot, result.chosen.sequence, run),
            *robustness_warnings(robustness),
            *other_coarse_cells(case.document.search, result.scenes),
            *coarse_network_warnings(result),
        ],
        map=map_data(shot, result.scenes.full, run, order),
        effort=Effort(
            cells=result.scenes.full.cell_count,
            network_nodes=result.scenes.full.node_count,
            network_links=len(result.scenes.full.links),
            network_runs=result.effort.network_runs,
            front_steps=result.effort.front_steps,
            linear_solves=result.effort.solves,
        ),
        vents=vents,
        mixes=mixes,
        thickness=area_thicknesses(shot, result.scenes.full, run),
        leak=leak,
        gel_clock=gel_clock_of(shot, result),
        robustness=robustness,
        advice=layout_advice(result.layout, layouts),
        conflict=conflict_of_plan(case, result),
        mistakes=mistakes_of(shot, result, limit_s=judged.limit_s, slow_s=slow_s, resin_m3=bought_m3),
    )


# ---- steps -------------------------------------------------------------------------------------------------


def _steps(shot: Shot, result: PlanResult) -> list[PlannedStep]:
    """Done steps by their time, then those that the run never came to."""
    run, sequence = result.chosen.run, result.chosen.sequence
    done = {one.index: one for one in run.steps}
    rest = [index for index in range(len(sequence.steps)) if index not in done]
    order = [one.index for one in run.steps] + rest
    return [
        _step(shot, result, number, sequence.steps[index], index, done.get(index))
        for number, index in enumerate(order, start=1)
    ]


def _step(shot: Shot, result: PlanResult, number: int, step: Step, index: int, done: DueStep | None) -> PlannedStep:
    run, density = result.chosen.run, shot.resin.density_kg_m3
    lines = {line.label: line.line for line in shot.part.feed_lines}
    times = [one.done_s for other in result.chosen.spread_runs for one in other.steps if one.index == index]
    whole = done is not None and len(times) == len(result.chosen.spread_runs)
    return PlannedStep(
        order=number,
        label=step.label,
        line=f"line {lines[step.label]}" if step.label in lines else f"vent {step.label}",
        kind="line" if step.label in lines else "vent",
        action=step.action.value,
        trigger=trigger_text(step, result.scenes.full, run, called=done, crew=shot.crew, density_kg_m3=density),
        expected_at_s=None if done is None else done.done_s,
        earliest_s=min([*times, done.done_s]) if whole and done else None,
        latest_s=max([*times, done.done_s]) if whole and done else None,
        flow_kg_per_min=None if done is None else _flow_after(run, done.done_s, density),
        drawn_kg=None if done is None else _drawn_at(run, done.done_s, density),
        bled_before_litres=litres_from_m3(shot.supply.manifold_volume_m3) if bled_before(shot, step) else None,
        turned_at=None if (place := shot.crew.place_of(step.label)) is None else shot.crew.places[place].name,
        person=None if done is None or done.person is None else done.person + 1,
    )


def _flow_after(run: FillRun, time_s: float, density_kg_m3: float) -> float:
    after = min(int(np.searchsorted(run.history.time_s, time_s + 1e-6)), len(run.history.time_s) - 1)
    return kg_min_from_m3_s(float(run.history.flow_m3_s[after]), density_kg_m3)


def _drawn_at(run: FillRun, time_s: float, density_kg_m3: float) -> float:
    return float(np.interp(time_s, run.history.time_s, run.history.injected_m3)) * density_kg_m3


# ---- what happens on the part ------------------------------------------------------------------------------


def _locked(shot: Shot, result: PlanResult, lock: Lock) -> LockedRegion:
    return LockedRegion(
        at_s=lock.at_s,
        near=near_lock(result.scenes.full, result.zones, lock),
        x_mm=mm_from_m(lock.x_m),
        y_mm=mm_from_m(lock.y_m),
        area_cm2=lock.area_m2 * 1e4,
        pore_litres=litres_from_m3(lock.pore_m3),
        left_after_compression_litres=litres_from_m3(
            compressed_volume_m3(
                volume_m3=lock.pore_m3,
                trapped_at_pa=shot.process.vacuum_pa,
                pressed_to_pa=shot.supply.most_pressure_pa,
            )
        ),
        closed_by=list(lock.closed_by),
        fails=lock.fails,
        surroundings_mbar_abs=mbar_from_pa(shot.process.vacuum_pa + lock.pressed_by_pa),
        left_at_end_litres=litres_from_m3(
            compressed_volume_m3(
                volume_m3=lock.pore_m3,
                trapped_at_pa=shot.process.vacuum_pa,
                pressed_to_pa=shot.process.vacuum_pa + lock.pressed_by_pa,
            )
        ),
    )


def _line(shot: Shot, result: PlanResult, index: int, line: FeedLine) -> LineResult:
    run, network = result.chosen.run, result.scenes.full
    opened = [one.done_s for one in run.steps if one.step.label == line.label]
    return LineResult(
        label=line.label,
        line=line.line,
        length_mm=mm_from_m(float(network.lines[index].node_length_m.sum())),
        bore_mm=mm_from_m(line.bore_m),
        hose_mm=mm_from_m(line.hose_length_m),
        use=line.use.value,
        opened_at_s=min(opened, default=None),
        far_end_share=far_end_share(shot, network, run, index),
        pressure=line_pressure(shot, run, index, min(opened, default=None)),
        reached_at_s=finite(reached_at(network, line.label, 1.0, run.arrival_s)),
        drawn_kg=max(0.0, float(run.history.line_drawn_m3[-1, index])) * shot.resin.density_kg_m3,
    )


def _zones(shot: Shot, result: PlanResult) -> list[ZoneResult]:
    run, network, zones = result.chosen.run, result.scenes.full, result.zones
    cells, grown = network.cell_count, grown_m(network, run)
    touched = np.full(zones.count, np.inf)
    wet = np.full(zones.count, -np.inf)
    np.minimum.at(touched, zones.zone_of_cell, run.first_touch_s[:cells])
    np.maximum.at(wet, zones.zone_of_cell, network.latest(run.arrival_s))
    wet_s = dict(enumerate(wet.tolist()))
    out = []
    for zone, data in sorted(result.graph.nodes(data=True)):
        sources = run.source[:cells][(zones.zone_of_cell == zone) & (run.source[:cells] >= 0)]
        path, vent = way_to_vent(result.graph, wet_s, zone)
        inside = np.flatnonzero(zones.zone_of_cell == zone)
        thick = zone_thickness(shot, network, grown, inside)
        out.append(
            ZoneResult(
                name=data["name"],
                laminate=shot.part.areas[data["area_index"]].laminate.name,
                area_m2=data["area_m2"],
                arrival_s=finite(float(touched[zone])),
                wet_s=finite(wet_s[zone]),
                fed_by=network.lines[int(np.bincount(sources).argmax())].label if len(sources) else None,
                vent=vent,
                path=[zones.names[k] for k in path],
                tool_side_trails_s=trails_s(shot, network, run, inside),
                thickness_mm=None if thick is None else thick.mm,
                fibre_volume_percent=None if thick is None else thick.fibre_volume_percent,
            )
        )
    return out


def _consumption(shot: Shot, run: FillRun) -> Consumption:
    history, density = run.history, shot.resin.density_kg_m3
    count = len(history.time_s)
    rows = np.unique(np.linspace(0, count - 1, min(count, _MOST_ROWS)).round().astype(int))
    return Consumption(
        time_s=_rounded(history.time_s[rows], 1),
        drawn_kg=_rounded(history.injected_m3[rows] * density, 4),
        flow_kg_per_min=_rounded(history.flow_m3_s[rows] * 60 * density, 4),
        manifold_mbar_abs=_rounded(
            mbar_from_pa(1) * (np.maximum(history.manifold_pressure_pa[rows], 0.0) + shot.process.vacuum_pa), 1
        ),
        wet_share=_rounded(history.wet_share[rows], 5),
    )


def _rounded(values: np.ndarray, digits: int) -> list[float]:
    return [float(value) for value in np.round(values, digits)]


# ---- what it holds for -------------------------------------------------------------------------------------


def _taken_from(resin: ResinDocument) -> list[str]:
    said = resin.taken_from
    return [] if said is None else [each for each in (said.gel_times, said.viscosities) if each is not None]


def _conditions(case: Case, result: PlanResult) -> Conditions:
    shot = case.shot
    resin, process, supply = shot.resin, shot.process, shot.supply
    room_k = process.mould_temperature_k
    drop = case.drop_test
    return Conditions(
        resin=resin.name,
        batch=resin.batch,
        resin_taken_from=_taken_from(case.document.resin),
        resin_density_kg_per_m3=resin.density_kg_m3,
        viscosity_mpa_s=result.scenes.viscosity_pa_s * 1e3,
        mould_temperature_c=c_from_k(process.mould_temperature_k),
        resin_temperature_c=c_from_k(process.resin_temperature_k),
        initiator_percent=100 * resin.initiator_fraction,
        initiator_range_percent=(100 * resin.initiator_least_fraction, 100 * resin.initiator_most_fraction),
        gel_time_s=result.scenes.gel_time_s,
        gel_fraction=process.gel_fraction,
        ambient_mbar_abs=mbar_from_pa(process.ambient_pa),
        vacuum_mbar_abs=mbar_from_pa(process.vacuum_pa),
        humidity_percent=100 * process.room_humidity_fraction,
        dew_point_c=c_from_k(
            dew_point_k(temperature_k=room_k, humidity_fraction=max(process.room_humidity_fraction, 0.01))
        ),
        supply=supply_words(supply),
        flow_cap_kg_per_min=None
        if supply.most_flow_m3_s is None
        else kg_min_from_m3_s(supply.most_flow_m3_s, resin.density_kg_m3),
        pressure_cap_mbar_abs=mbar_from_pa(supply.most_pressure_pa),
        mix_kg=supply.mix_kg,
        hands=shot.crew.hands,
        seconds_per_action=shot.crew.action_s,
        drop_test_most_mbar=None if drop is None else mbar_from_pa(drop.most_rise_pa),
        drop_test_min=None if drop is None else min_from_s(drop.duration_s),
        standing_at=[
            shot.crew.places[place].name
            for place in standing_at_start(shot.crew, result.chosen.sequence)
            if place is not None
        ],
    )


def _cut_short(shot: Shot, result: PlanResult) -> list[str]:
    if result.cut_short is None:
        return []
    said = (
        f"{result.cut_short}: this is the best sequence until then, not what a whole search would find, and what there "
        "was no time for is left out"
    )
    if shot.scatter is not None and result.robustness is None:
        said += f", also the {shot.scatter.scenarios} variations asked for: nothing is known of how robust it is"
    return [said]


def _small_locks(run: FillRun) -> list[str]:
    small = [lock for lock in run.locks if not lock.fails]
    if not small:
        return []
    area = sum(lock.area_m2 for lock in small) * 1e4
    return [
        f"{len(small)} spot{'s' if len(small) > 1 else ''} below the smallest area that matters "
        f"close{'' if len(small) > 1 else 's'} in air, {area:.0f} cm² in all"
    ]
