"""A shot that cannot be done: which requirement, where, by how much, and what would do."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, Reason, Verdict
from optimiser.case.planning import check_sequence_of_case, plan_case
from optimiser.case.read_case import case_from_mapping

LATE = {"lines_y_mm": (150,), "length_mm": 900, "cell_mm": 150, "coarse_cell_mm": 150}
"""One line along one edge of a panel 0.9 m wide: it takes most of an hour and the resin gels in five minutes."""
QUICK_GEL = [{"temperature_c": t, "initiator_percent": 1.5, "gel_time_min": g} for t, g in ((15, 7), (25, 4))]


@pytest.fixture(scope="module")
def late(panels: Any) -> PlanDocument:
    data = panels.data(**LATE)
    data["resin"]["gel_time_points"] = QUICK_GEL
    return _plan(data)


def _plan(data: dict[str, Any]) -> PlanDocument:
    return plan_case(case_from_mapping(data))


def the_reason(plan: PlanDocument) -> Reason:
    assert plan.verdict is Verdict.NOT_ADMISSIBLE
    (reason,) = plan.reasons
    return reason


def test_a_shot_that_gels_says_where_and_by_how_much(late: PlanDocument) -> None:
    """The last zone to be wet, its minute and the limit's minute, taken from the numbers of the plan itself."""
    reason, last = the_reason(late), max(late.zones, key=lambda zone: zone.wet_s)
    assert reason.requirement == "wet-out within 70% of the gel time"
    assert reason.where.startswith("the last place to be wet: x ")
    assert reason.where.endswith(f", zone {last.name}")
    wet_min, limit_min = math.ceil(late.wet_out_s / 60), math.floor(late.gel_limit_s / 60)
    assert f"wet at minute {wet_min}, limit minute {limit_min} " in reason.by_how_much
    assert late.gel_margin_s == pytest.approx(late.gel_limit_s - late.wet_out_s)
    assert late.gel_margin_s < 0


def test_the_remedies_for_gel_would_do(late: PlanDocument, panels: Any) -> None:
    """The gel time that is asked for makes the same case verified; one three minutes shorter does not."""
    minutes = int(re.search(r"a gel time of at least (\d+) min", the_reason(late).remedy).group(1))
    assert minutes == math.ceil(late.wet_out_s / 0.7 / 60)
    verdicts = []
    for gel_min in (minutes, minutes - 3):
        data = panels.data(**LATE)
        data["resin"]["gel_time_points"] = [
            {"temperature_c": t, "initiator_percent": 1.5, "gel_time_min": gel_min * k}
            for t, k in ((19, 1.1), (20, 1.0), (25, 0.8))
        ]
        verdicts.append(_plan(data).verdict)
    assert verdicts == [Verdict.VERIFIED, Verdict.NOT_ADMISSIBLE]


def test_a_thinner_resin_as_told_would_do(late: PlanDocument, panels: Any) -> None:
    """Times go with viscosity (Darcy), so at the viscosity that is asked for the same order is wet in time."""
    most = int(re.search(r"a viscosity of at most (\d+) mPa s", the_reason(late).remedy).group(1))
    data = panels.data(**LATE)
    data["resin"]["gel_time_points"] = QUICK_GEL
    data["resin"]["viscosity_points"] = [
        {"temperature_c": 15, "viscosity_mpa_s": 1.2 * most},
        {"temperature_c": 20, "viscosity_mpa_s": most},
        {"temperature_c": 25, "viscosity_mpa_s": 0.8 * most},
    ]
    assert _plan(data).verdict is Verdict.VERIFIED


def test_a_cap_that_cannot_fill_the_part_before_gel_is_told_as_such(panels: Any) -> None:
    """Kilograms of the part over those of a minute: no order of the taps would do, nor lines that lie closer."""
    supply = {"kind": "metering_machine", "pressure_cap_mbar_abs": 900, "flow_cap_kg_per_min": 0.2}
    data = panels.data(supply=supply)
    data["resin"]["gel_time_points"] = QUICK_GEL
    plan = check_sequence_of_case(
        case_from_mapping(data), panels.sequence(panels.outward(("1", "2", "3"), ("2",)))
    )
    (reason,) = [one for one in plan.reasons if one.requirement.startswith("wet-out within")]
    soonest_min = (plan.resin.laminate_kg + plan.resin.core_kg) / 0.2
    assert f"the flow cap fills the part at minute {soonest_min:.0f} at the soonest" in reason.remedy


def test_a_given_sequence_that_locks_says_place_minute_litres_and_lines(panels: Any) -> None:
    """Both outer lines at the start close the middle bay, whose only way out they are."""
    checked = panels.check(panels.outward(("1", "2", "3"), ("1", "3")))
    worst = max((lock for lock in checked.locked if lock.fails), key=lambda lock: lock.pore_litres)
    reason = next(one for one in checked.reasons if one.requirement == "no region may be cut off from its vent")
    assert checked.verdict is Verdict.NOT_ADMISSIBLE
    assert set(worst.closed_by) == {"1", "3"}
    assert 150 < worst.y_mm < 750, "between the two lines"
    zone, place = worst.near.removeprefix("zone ").split(", ", 1)
    assert zone in {one.name for one in checked.zones}
    assert place == f"x {worst.x_mm / 1e3:.2f} m, y {worst.y_mm / 1e3:.2f} m"
    assert reason.where == f"{worst.near}, closed by {' and '.join(worst.closed_by)} at minute {worst.at_s / 60:.1f}"
    litres = sum(lock.pore_litres for lock in checked.locked if lock.fails)
    assert reason.by_how_much.startswith(f"{litres:.2g} litres locked")
    assert reason.remedy


def test_locked_litres_are_those_of_what_is_locked(panels: Any) -> None:
    """Both outer lines open at once: the bay between them is shut off dry, and holds what there is to fill.

    Four plies of 600 g/m2 of glass at 2560 kg/m3 and 52 % fibre: 1.803 mm, 48 % of it pores, 0.865 mm. Core grooves
    of 1 x 1 mm every 40 mm both ways, crossings counted once: 0.049 mm. Holes of 2 mm every 40 mm through 12 mm of
    core: 0.024 mm. Uptake of the core's faces: 250 g/m2 of resin at 1080 kg/m3, 0.231 mm. Line 2, shut, adds its
    1 m in the bag and its hose of 2.5 m, both of 12 mm bore. 2 % for what has trickled in by then.
    """
    checked = panels.check(panels.outward(("1", "2", "3"), ("1", "3")))
    lock = max(checked.locked, key=lambda one: one.pore_litres)
    plies_mm = 4 * 0.6 / 2560 / 0.52 * 1e3 * 0.48
    grooves_mm = 2 * 1 / 40 - 1 / 40**2
    holes_mm = math.pi / 4 * 2**2 / 40**2 * 12
    uptake_mm = 250 / 1080
    in_laminate = lock.area_cm2 * 1e-4 * (plies_mm + grooves_mm + holes_mm + uptake_mm)
    in_pipes = math.pi / 4 * 0.012**2 * (1.0 + 2.5) * 1e3
    assert lock.pore_litres == pytest.approx(in_laminate + in_pipes, rel=0.02)


def test_trapped_air_is_pressed_together_as_boyle_says(panels: Any) -> None:
    """p V stays: 25 mbar of residual air under 1013 mbar of resin (Boyle's law)."""
    checked = panels.check(panels.outward(("1", "2", "3"), ("1", "3")))
    for lock in checked.locked:
        assert lock.left_after_compression_litres == pytest.approx(lock.pore_litres * 25 / 1013, rel=1e-9)


def test_a_plan_for_the_same_start_is_refused_for_the_same_place(panels: Any) -> None:
    """With both outer lines asked for at the start, edge to edge, nothing can help: the plan says where it locks."""
    plan = panels.plan(rules={"start": ["1", "3"]}, rounds=1, mistakes=None, edge_to_edge=True, length_mm=600)
    reason = the_reason(plan)
    assert reason.requirement == "no region may be cut off from its vent"
    assert re.search(r"closed by 1 and 3 at minute \d+\.\d", reason.where)
    assert not any(one.admissible for one in plan.candidates)


def test_a_part_that_resin_cannot_climb_stays_dry_in_the_plan_too(panels: Any) -> None:
    """988 mbar lift resin of 1080 kg/m3 by 9.33 m (p = rho g h); the panel lies from 9.0 to 9.8 m above the bucket."""
    supply = {"kind": "open_container", "surface_height_mm": -9000, "manifold_volume_litres": 0.5}
    data = panels.data(rise_mm=800, rounds=1)
    data["supply"] = supply
    plan = _plan(data)
    reason = the_reason(plan)
    assert plan.wet_out_s is None
    assert reason.requirement == "all of the part must be wet"
    dry_m2 = float(re.match(r"(\d+\.\d+) m2 stay dry", reason.by_how_much).group(1))
    rise_m = 98800 / (1080 * 9.80665) - 9.0
    too_high_m2 = 1.2 * 0.9 * (0.8 - rise_m) / 0.8
    assert dry_m2 == pytest.approx(too_high_m2, abs=0.1 * 1.2), "within a row of cells of 100 mm"
    assert f"the pressure lifts it {98800 / (1080 * 9.80665):.2f} m above the supply" in reason.by_how_much
    assert reason.remedy.startswith("set the supply higher")


def test_what_lies_lower_behind_a_ridge_that_resin_cannot_climb_is_out_of_reach(panels: Any) -> None:
    """988 mbar lift resin to 0.13 m above the table; a ridge of 0.4 m lies across the panel, and half of what stays dry
    lies below 0.13 m, on its far side."""
    data = panels.data(lines_y_mm=(150,), supply=None)
    data["supply"] = {"kind": "open_container", "surface_height_mm": -9200, "manifold_volume_litres": 0.5}
    data["sheet"]["heights"] = [
        {"at_mm": [x_mm, y_mm], "height_mm": height_mm}
        for x_mm in (0, 1200)
        for y_mm, height_mm in ((0, 0), (450, 400), (900, -50))
    ]
    plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(panels.outward(("1",), ("1",))))
    reason = the_reason(plan)
    assert "resin cannot reach it: the pressure lifts it 9.33 m above the supply" in reason.by_how_much
    lowest_m, highest_m = map(float, re.search(r"climbs (.+) to (.+) m above it", reason.by_how_much).groups())
    assert 9.33 <= lowest_m < highest_m
    assert highest_m == pytest.approx(9.6, abs=0.05), "the ridge, within half a cell"
    assert reason.remedy.startswith("set the supply higher")


def test_taps_that_were_all_closed_are_named_where_it_stays_dry(panels: Any) -> None:
    """The one line of the shot is closed after half a minute: no other line would have helped, the open tap would."""
    steps = [
        {"action": "open", "label": "2", "when": {"start": True}},
        {"action": "close", "label": "2", "when": {"clock_s": 30}},
    ]
    reason = next(one for one in panels.check(steps).reasons if one.requirement == "all of the part must be wet")
    assert reason.by_how_much.endswith("the front comes to rest: every tap has been closed")
    assert reason.remedy == "close no tap while what it feeds is dry"


def test_no_gel_time_is_asked_for_where_the_thickening_is_not_known(panels: Any) -> None:
    """The table of ages ends at the limit and the panel is wet far later: what that would take, nobody has measured."""
    data = panels.data(**LATE)
    data["resin"]["gel_time_points"] = QUICK_GEL
    data["resin"]["viscosity_with_age"] = {
        "temperature_c": 20,
        "initiator_percent": 1.5,
        "points": [{"age_min": 0, "viscosity_mpa_s": 250}, {"age_min": 5, "viscosity_mpa_s": 300}],
    }
    data["process"]["age_at_first_tap_min"] = 0.5
    reason = next(one for one in _plan(data).reasons if one.requirement.startswith("wet-out within"))
    assert "later than the resin's thickening is known" in reason.by_how_much
    assert reason.remedy.startswith("feed lines closer together (time goes with the square of the run)")
    assert "gel time of at least" not in reason.remedy
    assert "viscosity of at most" not in reason.remedy


def test_requirements_that_fail_at_once_are_all_told_lateness_last(panels: Any) -> None:
    """Vents beside the line that nobody clamps: both pots run over and what lies beyond is shut off. Five litres of
    manifold at 0.2 kg/min, resin of 1080 kg/m3: 27 min; and the resin gels in five."""
    data = panels.data(
        lines_y_mm=(300,),
        length_mm=300,
        width_mm=600,
        cell_mm=75,
        coarse_cell_mm=75,
        supply={
            "kind": "metering_machine",
            "pressure_cap_mbar_abs": 900,
            "flow_cap_kg_per_min": 0.2,
            "manifold_volume_litres": 5,
        },
    )
    for vent, y_mm in zip(data["vents"], (250, 350), strict=True):
        vent |= {"run_mm": [[20, y_mm], [280, y_mm]], "catch_pot_litres": 0.2}
    data["resin"]["gel_time_points"] = QUICK_GEL
    steps = [{"action": "open", "label": "1", "when": {"start": True}}]
    plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(steps))
    assert [one.requirement for one in plan.reasons] == [
        "no region may be cut off from its vent",
        "no catch pot runs over into the pump",
        "supply hose and manifold are full before the latest first tap",
        "wet-out within 70% of the gel time",
    ]
    assert plan.reasons[1].where == "vent V-NEAR, vent V-FAR"
    assert plan.reasons[2].by_how_much == f"{5 * 1.080 / 0.2:.0f} min at the flow cap, 0 min until then"
