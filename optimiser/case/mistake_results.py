"""From the single mistakes that were played to what the plan says of them."""

from __future__ import annotations

import numpy as np

from optimiser.case.close_steps import close_steps
from optimiser.case.lock_words import line_and_vent, place_of_lock
from optimiser.case.mistake_words import does, happens, moment_of_gel, named_step, past_stop_time
from optimiser.case.mistakes_document import MistakeResult, Mistakes
from optimiser.filling.fill_run import Lock
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Action, Step
from optimiser.part.shot import Shot
from optimiser.plan.draws_on import DrawsOn, draws_on
from optimiser.plan.harm import Severity
from optimiser.plan.mistakes import LATE_BY_S, MistakeKind
from optimiser.plan.play_mistakes import PlayedMistake, worst_of_each_step
from optimiser.plan.result import PlanResult
from optimiser.units import litres_from_m3, mm_from_m


def mistakes_of(
    shot: Shot, result: PlanResult, *, limit_s: float, slow_s: float, resin_m3: float
) -> Mistakes | None:
    """None where they were not played. slow_s: wet-out in the slow case, as the sheet has it. resin_m3: all that is
    bought for the shot.
    """
    if result.mistakes is None:
        return None
    coarse = result.scenes.coarse
    cell_mm = round(mm_from_m(coarse.cell_size_m))
    worst = {one.mistake for one in worst_of_each_step(result.mistakes.played).values()}
    on_full = sum(one.on_full for one in result.mistakes.played)
    order = {one.index: number for number, one in enumerate(result.chosen.run.steps, start=1)}
    return Mistakes(
        late_by_s=LATE_BY_S,
        coarse_cell_mm=cell_mm,
        coarse_wet_out_s=result.mistakes.base.wet_out_s,
        statement=(
            f"One mistake at a time and nothing done about it, permeabilities as given: {len(result.mistakes.played)} "
            f"runs on a coarse network of {coarse.cell_count} cells of about {cell_mm} mm, {on_full or 'none'} of them "
            "again on the full one. A place smaller than such a cell may be missed."
        ),
        results=[
            _result(
                shot,
                result,
                order,
                one,
                limit_s=limit_s,
                slow_s=slow_s,
                resin_m3=resin_m3,
                worst=one.mistake in worst,
            )
            for one in result.mistakes.played
        ],
        close=close_steps(shot, result.chosen.run.steps, result.mistakes, order),
    )


def _result(
    shot: Shot,
    result: PlanResult,
    order: dict[int, int],
    one: PlayedMistake,
    *,
    limit_s: float,
    slow_s: float,
    resin_m3: float,
    worst: bool,
) -> MistakeResult:
    """order: printed number of each done step, by its place in the sequence."""
    steps, mistake = result.chosen.sequence.steps, one.mistake
    step, other = steps[mistake.step], None if mistake.other is None else steps[mistake.other]
    harm, margin_s = one.harm, limit_s - result.chosen.run.wet_out_s - one.harm.later_s
    age_s = shot.process.age_at_first_tap_s
    on = draws_on_of(result, one, step, resin_m3=resin_m3, age_s=age_s or 0.0)
    stop = past_stop_time(harm.later_s, slow_s=slow_s, limit_s=limit_s, age_counted=age_s is not None)
    all_wet = harm.severity in (Severity.TIME, Severity.TOO_LATE)
    locks = sorted((lock for lock in one.run.locks if lock.fails), key=lambda lock: -lock.pore_m3)
    return MistakeResult(
        step=order[mistake.step],
        label=step.label,
        mistake=mistake.kind.value,
        other_step=None if mistake.other is None else order[mistake.other],
        other_label=None if other is None else other.label,
        network="full" if one.on_full else "coarse",
        nothing_flows=harm.severity is Severity.NOTHING_FLOWS,
        clean=all_wet,
        in_time=all_wet and margin_s >= 0,
        wet_out_later_s=harm.later_s if all_wet else None,
        gel_margin_s=margin_s if all_wet else None,
        locked_litres=litres_from_m3(harm.locked_m3),
        locked_regions=len(locks),
        locked_near=_near(result, one, locks[0]) if locks else None,
        closed_by=list(locks[0].closed_by) if locks else [],
        dry_m2=harm.dry_m2,
        vents_draw_more_litres=litres_from_m3(harm.vents_draw_more_m3 + (0.0 if on is None else on.drawn_m3)),
        resin_runs_out_s=None if on is None else on.runs_out_s,
        may_pass_stop_time=True if all_wet and margin_s >= 0 and stop is not None else None,
        worst_of_step=worst,
        happens=happens(
            mistake.kind,
            step.action,
            named_step(order[mistake.step], step),
            None if mistake.other is None or other is None else named_step(order[mistake.other], other),
        ),
        does=does(
            mistake.kind,
            step,
            harm,
            locks,
            margin_s=margin_s,
            limit_s=limit_s,
            vents_draw_more_kg=harm.vents_draw_more_m3 * shot.resin.density_kg_m3,
            runs_out=float(one.run.history.injected_m3[-1]) > resin_m3,
            on=on,
            density_kg_m3=shot.resin.density_kg_m3,
            stop=stop,
            beside=line_and_vent(_network(result, one), locks[0]) if locks else None,
            gel=moment_of_gel(result.scenes.gel_time_s, age_s),
        ),
    )


def draws_on_of(
    result: PlanResult, one: PlayedMistake, step: Step, *, resin_m3: float, age_s: float
) -> DrawsOn | None:
    """Of a clamp that is late or forgotten; any other vent is clamped by its own step. age_s: at the first tap."""
    if step.action is not Action.CLAMP or one.mistake.kind is MistakeKind.SWAPPED:
        return None
    return draws_on(one.run, resin_m3=resin_m3, gel_s=result.scenes.gel_time_s - age_s)


def _network(result: PlanResult, one: PlayedMistake) -> FlowNetwork:
    """Where it was played."""
    return result.scenes.full if one.on_full else result.scenes.coarse


def _near(result: PlanResult, one: PlayedMistake, lock: Lock) -> str:
    """The zone that most of it lies in, and its middle; zones are those of the full network."""
    network = _network(result, one)
    place = place_of_lock(lock)
    cells = network.cells_of(lock.nodes)
    if len(cells) == 0:
        return place
    full = result.scenes.full
    there = np.hypot(full.x_m[: full.cell_count] - lock.x_m, full.y_m[: full.cell_count] - lock.y_m)
    zone = result.zones.zone_of_cell[int(np.argmin(there))]
    return f"zone {result.zones.names[zone]}, {place}"
