"""The resin's age in a plan, and what the crew must keep to for it to be so."""

from __future__ import annotations

import math

from optimiser.case.gel_clock_document import GelClock, PlannedTemperatures
from optimiser.case.proof_words import finite
from optimiser.case.reasons import gel_judgement, place_of
from optimiser.part.shot import GelRule, Shot, SupplyKind
from optimiser.plan.gel_judgement import judge_gel
from optimiser.plan.result import PlanResult
from optimiser.units import c_from_k, min_from_s


def gel_clock_of(shot: Shot, result: PlanResult) -> GelClock | None:
    """None: the case does not follow the resin's age."""
    process, clock, run = shot.process, result.scenes.resin_clock, result.chosen.run
    if process.age_at_first_tap_s is None:
        return None
    judged = gel_judgement(shot, result)
    return GelClock(
        judged_by=process.gel_rule.value,
        age_at_first_tap_s=clock.age_at_first_tap_s,
        least_margin_s=finite(judged.margin_s),
        least_margin_at=place_of(result, int(result.scenes.full.cell_of_node[judged.node])),
        age_there_s=finite(judged.age_s),
        age_limit_there_s=judged.age_limit_s,
        viscosity_first_tap_mpa_s=1e3 * clock.viscosity_at(0.0),
        viscosity_wet_out_mpa_s=1e3 * clock.viscosity_at(run.wet_out_s) if math.isfinite(run.wet_out_s) else None,
        temperatures=[
            PlannedTemperatures(
                at_s=row.at_s, mould_temperature_c=c_from_k(row.mould_k), resin_temperature_c=c_from_k(row.resin_k)
            )
            for row in process.temperatures
        ],
    )


def gel_clock_warnings(shot: Shot, result: PlanResult) -> list[str]:
    """What a limit by each place rests on, and where some of the spread does not keep it."""
    if shot.process.gel_rule is not GelRule.EACH_PLACE:
        return []
    return [*_rests_on(shot), *_late_in_spread(shot, result)]


def _rests_on(shot: Shot) -> list[str]:
    supply = shot.supply
    if supply.kind is SupplyKind.OPEN_CONTAINER:
        return ["one container counts as one mix, so judging gel at each place gains nothing over the oldest resin"]
    if supply.manifold_volume_m3 > 0 and not supply.bled_before_each_tap:
        return [
            "what stands in hose and manifold is as old as the first mix and may come first out of any tap, so judging "
            "gel at each place gains nothing"
        ]
    said = []
    if supply.bled_before_each_tap:
        litres = 1e3 * supply.manifold_volume_m3
        said.append(
            f"before taps with a BLEED box in the table, what stands in hose and manifold, {litres:.2g} litres, "
            "goes through the flush valve into a flush pot at the far end of the manifold, under the vacuum of the "
            "part; never into an open bucket, as the manifold stands below the air while a tap draws and would take "
            "air in. It takes time that no minute of the plan counts, so it is begun before the trigger is there. It "
            "gets hot in the pot; the scale or counter reads it too, and each such step says what to take off it"
        )
    if supply.kind is SupplyKind.MIXES:
        said.append(
            "begin no mix sooner than the table of mixes says, and pour in one at a time, by its kilograms: never two"
        )
    return said


def _late_in_spread(shot: Shot, result: PlanResult) -> list[str]:
    clock, network = result.scenes.resin_clock, result.scenes.full
    if gel_judgement(shot, result).margin_s < 0:
        return []
    least_s = min((judge_gel(shot, clock, network, run).margin_s for run in result.chosen.spread_runs), default=0.0)
    if least_s >= 0:
        return []
    late = f"by {math.ceil(min_from_s(-least_s))} min" if math.isfinite(least_s) else "and some of it never"
    return [f"with the stated spread of permeability some place may be wet after the gel limit of its resin, {late}"]
