"""From what the variations found to their block of the plan."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from statistics import fmean

import numpy as np

from optimiser.case.compared_words import compared_words, gave_up_s
from optimiser.case.proof_words import finite, only_checked
from optimiser.case.robustness_document import (
    BrokenRule,
    ComparedSequence,
    LockedPlaceResult,
    RobustnessResult,
    VariedQuantity,
    VariedStep,
    ZoneLocks,
)
from optimiser.case.varied_words import quantity_name, quantity_spread, stays_clean_often, varied_parts
from optimiser.part.shot import Shot
from optimiser.plan.play_scatter import LockedPlace, ShotOutcome
from optimiser.plan.result import Compared, PlanResult, Robustness
from optimiser.scatter.chance import CONFIDENCE, ChanceFound, chance_of
from optimiser.scatter.drivers import Driver, rank_drivers
from optimiser.scatter.quantiles import quantiles_of
from optimiser.units import mm_from_m

_FAR_OFF = 0.1
"""The two networks' times for one order differ by less than this share where cells show what the layout has; our
choice, no source."""
Quantiles = tuple[float | None, float | None, float | None]


def robustness_result(shot: Shot, result: PlanResult) -> RobustnessResult | None:
    """None: no variations were asked for."""
    found = result.robustness
    if found is None:
        return None
    chosen, count = found.chosen, len(found.variations.scenarios)
    chance = chance_of(chosen.clean, count)
    outcomes = Counter(one.outcome for one in chosen.played)
    wet_out = _quantiles([one.wet_out_s for one in chosen.played])
    drivers, patchy_percent = [_driver(one) for one in _drivers(found)], 100 * shot.process.permeability_patchy_fraction
    varied = varied_parts([one.name for one in drivers], patchy_percent=patchy_percent)
    return RobustnessResult(
        statement=_statement(result, found, chance, varied),
        variations=count,
        clean=chosen.clean,
        clean_percent=100 * chance.share,
        clean_low_percent=100 * chance.low,
        clean_high_percent=100 * chance.high,
        confidence_percent=100 * CONFIDENCE,
        interval="Clopper-Pearson",
        sampling="Latin hypercube",
        network_cells=result.scenes.coarse.cell_count,
        locked=outcomes[ShotOutcome.LOCKED],
        never_wet=outcomes[ShotOutcome.NEVER_WET],
        out_of_order=outcomes[ShotOutcome.OUT_OF_ORDER],
        broken_rules=_broken_rules(chosen) or None,
        late=outcomes[ShotOutcome.LATE],
        wet_out_p05_s=wet_out[0],
        wet_out_p50_s=wet_out[1],
        wet_out_p95_s=wet_out[2],
        as_planned_wet_out_s=finite(result.proof.played_s),
        least_gel_margin_s=finite(min(one.gel_limit_s - one.wet_out_s for one in chosen.played)),
        drivers=drivers,
        patchy_percent=patchy_percent,
        locked_zones=_zones(found),
        locked_places=_places(found),
        steps=_steps(chosen),
        compared=[_compared(one, chosen) for one in found.compared],
        gave_up_s=finite(gave_up_s(found)) or 0.0,
    )


def robustness_warnings(found: RobustnessResult | None) -> list[str]:
    """Where the plan holds as stated and fails in too many variations."""
    if found is None or stays_clean_often(found):
        return []
    return [
        f"in {found.variations - found.clean} of {found.variations} played variations of the day it does not stay "
        f"clean ({_failures(found)})"
    ]


def coarse_network_warnings(result: PlanResult) -> list[str]:
    """Where the network on which variations are played is not the one that the plan was verified on."""
    coarse_s, full_s = finite(result.proof.played_s), finite(result.chosen.run.wet_out_s)
    if result.robustness is None or coarse_s is None or full_s is None:
        return []
    off, scenes = coarse_s / full_s - 1, result.scenes
    if abs(off) <= _FAR_OFF:
        return []
    cell_mm, full_mm = mm_from_m(scenes.coarse.cell_size_m), mm_from_m(scenes.full.cell_size_m)
    return [
        f"variations are played on cells of {cell_mm:.0f} mm, where this order is wet {abs(off):.0%} "
        f"{'later' if off > 0 else 'sooner'} than on the network that it is verified on: what is narrower than a cell "
        "is not seen as it is. Trust their count only once the planner has played them on smaller cells, at best of "
        f"{full_mm:.0f} mm; the times on the sheet allow for the difference"
    ]


def _statement(result: PlanResult, found: Robustness, chance: ChanceFound, varied: str) -> str:
    chosen, count, cells = found.chosen, len(found.variations.scenarios), result.scenes.coarse.cell_count
    outcome = f"{chosen.clean} stayed clean and in time, on the network of {cells} cells"
    said = (
        f"In {count} played variations of {varied} {outcome}; by their number alone that is a chance between "
        f"{_floor(chance.low)} and {_ceil(chance.high)} %."
        if varied
        else f"The case varies nothing, so that {count} variations are {count} times the same run: {outcome}; they say "
        "nothing of any other day."
    )
    compared = "" if only_checked(result) or not result.chosen.holds else f" {compared_words(found)}"
    return f"{said}{compared}"


def _failures(found: RobustnessResult) -> str:
    against = "; ".join(f"{one.variations} times it {one.rule}" for one in found.broken_rules or ())
    counts = (
        (found.locked, "locked"),
        (found.never_wet, "never all wet"),
        (found.out_of_order, f"out of order: {against}" if against else "out of order"),
        (found.late, "too late"),
    )
    return ", ".join(f"{count} {word}" for count, word in counts if count)


def _broken_rules(chosen: Compared) -> list[BrokenRule]:
    counts = Counter(one.broken for one in chosen.played if one.broken)
    return [BrokenRule(rule=rule, variations=count) for rule, count in counts.most_common()]


def _drivers(found: Robustness) -> tuple[Driver, ...]:
    scenarios, played = found.variations.scenarios, found.chosen.played
    return rank_drivers(
        scenarios[0].factors,
        np.array([one.values for one in scenarios]).reshape(len(scenarios), -1),
        np.array([one.outcome is not ShotOutcome.CLEAN for one in played]),
        np.array([one.wet_out_s for one in played]),
    )


def _driver(driver: Driver) -> VariedQuantity:
    return VariedQuantity(
        name=quantity_name(driver.factor),
        spread=quantity_spread(driver.factor),
        failed_when_low_percent=100 * driver.failed_when_low,
        failed_when_high_percent=100 * driver.failed_when_high,
        by_chance_percent=100 * min(driver.by_chance, 1.0),
        wet_out_rank_correlation_percent=None if driver.with_wet_out is None else 100 * driver.with_wet_out,
    )


def _zones(found: Robustness) -> list[ZoneLocks]:
    places: defaultdict[int, list[LockedPlace]] = defaultdict(list)
    counts: Counter[int] = Counter()
    for one in found.chosen.played:
        counts.update({place.zone for place in one.locked})
        for place in one.locked:
            places[place.zone].append(place)
    return [
        ZoneLocks(
            zone=found.variations.zones.names[zone],
            variations=count,
            locked_percent=100 * count / len(found.chosen.played),
            x_mm=round(mm_from_m(fmean(place.x_m for place in places[zone])), 1),
            y_mm=round(mm_from_m(fmean(place.y_m for place in places[zone])), 1),
        )
        for zone, count in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))
    ]


def _places(found: Robustness) -> list[LockedPlaceResult]:
    return [
        LockedPlaceResult(
            variation=number,
            zone=found.variations.zones.names[place.zone],
            x_mm=round(mm_from_m(place.x_m), 1),
            y_mm=round(mm_from_m(place.y_m), 1),
        )
        for number, one in enumerate(found.chosen.played, start=1)
        for place in one.locked
    ]


def _steps(chosen: Compared) -> list[VariedStep]:
    """In the order of the plan: that of the run on the full network, then steps it never came to."""
    sequence, run = chosen.sequence.sequence, chosen.sequence.run
    done = [one.index for one in run.steps]
    order = done + [index for index in range(len(sequence.steps)) if index not in done]
    out = []
    for number, index in enumerate(order, start=1):
        times = [one.done_s[index] for one in chosen.played]
        p05, p50, p95 = _quantiles(times)
        came = sum(math.isfinite(time) for time in times)
        out.append(
            VariedStep(
                order=number, label=sequence.steps[index].label, came=came, p05_s=p05, p50_s=p50, p95_s=p95
            )
        )
    return out


def _compared(one: Compared, chosen: Compared) -> ComparedSequence:
    return ComparedSequence(
        name=one.sequence.name,
        wet_out_s=finite(one.sequence.run.wet_out_s),
        clean=one.clean,
        chosen=one is chosen,
        given_up_after=len(one.played) if one.given_up else None,
    )


def _quantiles(times_s: list[float]) -> Quantiles:
    low, middle, high = quantiles_of(times_s)
    return finite(low), finite(middle), finite(high)


def _floor(share: float) -> str:
    return f"{math.floor(100 * share):d}"


def _ceil(share: float) -> str:
    return f"{math.ceil(100 * share):d}"
