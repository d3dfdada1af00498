"""What a plan tells beside the order: pressure along lines, mixes and their clocks, pots, leaks, what stays dry."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from typing import Any

import pytest
import yaml

from cases import demo_case_path
from optimiser.case.leak import leak_of, loose_drop_test
from optimiser.case.plan_document import PlanDocument, Verdict
from optimiser.case.planning import check_sequence_of_case, read_back
from optimiser.case.quantities import fills_last_mix_kg, made_kg
from optimiser.case.read_case import DropTestLimit, case_from_mapping
from optimiser.errors import InputError

TAPS = ("1", "2", "3")
MIXES = {"kind": "mixes", "mix_kg": 2.0, "surface_height_mm": -600, "manifold_volume_litres": 0.5}


def checked(panels: Any, data: dict[str, Any]) -> PlanDocument:
    found: PlanDocument = panels.check_of(data, panels.outward(TAPS, ("2",)))
    return found


# ---- pressure along lines ------------------------------------------------------------------------------------


def test_pressure_is_told_at_both_ends_of_every_opened_line(panels: Any) -> None:
    """A dozen rows from its opening on; between vacuum and air, the far end no more than a mbar above the inlet."""
    plan = checked(panels, panels.data())
    for line in plan.lines:
        assert line.pressure is not None
        assert 2 <= len(line.pressure.time_s) <= 13
        assert line.pressure.time_s[0] > line.opened_at_s
        for inlet, end in zip(line.pressure.inlet_mbar_abs, line.pressure.far_end_mbar_abs, strict=True):
            assert 25.0 <= end <= inlet + 1.0 <= 1014.0
        assert 0.98 < line.far_end_share <= 1.0, "12 mm over half a metre each way"


def test_a_line_that_rises_beyond_what_lifts_the_resin_is_named_and_prints_no_impossible_pressure(panels: Any) -> None:
    """988 mbar lift resin of 1080 kg/m3 by 9.33 m, the far ends lie 9.73 m up: the head leaves less than no vacuum."""
    data = panels.data(lines_y_mm=(450,))
    data["sheet"]["heights"] = [
        {"at_mm": [x_mm, y_mm], "height_mm": 800 * x_mm / 1200} for x_mm in (0, 1200) for y_mm in (0, 900)
    ]
    data["feed_lines"][0]["sections"][0]["inlet"] = "start"
    data["supply"]["surface_height_mm"] = -9000
    plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(panels.outward(("1",), ("1",))))
    (told,) = [one for one in plan.warnings if "does not come over" in one]
    assert told.startswith("line 1 rises 9.7")
    assert f"the pressure lifts resin {98800 / (1080 * 9.80665):.2f} m" in told
    assert min(plan.lines[0].pressure.far_end_mbar_abs) == pytest.approx(25.0)
    data["supply"]["surface_height_mm"] = -8000
    plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(panels.outward(("1",), ("1",))))
    assert not any("does not come over" in one for one in plan.warnings)


def test_a_line_too_thin_in_the_run_is_named_with_its_share(panels: Any) -> None:
    """Of 3 mm bore fed at one end; a line of 12 mm is not, nor is anything where nothing is asked for."""
    data = panels.data()
    data["feed_lines"][1]["bore_mm"] = 3
    data["feed_lines"][1]["sections"][0]["inlet"] = "start"
    plan = checked(panels, data)
    (told,) = [one for one in plan.warnings if one.startswith("the far end of line")]
    share = {line.label: line.far_end_share for line in plan.lines}["2"]
    assert told.startswith(f"the far end of line 2 gets {share:.0%} of the pressure at its inlet")
    assert "less than the 90% asked for" in told
    data["process"]["least_line_end_percent"] = 0
    assert not any("far end" in one for one in checked(panels, data).warnings)


def test_a_hose_before_the_manifold_shows_in_the_pressure_there(panels: Any) -> None:
    """5 m of 6 mm: the manifold stands below the air while resin runs, and wet-out is later."""
    plain, data = checked(panels, panels.data()), panels.data()
    data["supply"]["supply_hose"] = {"bore_mm": 6, "length_mm": 5000}
    behind = checked(panels, data)
    assert behind.wet_out_s > plain.wet_out_s
    assert max(plain.consumption.manifold_mbar_abs[1:]) == pytest.approx(1013, abs=0.1)
    assert max(behind.consumption.manifold_mbar_abs[1:]) < 1000


def test_a_share_that_is_not_stated_is_an_assumption_and_changes_no_digest(panels: Any) -> None:
    """Stored plans point to cases by digest; a null is the same as nothing said."""
    data = panels.data()
    data["process"].pop("least_line_end_percent")
    silent = case_from_mapping(data)
    data["process"]["least_line_end_percent"] = None
    assert case_from_mapping(data).digest == silent.digest
    assert [one.path for one in silent.values_taken] == ["/process/least_line_end_percent"]
    assert silent.values_taken[0].value == "90 %"


# ---- supply --------------------------------------------------------------------------------------------------


def test_a_machine_may_not_press_harder_than_the_air(panels: Any) -> None:
    """Said as the safety rule it is."""
    data = panels.data(
        supply={"kind": "metering_machine", "pressure_cap_mbar_abs": 1014, "flow_cap_kg_per_min": 1}
    )
    with pytest.raises(InputError) as caught:
        case_from_mapping(data)
    (fault,) = caught.value.faults
    assert fault.path == "/supply/pressure_cap_mbar_abs"
    assert "a safety rule" in fault.expected
    assert "lifts the bag" in fault.expected


def test_a_supply_above_the_part_that_would_lift_the_bag_is_named(panels: Any) -> None:
    """A bucket half a metre up presses rho g h, 53 mbar, harder than the air below it; on the floor it does not."""
    data = panels.data()
    data["supply"]["surface_height_mm"] = 500
    (told,) = [one for one in checked(panels, data).warnings if "lifts the bag" in one]
    assert f"{1080 * 9.80665 * 0.5 / 100:.0f} mbar harder than the air" in told
    assert not any("lifts the bag" in one for one in checked(panels, panels.data()).warnings)


@pytest.mark.parametrize(("surface_height_mm", "refused"), [(930, False), (960, True)])
def test_resin_that_would_press_far_harder_than_the_air_is_refused(
    panels: Any, surface_height_mm: float, refused: bool
) -> None:
    """The safety rule: at most 100 mbar, which are 944 mm of resin of 1080 kg/m3. Above it no warning is enough."""
    data = panels.data()
    data["supply"]["surface_height_mm"] = surface_height_mm
    plan = checked(panels, data)
    assert any("lift the bag" in reason.requirement for reason in plan.reasons) is refused
    assert (plan.verdict == "not_admissible") is refused


def test_every_mix_has_its_own_clock(panels: Any) -> None:
    """Drawn one after another to the last gram, as the last vent is clamped; each with the gel limit from when it was
    begun."""
    data = panels.data()
    data["supply"] = {**MIXES, "minutes_per_mix": 2}
    plan = checked(panels, data)
    assert [one.number for one in plan.mixes] == list(range(1, len(plan.mixes) + 1))
    assert plan.mixes[0].initiator_in_at_s <= -120.0
    assert plan.mixes[-1].used_up_at_s == pytest.approx(max(step.expected_at_s for step in plan.steps), rel=0.01)
    drawn_kg = plan.consumption.drawn_kg[-1] + 0.5 * 1.08
    assert sum(one.resin_kg for one in plan.mixes) == pytest.approx(drawn_kg, abs=1e-3)
    for one in plan.mixes:
        assert one.gel_limit_at_s - one.initiator_in_at_s == pytest.approx(plan.gel_limit_s + 600.0)
        assert one.initiator_kg == pytest.approx(0.015 * one.made_kg)
        assert 0.5 <= one.made_kg <= 2.0
        assert one.resin_kg <= one.made_kg


def test_the_last_of_several_mixes_is_a_quarter_at_least() -> None:
    """Of 20 kg pots: 40.1 kg are two pots and 5 kg, 4.9 kg more than needed; 46 kg are left as they are, so is 3 kg."""
    assert fills_last_mix_kg(40.1, 20.0) == pytest.approx(4.9)
    assert [made_kg(k, total_kg=45.0, mix_kg=20.0) for k in (1, 2, 3, 4)] == [20.0, 20.0, 5.0, 0.0]
    assert [fills_last_mix_kg(kg, 20.0) for kg in (46.0, 40.0, 20.0, 3.0)] == [0.0] * 4


def test_a_crew_too_slow_for_its_mixes_is_refused(panels: Any) -> None:
    """With seven minutes for each half kilogram the first is begun long before the first tap; one minute will do.

    The plan counts with ten minutes from the first mix to the first tap, and says how many are wanted. Told so, it
    takes them off the margin.
    """
    data = panels.data()
    data["supply"] = {**MIXES, "mix_kg": 0.5, "minutes_per_mix": 1}
    assert checked(panels, data).verdict is Verdict.VERIFIED
    data["supply"] = {**MIXES, "mix_kg": 0.5, "minutes_per_mix": 7}
    plan = checked(panels, data)
    assert plan.verdict is Verdict.NOT_ADMISSIBLE
    first = plan.reasons[0]
    assert first.requirement == "the first mix is no older at the first tap than the run counts with"
    wanted_min = math.ceil(-plan.mixes[0].initiator_in_at_s / 60)
    assert first.by_how_much == f"initiator in {wanted_min} min before the first tap, counted 10 min"
    data["process"]["age_at_first_tap_min"] = wanted_min
    plan = checked(panels, data)
    assert not any(one.requirement == first.requirement for one in plan.reasons)
    assert plan.gel_margin_s == pytest.approx(0.7 * plan.gel_time_s - plan.wet_out_s - 60 * wanted_min)


def test_mixes_without_their_minutes_are_judged_from_the_first_tap(panels: Any) -> None:
    """As before: the sheet tells the crew to take off what passed between mixing and the first tap."""
    data = panels.data()
    data["supply"] = MIXES
    plan = checked(panels, data)
    assert plan.verdict is Verdict.VERIFIED
    assert plan.mixes[0].initiator_in_at_s == 0.0


# ---- air -----------------------------------------------------------------------------------------------------


def test_what_is_left_of_a_lock_follows_the_resin_round_it(panels: Any) -> None:
    """V p_vac / p (Boyle), p told beside it; no less than at full pressure, and the sequence fails all the same."""
    plan = panels.check(panels.outward(TAPS, ("1", "3")))
    assert plan.verdict is Verdict.NOT_ADMISSIBLE
    assert any(lock.fails for lock in plan.locked)
    for lock in plan.locked:
        assert lock.left_at_end_litres == pytest.approx(lock.pore_litres * 25 / lock.surroundings_mbar_abs)
        assert lock.left_after_compression_litres <= lock.left_at_end_litres <= lock.pore_litres


def test_a_bag_of_known_volume_tells_what_the_drop_test_lets_in(panels: Any) -> None:
    """50 litres, 5 mbar in 10 min: 0.41666667 mbar l/s, 1.78255815 g an hour at 20 C (tests/check_values/vacuum.csv).

    Held by 20 m3/h: Q / S = 0.075 mbar.
    """
    data = panels.data()
    data["process"]["drop_test"] = {"most_rise_mbar": 5, "minutes": 10, "bag_litres": 50, "pump_m3_per_h": 20}
    plan = checked(panels, data)
    leak = plan.leak
    assert leak.leak_mbar_litres_per_s == pytest.approx(0.416666667, rel=1e-8)
    assert leak.over_s == plan.wet_out_s
    assert leak.air_let_in_g / leak.over_s * 3600 == pytest.approx(1.78255815, rel=1e-8)
    assert leak.air_let_in_litres == pytest.approx(0.416666667 * leak.over_s / 25, rel=1e-8)
    assert leak.pump_holds_mbar_abs == pytest.approx(0.075)


def test_a_pump_too_small_for_what_the_drop_test_lets_pass_is_refused(panels: Any) -> None:
    """500 litres, 100 mbar in 10 min leak 83 mbar l/s: 10 m3/h hold Q / S = 30 mbar, 12 m3/h the 25 planned."""
    data = panels.data()
    drop = {"most_rise_mbar": 100, "minutes": 10, "bag_litres": 500, "pump_m3_per_h": 12}
    data["process"]["drop_test"] = drop
    case_from_mapping(data)
    drop["pump_m3_per_h"] = 10
    with pytest.raises(InputError) as caught:
        case_from_mapping(data)
    (fault,) = caught.value.faults
    assert fault.path == "/process/drop_test"
    assert "lets in 83 mbar l/s, against which the pump holds 30.0 mbar absolute" in fault.found
    assert "at most the planned vacuum, 25 mbar absolute" in fault.expected


def test_without_a_pump_the_least_pump_is_told() -> None:
    """500 litres, 100 mbar in 10 min leak 83.3 mbar l/s: at 25 mbar 3.33 l/s, 12 m3/h, carry them off."""
    drop = DropTestLimit(most_rise_pa=1e4, duration_s=600, bag_m3=0.5, pump_m3_s=None)
    shot = case_from_mapping(yaml.safe_load(demo_case_path("flat_panel").read_text("utf-8"))).shot
    leak = leak_of(drop, shot.process, 3_600.0)
    assert leak is not None
    assert leak.pump_holds_mbar_abs is None
    assert leak.least_pump_m3_per_h == pytest.approx(12.0)
    with_pump = leak_of(replace(drop, pump_m3_s=1.0), shot.process, 3_600.0)
    assert with_pump is not None
    assert with_pump.least_pump_m3_per_h is None


def test_a_drop_test_that_any_bag_passes_is_warned_of_without_volume_or_pump() -> None:
    """100 mbar in 5 min fill 988 mbar in 49.4 min: before a limit of 60 min, and not before one of 45."""
    shot = case_from_mapping(yaml.safe_load(demo_case_path("flat_panel").read_text("utf-8"))).shot
    drop = DropTestLimit(most_rise_pa=1e4, duration_s=300, bag_m3=None, pump_m3_s=None)
    (said,) = loose_drop_test(drop, shot.process, 3_600.0)
    assert "full of air after 49 min" in said
    assert list(loose_drop_test(drop, shot.process, 2_700.0)) == []


def test_a_leak_that_no_pump_holds_is_refused_where_none_is_stated(panels: Any) -> None:
    """20 000 litres, 200 mbar in a minute: 66 667 mbar l/s, held by 5000 m3/h at 48 mbar."""
    data = panels.data()
    data["process"]["drop_test"] = {"most_rise_mbar": 200, "minutes": 1, "bag_litres": 20_000}
    with pytest.raises(InputError) as caught:
        case_from_mapping(data)
    assert "even a pump of 5000 m3/h holds 48.0 mbar absolute at best" in caught.value.faults[0].found


def test_without_the_volume_of_the_bag_no_leak_is_told(panels: Any) -> None:
    """A rise alone tells none."""
    assert checked(panels, panels.data()).leak is None


# ---- vents ---------------------------------------------------------------------------------------------------


def test_resin_drawn_into_a_vent_fills_line_and_hose_before_the_pot(panels: Any) -> None:
    """1.16 m of vent and 2.5 m of hose at 12 mm hold 0.414 litres (pi d^2 L / 4)."""
    plan = checked(panels, panels.data())
    for vent in plan.vents:
        assert vent.line_and_hose_litres == pytest.approx(math.pi / 4 * 0.12**2 * 36.6)
        assert vent.in_catch_pot_litres == pytest.approx(max(0.0, vent.drawn_litres - vent.line_and_hose_litres))
        assert 0 < vent.air_mbar < 1
    drawn_kg = 1.08 * sum(vent.drawn_litres for vent in plan.vents)
    assert plan.resin.drawn_into_vents_kg == pytest.approx(drawn_kg)
    assert plan.resin.in_catch_pots_kg <= drawn_kg


def test_a_catch_pot_that_would_run_over_fails_the_plan(panels: Any) -> None:
    """A vent in the midst of the panel that nobody clamps draws more than its pot of 0.2 litres holds."""
    data = panels.data()
    near = data["vents"][0]
    near |= {"run_mm": [[100, 300], [1100, 300]], "catch_pot_litres": 0.2, "bore_mm": 3}
    steps = [*panels.outward(TAPS, ("2",))[:3]]
    plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(steps))
    (told,) = [one for one in plan.reasons if "catch pot" in one.requirement]
    litres = plan.vents[0].in_catch_pot_litres
    assert litres > 0.2
    assert told.where == "vent V-NEAR"
    assert told.by_how_much == f"{math.ceil(100 * litres) / 100:.2f} litres into a pot of 0.2"


def with_pot_hoses(panels: Any, *, bore_mm: float = 8, **vent: Any) -> dict[str, Any]:
    data: dict[str, Any] = panels.data()
    for one in data["vents"]:
        one |= {"pot_hose_bore_mm": bore_mm, **vent}
    return data


def test_a_vent_with_a_stated_hose_is_a_pipe_in_the_plan(panels: Any) -> None:
    """What its line and hose hold and what runs on into the pot are those of the run; where it joins is listed."""
    case = case_from_mapping(with_pot_hoses(panels))
    assert {one.path for one in case.assumptions} >= {"/vents/0/outlet", "/vents/1/outlet"}
    plan = check_sequence_of_case(case, panels.sequence(panels.outward(TAPS, ("2",))))
    for vent in plan.vents:
        holds = math.pi / 4 * (0.12**2 * 11.6 + 0.08**2 * 25.0)
        assert vent.line_and_hose_litres == pytest.approx(holds)
        assert vent.in_catch_pot_litres <= vent.drawn_litres <= holds + vent.in_catch_pot_litres + 1e-9
        assert (vent.flooded_at_s is None) == (vent.far_end_mbar_abs is None)


def test_a_flooded_vent_tells_the_pressure_at_its_far_end(panels: Any) -> None:
    """A vent in the midst that nobody clamps floods: its far end has more than the vacuum, and the plan warns."""
    data = with_pot_hoses(panels, bore_mm=3, outlet="start")
    data["vents"][0] |= {"run_mm": [[100, 300], [1100, 300]], "bore_mm": 6, "catch_pot_litres": 5}
    steps = [*panels.outward(TAPS, ("2",))[:3]]
    plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(steps))
    vent = plan.vents[0]
    assert vent.flooded_at_s is not None
    assert 25 < vent.far_end_mbar_abs < 1013
    (told,) = [one for one in plan.warnings if "V-NEAR stands full of resin" in one]
    assert f"{vent.far_end_mbar_abs:.0f} mbar absolute" in told


def test_without_the_hose_a_plan_says_nothing_new_of_its_vents(panels: Any) -> None:
    """So that plans of old cases stay as they were, to the byte."""
    plan = checked(panels, panels.data())
    assert "far_end_mbar_abs" not in plan.model_dump(mode="json")["vents"][0]
    assert "flooded_at_s" not in plan.model_dump_json()


def test_an_outlet_of_a_vent_that_is_no_pipe_is_refused(panels: Any) -> None:
    """It would say where a hose joins that nothing is known of."""
    data = panels.data()
    data["vents"][0]["outlet"] = "start"
    with pytest.raises(InputError) as caught:
        case_from_mapping(data)
    (fault,) = caught.value.faults
    assert fault.path == "/vents/0/outlet"
    assert "pot_hose_bore_mm" in fault.expected


def test_vent_hoses_that_cannot_carry_the_air_are_no_vents(panels: Any) -> None:
    """20 m of 3 mm: by Hagen-Poiseuille far more than a tenth of the vacuum for the air that resin drives out; 12 mm of
    the same length do."""
    data, steps = panels.data(), panels.outward(("1", "2", "3"), ("2",))
    verdicts = {}
    for bore_mm in (3, 12):
        for vent in data["vents"]:
            vent |= {"hose_length_mm": 20_000, "pot_hose_bore_mm": bore_mm}
        plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(steps))
        verdicts[bore_mm] = [one.by_how_much for one in plan.reasons if one.requirement.startswith("vent lines")]
        assert (max(vent.air_mbar for vent in plan.vents) > 98.8) == (bore_mm == 3)
    assert verdicts[12] == []
    (said,) = verdicts[3]
    assert "of 988 that drive the resin" in said


def test_a_hose_shorter_than_the_height_it_spans_is_asked_about(panels: Any) -> None:
    """3 m above the supply, with hoses of 2.5 m and none before the manifold."""
    data = panels.data()
    data["supply"] = {"kind": "open_container", "surface_height_mm": -3000, "manifold_volume_litres": 0.5}
    warned = [one for one in read_back(case_from_mapping(data)).warnings if "is shorter than the" in one]
    assert len(warned) == 1
    assert "the 3000 mm between the height of its inlet and that of the supply" in warned[0]
    data["supply"]["surface_height_mm"] = -2000
    assert not any("is shorter than the" in one for one in read_back(case_from_mapping(data)).warnings)


def test_a_wet_out_that_hangs_on_a_corner_is_told_with_its_place(panels: Any) -> None:
    """Strongly directional cloth turned to the line leaves a corner in its lee, where flow goes to nothing: how
    long that takes is the cells' answer."""
    data = panels.data(lines_y_mm=(60,), cell_mm=50, coarse_cell_mm=50)
    cloth = next(iter(data["reinforcements"].values()))
    cloth["permeability"]["measured"] |= {"along_m2": 8e-10, "across_m2": 4e-11}
    for laminate in data["laminates"].values():
        laminate["layers"] = [{**layer, "angle_deg": 60} for layer in laminate["layers"] if "ply" in layer]
    plan = check_sequence_of_case(case_from_mapping(data), panels.sequence(panels.outward(("1",), ("1",))))
    (told,) = [one for one in plan.warnings if one.startswith("wet-out hangs on one place")]
    minutes = re.search(r"say minute (\d+\.\d), not (\d+\.\d)", told)
    assert minutes is not None
    finer_min, planned_min = map(float, minutes.groups())
    assert abs(finer_min / planned_min - 1) > 0.1
    seconds = (plan.wet_out_s, plan.proof.finer_cells.wet_out_s)
    assert (60 * planned_min, 60 * finer_min) == pytest.approx(seconds, abs=3.5)
    assert f"not {planned_min}" in plan.proof.finer_cells.says


def test_a_wet_out_that_cells_agree_on_is_not(panels: Any) -> None:
    """The panel as it is."""
    assert not any(one.startswith("wet-out hangs") for one in checked(panels, panels.data()).warnings)
