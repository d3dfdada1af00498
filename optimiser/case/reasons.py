"""Why a plan is not admissible: which requirement fails, where, and by how much."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from optimiser.case.gap_warnings import air_in_joints
from optimiser.case.layout_warnings import above_lowest_m, over_the_air_pa
from optimiser.case.lock_remedy import remedy_of
from optimiser.case.lock_words import near_lock, place_of_lock
from optimiser.case.plan_document import Reason
from optimiser.case.planned_mixes import mixes_too_old
from optimiser.case.printed_minutes import minutes_down, minutes_up
from optimiser.case.vent_results import pots_overflow, vent_results, vents_choke
from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FloatArray, FlowNetwork
from optimiser.network.least_climb import least_climb_m
from optimiser.network.zones import Zones, carried_over
from optimiser.part.sequence import Action, Sequence, TriggerKind
from optimiser.part.shot import GelRule, Shot
from optimiser.physics.darcy import highest_rise_m
from optimiser.plan.gel_judgement import GelJudgement, judge_gel
from optimiser.plan.in_time import manifold_fill_s
from optimiser.plan.line_arrivals import supplied_s
from optimiser.plan.resin_clock import ResinClock
from optimiser.plan.result import PlanResult
from optimiser.plan.rules_of_taps import Broken, TapRule, broken_rules
from optimiser.plan.shop_rules import against_order, starts_as_given
from optimiser.units import c_from_k, litres_from_m3, mbar_from_pa, min_from_s

_MOST_OVER_THE_AIR_PA = 10e3
"""Of a supply above the part: about a metre of resin. A safety rule of this program."""
_STIFF = 20.0
"""Times as thick as fresh: thicker resin is what a front comes to rest by. Our choice."""
IN_SPREAD = " with the stated spread of permeability"
ON_FINER = " on cells of half the size"


def reasons(shot: Shot, result: PlanResult) -> list[Reason]:
    """All that is not met, lateness last; empty when the plan holds."""
    sequence, run = result.chosen.sequence, result.chosen.run
    on_full = (result.scenes.full, result.zones)
    found = [*against_the_rules(shot, sequence, run), *locked(run, "", on_full)]
    if not any(lock.fails for lock in run.locks):
        for spread_run in result.chosen.spread_runs:
            if any(lock.fails for lock in spread_run.locks):
                found += locked(spread_run, IN_SPREAD, on_full)
                break
    if not list(broken_rules(shot, sequence, run)):
        in_spread = [one for other in result.chosen.spread_runs for one in broken_in_spread(shot, sequence, other)]
        found += {one.requirement: one for one in reversed(in_spread)}.values()
    finer, finer_run = result.scenes.finer, result.chosen.finer_run
    if finer is not None and finer_run is not None:
        zones = carried_over(result.zones, result.scenes.full, finer.network)
        found += failing_on_finer(shot, sequence, finer.network, finer_run, zones)
    found += mixes_too_old(shot, run, result.scenes.resin_clock)
    found += _lifts_the_bag(shot)
    vents = vent_results(shot, result.scenes.full, run)
    found += [*pots_overflow(vents), *vents_choke(shot, vents), *air_in_joints(shot, result.scenes.full, run)]
    if not math.isfinite(run.wet_out_s):
        found.append(_never_wet(shot, result, run))
    else:
        judged = gel_judgement(shot, result)
        found += _full_too_late(shot, judged)
        if judged.margin_s < 0:
            by_oldest = shot.process.gel_rule is GelRule.OLDEST_RESIN
            found.append(_too_late(shot, result) if by_oldest else _too_old(shot, result, judged))
        elif finer is not None and finer_run is not None:
            found += late_on_finer(shot, result.scenes.resin_clock, finer.network, finer_run)
    return found


def against_the_rules(shot: Shot, sequence: Sequence, run: FillRun) -> list[Reason]:
    """What the shop asked for and this sequence does not keep."""
    found = []
    if not starts_as_given(shot, sequence):
        found.append(
            Reason(
                requirement=f"{_all_names(shot.rules.start_labels)} and no other line open at the start",
                where="at the start",
                by_how_much=f"{_all_names(sequence.start_labels())} open at the start",
                remedy="open the given lines at the start, or take the rule out of the case",
            )
        )
    wrong = against_order(shot, run)
    if wrong is not None:
        found.append(
            Reason(
                requirement=f"taps open in the order {', '.join(shot.rules.order)}",
                where=f"{wrong.first} and {wrong.second}",
                by_how_much=f"{wrong.second} opens {wrong.early_s:.0f} s before {wrong.first}",
                remedy="start from another line, or ask for an order in which resin comes to the lines",
            )
        )
    return found + [_reason_of(one, "") for one in broken_rules(shot, sequence, run)]


def broken_in_spread(shot: Shot, sequence: Sequence, run: FillRun) -> list[Reason]:
    """Rules of pairs, groups, latest times and required lines that a run with the spread does not keep."""
    return [_reason_of(broken, IN_SPREAD) for broken in broken_rules(shot, sequence, run)]


def failing_on_finer(
    shot: Shot, sequence: Sequence, network: FlowNetwork, run: FillRun, zones: Zones | None = None
) -> list[Reason]:
    """What a run on cells of half the size does not meet, lateness aside; zones: on its network, to be named."""
    found = locked(run, ON_FINER, None if zones is None else (network, zones))
    found += [_reason_of(broken, ON_FINER) for broken in broken_rules(shot, sequence, run)]
    if not math.isfinite(run.wet_out_s):
        dry = ~np.isfinite(network.latest(run.arrival_s))
        area_m2 = network.area_m2[: network.cell_count][dry].sum()
        found.append(
            Reason(
                requirement=f"all of the part must be wet{ON_FINER}",
                where=_at(network, int(np.argmax(dry))),
                by_how_much=f"{area_m2:.2f} m2 stay dry",
                remedy="bring a feed line nearer to it",
            )
        )
    return found


def late_on_finer(shot: Shot, clock: ResinClock, network: FlowNetwork, run: FillRun) -> list[Reason]:
    """Of a run on cells of half the size that gets all wet."""
    judged = judge_gel(shot, clock, network, run)
    if judged.margin_s >= 0 or not math.isfinite(run.wet_out_s):
        return []
    return [
        Reason(
            requirement=f"each place is wet within {shot.process.gel_fraction:.0%} of the gel time{ON_FINER}",
            where=_at(network, int(network.cell_of_node[judged.node])),
            by_how_much=f"{-judged.margin_s:.0f} s too late",
            remedy="feed lines closer together, or a longer gel time at the same viscosity",
        )
    ]


def _reason_of(broken: Broken, when: str) -> Reason:
    names = " and ".join(broken.labels)
    match broken.rule:
        case TapRule.AT_ONCE:
            return Reason(
                requirement=f"{names} are never open at the same time{when}",
                where=names,
                by_how_much=f"both are open for {broken.by_s:.0f} s",
                remedy=f"close {broken.labels[0]} before {broken.labels[1]} opens, or leave one of them shut",
            )
        case TapRule.TOGETHER:
            apart = f"{broken.by_s:.0f} s lie between them" if math.isfinite(broken.by_s) else "not all of them open"
            return Reason(
                requirement=f"{names} open together, within {broken.allowed_s:.0f} s{when}",
                where=names,
                by_how_much=apart,
                remedy="let one trigger call for all of them, or take the rule out of the case",
            )
        case TapRule.REQUIRED:
            return Reason(
                requirement=f"every required line opens{when}",
                where=_all_names(broken.labels),
                by_how_much=f"{len(broken.labels)} required line{'s' if len(broken.labels) > 1 else ''} left shut",
                remedy="open it, and before all is wet, or make it a candidate in the case",
            )
        case _:
            return Reason(
                requirement=f"{names} has been opened by minute {min_from_s(broken.allowed_s):.1f}{when}",
                where=names,
                by_how_much=f"opened {broken.by_s:.0f} s later" if math.isfinite(broken.by_s) else "it stays shut",
                remedy="open it by the clock, start from a line nearer to it, or ask for a later time",
            )


def gel_judgement(shot: Shot, result: PlanResult) -> GelJudgement:
    """Of the chosen sequence, as planned."""
    return judge_gel(shot, result.scenes.resin_clock, result.scenes.full, result.chosen.run)


def locked(run: FillRun, when: str, on: tuple[FlowNetwork, Zones] | None = None) -> list[Reason]:
    """One reason for all the regions of a run that were cut off from their vents; none if there are none.

    on: names the zone too; the network of the run, and its zones.
    """
    locks = [lock for lock in run.locks if lock.fails]
    if not locks:
        return []
    worst = max(locks, key=lambda lock: lock.pore_m3)
    litres = litres_from_m3(sum(lock.pore_m3 for lock in locks))
    return [
        Reason(
            requirement=f"no region may be cut off from its vent{when}",
            where=f"{place_of_lock(worst) if on is None else near_lock(*on, worst)}, "
            f"closed by {_names(worst.closed_by)} at minute {min_from_s(worst.at_s):.1f}",
            by_how_much=f"{litres:.2g} litres locked in {len(locks)} place{'s' if len(locks) > 1 else ''}",
            remedy=remedy_of(run, locks, None if on is None else on[0]),
        )
    ]


def _full_too_late(shot: Shot, judged: GelJudgement) -> Iterator[Reason]:
    """A machine fills hose and manifold before the first tap, at its cap, with resin whose clock runs."""
    fill_s = manifold_fill_s(shot)
    ready_s = max(judged.margin_s, 0.0) + (shot.process.age_at_first_tap_s or 0.0)
    if fill_s > ready_s:
        yield Reason(
            requirement="supply hose and manifold are full before the latest first tap",
            where="the manifold",
            by_how_much=f"{minutes_up(fill_s)} min at the flow cap, {minutes_down(ready_s)} min until then",
            remedy="is its volume in litres? Else a smaller manifold, a higher flow cap or a slower resin",
        )


def _lifts_the_bag(shot: Shot) -> Iterator[Reason]:
    """A little a shop sets right by lowering the container in time, and is warned of; a column of resin is none."""
    over_pa = over_the_air_pa(shot)
    if over_pa > _MOST_OVER_THE_AIR_PA:
        yield Reason(
            requirement="resin nowhere presses much harder than the air, which would lift the bag",
            where=f"at the lowest place of the part, {above_lowest_m(shot):.2f} m below the supply",
            by_how_much=f"{mbar_from_pa(over_pa):.0f} mbar more, once resin stands still",
            remedy="set the supply lower, or lower the pressure cap",
        )


def _never_wet(shot: Shot, result: PlanResult, run: FillRun) -> Reason:
    network = result.scenes.full
    dry = ~np.isfinite(network.latest(run.arrival_s))
    zones = np.bincount(result.zones.zone_of_cell[dry], minlength=result.zones.count)
    area_m2 = float(network.area_m2[: len(dry)][dry].sum())
    if run.stalled and _all_shut(run):
        why, remedy = "the front comes to rest: every tap has been closed", "close no tap while what it feeds is dry"
    elif not run.stalled:
        why = "it was followed for twenty gel times"
        remedy = "look first whether hoses, cap and viscosity are as laid in, else bring a feed line nearer to it"
    elif (too_high := _too_high(shot, least_climb_m(network)[: len(dry)][dry])) is not None:
        why, remedy = too_high, "set the supply higher, never so high that resin presses harder than the air"
    elif (times := _times_as_thick(result.scenes.resin_clock, run.end_s)) > _STIFF:
        why = f"the front comes to rest: the resin is {times:.0f} times as thick by then"
        remedy = "a resin that stays thin for longer, or feed lines closer together"
    else:
        why = "the front comes to rest: no open line feeds it, or hoses, pressure or laminate hardly let it pass"
        remedy = "look first whether hoses and pressures are as laid in, else bring a feed line nearer to it"
    return Reason(
        requirement="all of the part must be wet",
        where=f"zone {result.zones.names[int(np.argmax(zones))]}",
        by_how_much=f"{area_m2:.2f} m2 stay dry; {why}",
        remedy=remedy,
    )


def _times_as_thick(clock: ResinClock, time_s: float) -> float:
    return clock.viscosity_at(time_s) / clock.fresh_pa_s


def _all_shut(run: FillRun) -> bool:
    last = {one.step.label: one.step.action for one in run.steps}
    return Action.OPEN not in last.values() and Action.CLOSE in last.values()


def _too_high(shot: Shot, climbs_m: FloatArray) -> str | None:
    """Why resin cannot reach the dry places, of each the height that any way there must climb.

    None where half of them or more lie within reach of the supply.
    """
    supply = shot.supply
    lifts_m = highest_rise_m(
        density_kg_m3=shot.resin.density_kg_m3,
        pressure_difference_pa=supply.most_pressure_pa - shot.process.vacuum_pa,
    )
    rises_m = climbs_m - supply.height_m
    if float(np.median(rises_m)) < lifts_m:
        return None
    return (
        f"resin cannot reach it: the pressure lifts it {lifts_m:.2f} m above the supply, and any way to the dry places "
        f"climbs {rises_m.min():.2f} to {rises_m.max():.2f} m above it"
    )


def _too_late(shot: Shot, result: PlanResult) -> Reason:
    run, clock = result.chosen.run, result.scenes.resin_clock
    limit = clock.limit_s(shot.process.gel_fraction)
    cells = result.scenes.full.latest(run.arrival_s)
    last = int(np.argmax(np.where(np.isinf(cells), 0.0, cells)))  # what a lock keeps dry is told of as locked
    runs = (run, result.chosen.finer_run)
    latest_s = max(one.wet_out_s for one in runs if one is not None and math.isfinite(one.wet_out_s))
    remedy = "feed lines closer together (time goes with the square of the run)"
    known = clock.table_reaches(latest_s) and clock.law_reaches(latest_s)
    if known:
        needed_gel_s = (latest_s + clock.age_at_first_tap_s) / shot.process.gel_fraction
        remedy += f", or a gel time of at least {math.ceil(min_from_s(needed_gel_s))} min at the same viscosity"
    if known and not run.capped:
        now = clock.fresh_pa_s * 1e3
        later = sum(step.trigger.kind is not TriggerKind.START for step in result.chosen.sequence.steps)
        hands_s = min(later * shot.crew.action_s, 0.5 * limit)  # which no thinner resin makes quicker
        most = clock.fresh_pa_s * _share_done(clock, limit - hands_s, latest_s - hands_s) * 1e3
        remedy += f", or a viscosity of at most {math.floor(most)} mPa s with the same gel time (it is {now:.0f})"
    supplied = supplied_s(shot, result.scenes.full)
    if supplied > limit:
        remedy += (
            f"; no order can do it: the flow cap fills the part at minute {minutes_up(supplied)} at the soonest, "
            "so it must be higher"
        )
    elif result.bound_s is not None and result.bound_s > limit:
        remedy += (
            f"; with the lines as they lie no order can do it: even all at once, the last place is wet at minute "
            f"{minutes_up(result.bound_s)}, so lines must lie closer"
        )
    temperature = c_from_k(max(shot.process.mould_temperature_k, shot.process.resin_temperature_k))
    return Reason(
        requirement=f"wet-out within {shot.process.gel_fraction:.0%} of the gel time",
        where=f"the last place to be wet: {place_of(result, last)}",
        by_how_much=f"wet at minute {minutes_up(run.wet_out_s)}, limit minute {minutes_down(limit)} "
        f"(gel {minutes_down(result.scenes.gel_time_s)} min at {temperature:.0f} degrees C{_less_age(clock)})"
        + ("" if known else "; later than the resin's thickening is known, and later still as it goes on"),
        remedy=remedy,
    )


def _less_age(clock: ResinClock) -> str:
    age_min = min_from_s(clock.age_at_first_tap_s)
    return f", of which {age_min:.0f} min are gone at the first tap" if age_min > 0 else ""


def _too_old(shot: Shot, result: PlanResult, judged: GelJudgement) -> Reason:
    return Reason(
        requirement=f"each place is wet within {shot.process.gel_fraction:.0%} of the gel time of its resin",
        where=place_of(result, int(result.scenes.full.cell_of_node[judged.node])),
        by_how_much=f"resin {minutes_up(judged.age_s)} min old when it is wet, "
        f"limit {minutes_down(judged.age_limit_s)} min",
        remedy="feed lines closer together, a line opened ahead of the front where that locks no air in, or a longer "
        "gel time",
    )


def place_of(result: PlanResult, cell: int) -> str:
    """In words."""
    return f"{_at(result.scenes.full, cell)}, zone {result.zones.names[int(result.zones.zone_of_cell[cell])]}"


def _at(network: FlowNetwork, cell: int) -> str:
    return f"x {network.x_m[cell]:.2f} m, y {network.y_m[cell]:.2f} m"


def _share_done(clock: ResinClock, limit_s: float, wet_out_s: float) -> float:
    """Of the fill, by fluidity time, when the limit comes."""
    fluidity = clock.fluidity
    if fluidity.constant:
        return limit_s / wet_out_s
    return fluidity.theta(max(limit_s, 0.0)) / fluidity.theta(wet_out_s)


def _all_names(labels: tuple[str, ...]) -> str:
    return ", ".join(labels) if labels else "no line"


def _names(labels: tuple[str, ...]) -> str:
    return " and ".join(labels[:2]) if labels else "resin"
