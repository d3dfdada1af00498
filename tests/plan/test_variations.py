"""Variations of the day, played: quantiles against closed forms, and what a scenario changes."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import norm

from api.cli.result_text import result_text
from optimiser.case.planning import check_sequence_of_case
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.case.robustness_document import RobustnessResult
from optimiser.physics.lognormal_scatter import log_deviation, time_ratio_at_chance
from optimiser.plan.scatter_scenes import ScenarioScene, scenario_scene
from optimiser.plan.scenes import scenes_of
from optimiser.scatter.factors import factors_of
from optimiser.scatter.law import Chance, Even, Lognormal
from optimiser.scatter.scenarios import Scenario

STILL = {
    "temperature_plus_minus_c": 0,
    "gel_time_spread_percent": 0,
    "vacuum_plus_minus_mbar": 0,
    "late_up_to_s": 0,
    "gap_width_spread_percent": 0,
}
HOSES = 2e-3
"""Hose, line and bay are in series; the first two, a thousandth of the whole, do not scatter with the laminate."""
COUNT = 100


def bay_case(panels: Any, *, scenarios: int = COUNT, scatter: dict[str, Any] | None = None, **process: Any) -> Case:
    """One bay of 600 mm: a line along one edge, a vent along the other, level, nothing spread but what is asked for."""
    data = panels.data(length_mm=200, width_mm=600, lines_y_mm=(0,), cell_mm=50, coarse_cell_mm=50)
    data["feed_lines"][0]["sections"][0] = {"run_mm": [[0, 0], [200, 0]], "hose_length_mm": 100, "inlet": "middle"}
    data["feed_lines"][0] |= {"bore_mm": 40, "hose_bore_mm": 40}
    data["vents"] = [data["vents"][1] | {"run_mm": [[0, 600], [200, 600]]}]
    data["supply"] |= {"surface_height_mm": 0}
    spread = {"permeability_spread_percent": 0, "permeability_patchy_percent": 0}
    data["process"] |= spread | process | {"scatter": {**STILL, **(scatter or {})}}
    data["search"] |= {"scenarios": scenarios}
    return case_from_mapping(data)


def played(panels: Any, case: Case) -> tuple[RobustnessResult, float]:
    """What the variations say, and wet-out as planned on the same network."""
    steps = panels.outward(("1",), ("1",))[:1]
    plan = check_sequence_of_case(case, panels.sequence(steps))
    assert plan.robustness is not None
    assert plan.wet_out_s is not None
    return plan.robustness, plan.wet_out_s


def within(found_s: float | None, low: float, high: float) -> bool:
    return found_s is not None and low * (1 - HOSES) <= found_s <= high * (1 + HOSES)


@pytest.fixture(scope="module")
def lognormal(panels: Any) -> tuple[RobustnessResult, float]:
    """Permeability alone, 25 %."""
    return played(panels, bay_case(panels, permeability_spread_percent=25))


def test_quantiles_of_wet_out_are_those_of_a_lognormal_permeability(lognormal: tuple[RobustnessResult, float]) -> None:
    """One bay, 25 %: t goes with 1 / K, so the quantiles are exact (derived; `scatter` of the check values).

    A Latin hypercube has one scenario in each hundredth of the law, so each quantile lies between that of its own share
    and that of the piece below it.
    """
    result, planned_s = lognormal
    found = (result.wet_out_p05_s, result.wet_out_p50_s, result.wet_out_p95_s)
    for share, at_s in zip((0.05, 0.5, 0.95), found, strict=True):
        low, high = (
            planned_s * time_ratio_at_chance(variation=0.25, chance=chance) for chance in (share - 1 / COUNT, share)
        )
        assert within(at_s, low, high)


def viscosity_by_points(temperature_c: float) -> float:
    """The demo's points, ln(mu) straight over 1 / T (Arrhenius)."""
    at_c, mpa_s = np.array([30.0, 25.0, 20.0, 15.0]), np.array([160.0, 200.0, 250.0, 320.0])
    return float(np.exp(np.interp(1 / (temperature_c + 273.15), 1 / (at_c + 273.15), np.log(mpa_s))))


def test_quantiles_of_wet_out_follow_the_viscosity(panels: Any) -> None:
    """Temperature alone, evenly 5 degrees either way: t goes with the viscosity, thick where it is cold."""
    result, planned_s = played(panels, bay_case(panels, scatter={"temperature_plus_minus_c": 5}))
    found = (result.wet_out_p05_s, result.wet_out_p50_s, result.wet_out_p95_s)
    for share, at_s in zip((0.05, 0.5, 0.95), found, strict=True):
        low, high = (
            planned_s * viscosity_by_points(25.0 - 10.0 * chance) / 250.0 for chance in (share - 1 / COUNT, share)
        )
        assert within(at_s, low, high)


def ratio_at(share: float) -> float:
    """Quantile of viscosity over permeability by quadrature over the temperature: another way to the same law."""
    deviation = log_deviation(0.25)

    def below(ln_ratio: float) -> float:
        def at(temperature_c: float) -> float:
            rest = ln_ratio - math.log(viscosity_by_points(temperature_c) / 250.0) - deviation**2 / 2
            return float(norm.cdf(rest / deviation)) / 10.0

        return float(quad(at, 15.0, 25.0, points=[20.0])[0])

    return math.exp(brentq(lambda ln_ratio: below(ln_ratio) - share, -3.0, 3.0))


def test_permeability_and_viscosity_together(panels: Any) -> None:
    """Within three deviations of the share that a simple draw of as many would have: sqrt(p (1 - p) / n)."""
    case = bay_case(panels, permeability_spread_percent=25, scatter={"temperature_plus_minus_c": 5})
    result, planned_s = played(panels, case)
    found = (result.wet_out_p05_s, result.wet_out_p50_s, result.wet_out_p95_s)
    for share, at_s in zip((0.05, 0.5, 0.95), found, strict=True):
        slack = 3 * math.sqrt(share * (1 - share) / COUNT)
        low, high = (planned_s * ratio_at(min(max(p, 1e-3), 1 - 1e-3)) for p in (share - slack, share + slack))
        assert within(at_s, low, high)


def test_the_chance_of_being_in_time_is_that_of_the_law(
    panels: Any, lognormal: tuple[RobustnessResult, float]
) -> None:
    """Gel limit at 1.2 times wet-out: clean as long as K stays above 1 / 1.2, a normal probability of ln K.

    The count is that share of 100 to one scenario at either side, where hoses and rounding may tip it.
    """
    planned_s = lognormal[1]
    case = bay_case(panels, permeability_spread_percent=25)
    gel_s = case.shot.resin.gel_points[1].gel_time_s
    percent = 100 * 1.2 * planned_s / gel_s
    result, _ = played(panels, bay_case(panels, permeability_spread_percent=25, gel_fraction_percent=percent))
    deviation = log_deviation(0.25)
    share = float(norm.cdf((math.log(1.2) - deviation**2 / 2) / deviation))
    assert abs(result.clean - COUNT * share) <= 1.5
    assert result.late == COUNT - result.clean
    assert result.clean_low_percent < 100 * share < result.clean_high_percent
    assert result.drivers[0].failed_when_low_percent > 50
    assert result.drivers[0].failed_when_high_percent == 0


# ---- what a scenario changes -------------------------------------------------------------------------------


def scene_with(case: Case, pick: Callable[[Any], float]) -> ScenarioScene:
    """The scenario in which every quantity takes the share that `pick` says."""
    shot = case.shot
    assert shot.scatter is not None
    factors = factors_of(shot, shot.scatter)
    scenario = Scenario(number=1, factors=factors, values=tuple(one.law.at(pick(one.law)) for one in factors))
    return scenario_scene(shot, shot.scatter, scenes_of(shot), scenario)


def test_warmer_is_thinner_and_gels_sooner(panels: Any) -> None:
    """Both by the points of the resin: at 22 instead of 20 degrees C."""
    case = bay_case(panels, scatter={"temperature_plus_minus_c": 2})
    warm = scene_with(case, lambda law: 1 - 1e-12 if isinstance(law, Even) else 0.5)
    assert 1 / warm.scene.clock.theta(1.0) == pytest.approx(viscosity_by_points(22.0) / 1000, rel=1e-6)
    assert 0.7 * 64 * 60 < warm.clock.limit_s(0.7) < 0.7 * 90 * 60


def test_gel_time_pressure_and_hands_scatter_as_stated(panels: Any) -> None:
    """At the middle of each law but the even ones, which stand at their upper end."""
    case = bay_case(
        panels, scatter={"gel_time_spread_percent": 20, "vacuum_plus_minus_mbar": 10, "late_up_to_s": 40}
    )
    late = scene_with(case, lambda law: 1 - 1e-12 if isinstance(law, Even) else 0.5)
    median = Lognormal(variation=0.2).at(0.5)
    assert late.clock.limit_s(0.7) == pytest.approx(0.7 * 90 * 60 * median)
    assert late.scene.drive.supply_pressure_pa == pytest.approx(101300 - 3500, abs=1e-3)
    assert late.scene.crew.action_s == pytest.approx(15 + 40, abs=1e-6)


def test_each_laminate_has_its_own_permeability(panels: Any) -> None:
    """Links within one laminate take its factor, pipes none, and a link from a line to a cell that of the cell."""
    data = panels.data(patch_mm=[[400, 200], [800, 200], [800, 400], [400, 400]])
    data["process"] |= {"permeability_patchy_percent": 0, "scatter": STILL}
    data["search"] |= {"scenarios": 20}
    case = case_from_mapping(data)
    shot, scenes = case.shot, scenes_of(case.shot)
    assert shot.scatter is not None
    factors = factors_of(shot, shot.scatter)
    assert [one.name for one in factors] == ["sandwich", "solid"]
    scenario = Scenario(number=1, factors=factors, values=(2.0, 0.5))
    network, before = scenario_scene(shot, shot.scatter, scenes, scenario).scene.network, scenes.coarse
    ratio, links = network.links.conductance_m3 / before.links.conductance_m3, before.links
    ends = [np.append(before.area_of_cell, np.full(before.node_count - before.cell_count, -1))[k]
            for k in (links.start, links.end)]
    both = {area: (ends[0] == area) & (ends[1] == area) for area in (0, 1, -1)}
    assert ratio[both[0]] == pytest.approx(2.0)
    assert ratio[both[1]] == pytest.approx(0.5)
    assert ratio[both[-1]] == pytest.approx(1.0)
    beside = (ends[0] == -1) & (ends[1] == 0) | (ends[1] == -1) & (ends[0] == 0)
    assert np.median(ratio[beside]) == pytest.approx(2.0)


def test_a_gap_that_may_be_there_is_there_or_not(panels: Any) -> None:
    """With it the network has its nodes, as wide as this scenario says; the plan's own network never has them."""
    gap = {"name": "edge", "run_mm": [[0, 0], [0, 600]], "width_mm": 3, "depth_mm": 12, "chance_percent": 40}
    case = bay_case(panels, scatter={"may_race": [gap], "gap_width_spread_percent": 30})
    there, gone = (
        scene_with(case, lambda law, at=at: at if isinstance(law, Chance) else 0.9) for at in (0.1, 0.9)
    )
    assert scenes_of(case.shot).coarse.race_tracks == gone.scene.network.race_tracks == ()
    (nodes,) = there.scene.network.race_tracks
    wide_m = 3e-3 * Lognormal(variation=0.3).at(0.9)
    assert there.scene.network.volume_m3[nodes].sum() == pytest.approx(wide_m * 12e-3 * 0.6, rel=1e-9)


def test_the_statement_names_only_what_the_case_varies(
    panels: Any, lognormal: tuple[RobustnessResult, float]
) -> None:
    """Where that is nothing, it tells no chance: equal runs have none."""
    assert lognormal[0].statement.startswith(f"In {COUNT} played variations of laminate {COUNT} stayed clean")
    found, _ = played(panels, bay_case(panels, scenarios=20))
    assert found.statement.startswith(
        "The case varies nothing, so that 20 variations are 20 times the same run: 20 stayed clean and in time"
    )
    assert "chance between" not in found.statement


def test_places_that_lock_are_named_with_how_often(panels: Any) -> None:
    """All taps at once close air in between the lines whatever the day; every zone named is one of the plan's."""
    data = panels.data(length_mm=600)
    data["search"] |= {"scenarios": 20}
    steps = panels.outward(("1", "2", "3"), ("1", "2", "3"))
    plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(steps))
    found = plan.robustness
    assert found is not None
    assert (found.clean, found.locked) == (0, 20)
    counts = [one.variations for one in found.locked_zones]
    assert counts == sorted(counts, reverse=True)
    assert 10 <= counts[0] <= 20 <= sum(counts)
    assert found.locked_zones[0].locked_percent == 5 * counts[0]
    assert {one.zone for one in found.locked_zones} <= {zone.name for zone in plan.zones}
    assert any("does not stay clean (20 locked)" in warning for warning in plan.warnings)


def test_the_rule_that_fails_them_all_is_named(panels: Any) -> None:
    """Line 2 first where 1 is asked for before it: each variation is out of order, and it is said by what."""
    data = panels.data(length_mm=600, rules={"order": ["1", "2"]})
    data["search"] |= {"scenarios": 20}
    steps = panels.outward(("1", "2", "3"), ("2",))
    plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(steps))
    found = plan.robustness
    assert found is not None
    assert (found.clean, found.out_of_order) == (0, 20)
    assert found.broken_rules is not None
    assert [(one.rule, one.variations) for one in found.broken_rules] == [("opens taps against the given order", 20)]
    told = "20 out of order: 20 times it opens taps against the given order"
    assert any(told in warning for warning in plan.warnings)
    assert "Out of order in 20 of 20 variations: it opens taps against the given order" in result_text(plan, [])
