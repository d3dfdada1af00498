"""Look-up against the long way: the same sequence played on the full networks with the changed resin.

Where only the gel clock changes nothing else does; where viscosity changes, times go with it (fluidity time: put the
integral of dt / viscosity for time in Darcy's law). Everything else is refused, with its reason.
"""

from __future__ import annotations

import math
from copy import deepcopy
from dataclasses import replace
from typing import Any

import pytest

from cases import demo_case_path
from optimiser.case.change_document import read_change
from optimiser.case.read_text import read_data
from optimiser.revalidation.answer import Answer, CannotJudge, CannotLookUp, Kind, Way
from optimiser.revalidation.look_up import LITTLE, look_up


def gel_test(minutes: float) -> dict[str, Any]:
    return {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": minutes}}


def resin(factor: float = 1.0, **values: Any) -> dict[str, Any]:
    """The demo's resin, thicker by this factor."""
    block = deepcopy(read_data(demo_case_path("flat_panel"))["resin"])  # type: ignore[index,call-overload]
    for point in block["viscosity_points"]:
        point["viscosity_mpa_s"] *= factor
    return {"resin": {**block, **values}}


def answered(found: Answer | CannotLookUp | CannotJudge) -> Answer:
    assert isinstance(found, Answer), found
    return found


def agrees(stored: Any, change: dict[str, Any], *, off: float) -> Answer:
    """Asserts that look-up and full run say the same; gives the look-up's answer.

    That a full run says what a check of the sequence says is proven apart.
    """
    looked, played = answered(stored.look_up(change)), answered(stored.replay(change))
    assert (looked.way, looked.network_runs, played.way) == (Way.LOOK_UP, 0, Way.FULL_RUN)
    assert looked.wet_out_after_s == pytest.approx(played.wet_out_after_s, rel=off)
    assert looked.gel_limit_after_s == pytest.approx(played.gel_limit_after_s, rel=1e-12)
    assert looked.kind is played.kind
    return looked


@pytest.mark.parametrize("mould_c", [15.0, 19.5, 30.0])
def test_where_no_hands_are_needed_any_temperature_is_looked_up(yard: Any, mould_c: float) -> None:
    """Viscosity from 320 to 160 mPa s: the full run to 0.1 % of wet-out, and far closer."""
    stored = yard.stored(yard.middle_alone(), yard.data())
    change = {"mould_temperature_c": mould_c, "resin_temperature_c": mould_c}
    agrees(stored, change, off=LITTLE / 10)


def test_the_demo_is_looked_up_for_its_gel_clock_and_without_hands_for_its_viscosity(yard: Any) -> None:
    """The flat panel whole, on cells of 150 mm: the full run to the last bit, and to 0.01 % of wet-out."""
    data: Any = deepcopy(read_data(demo_case_path("flat_panel")))
    data["search"] = {"cell_mm": 150, "coarse_cell_mm": 300}
    agrees(yard.stored(yard.outward(), data), gel_test(70), off=1e-15)
    agrees(yard.stored(yard.middle_alone(), data), resin(1.15), off=LITTLE / 10)


SLOW = {
    "clock": [{"action": "open", "label": "1", "when": {"clock_s": 200}}],
    "delay": [{"action": "open", "label": "1", "when": {"reached": "1", "delay_s": 20}}],
    "hands": [{"action": "open", "label": "1", "when": {"reached": "1"}}],
}


@pytest.mark.parametrize("name", SLOW)
def test_a_change_of_gel_alone_is_exact_whatever_calls_for_the_taps(yard: Any, name: str) -> None:
    """Bit for bit the wet-out of the full run: nothing that moves the front has changed."""
    stored = yard.stored([*yard.middle_alone(), *SLOW[name]], yard.data())
    found = agrees(stored, gel_test(60), off=1e-15)
    assert found.wet_out_after_s == found.wet_out_before_s
    assert found.kind is Kind.NEW_CLOCK
    assert "gel moves from minute 90.0 to 60.0" in found.reason


def test_a_change_of_gel_is_exact_with_a_flow_cap(yard: Any) -> None:
    """The metering machine does not know how old its resin is."""
    machine = {"kind": "metering_machine", "pressure_cap_mbar_abs": 900, "flow_cap_kg_per_min": 0.4}
    data = yard.data()
    data["supply"] = {**machine, "manifold_height_mm": 0, "manifold_volume_litres": 0.5}
    stored = yard.stored(yard.outward(), data)
    agrees(stored, gel_test(60), off=1e-15)
    assert "flow cap" in refusal(stored, resin(0.999))
    assert "pressure cap" in refusal(stored, {"ambient_mbar_abs": 890})
    assert "flow cap is by weight" in refusal(stored, resin(density_kg_m3=1100))


def test_a_plan_that_gels_says_by_how_much(yard: Any) -> None:
    """Wet at its minute, limit at 70 % of twice two minutes or so: the difference in minutes."""
    stored = yard.stored(yard.outward(), yard.data())
    minutes = stored.facts.wet_out_s / 60
    found = agrees(stored, gel_test(minutes), off=1e-15)
    assert found.kind is Kind.NO_LONGER_VALID
    assert found.margin_after_s == pytest.approx(-0.3 * stored.facts.wet_out_s)
    up, down = math.ceil(10 * minutes) / 10, math.floor(7 * minutes) / 10
    assert f"wet at minute {up:.1f}, limit minute {down:.1f}, {up - down:.1f} min too late" in found.reason


@pytest.mark.parametrize(("minutes", "doubted"), [(9, True), (31, False), (269, False), (900, True)])
def test_a_gel_time_far_from_the_planned_one_is_doubted(yard: Any, minutes: float, doubted: bool) -> None:
    """The plan was made with 90 minutes: a figure out by ten is a unit or a slip, and must not pass without a word."""
    stored = yard.stored(yard.outward(), yard.data())
    assert ("CHECK THE TEST" in answered(stored.look_up(gel_test(minutes))).reason) is doubted


def test_a_gel_fraction_is_looked_up(yard: Any) -> None:
    """The limit moves, the front does not."""
    stored = yard.stored(yard.outward(), yard.data())
    assert agrees(stored, {"gel_fraction_percent": 60.0}, off=1e-15).kind is Kind.NEW_CLOCK


def test_nothing_that_matters_changed(yard: Any) -> None:
    """Gel a quarter of a minute sooner: the sheet of yesterday holds."""
    stored = yard.stored(yard.outward(), yard.data())
    found = agrees(stored, gel_test(89.75), off=1e-15)
    assert found.kind is Kind.STILL_VALID
    assert "no time on the sheet moves" in found.reason


def test_another_level_of_initiator_is_printed_again(yard: Any) -> None:
    """The sheet states how much initiator to weigh out, whatever it does to the clock."""
    data = yard.data()
    data["resin"]["gel_time_points"] += [
        {**point, "initiator_percent": 1.6, "gel_time_min": 0.999 * point["gel_time_min"]}
        for point in data["resin"]["gel_time_points"]
    ]
    found = agrees(yard.stored(yard.outward(), data), {"initiator_level_percent": 1.6}, off=1e-15)
    assert found.kind is Kind.NEW_CLOCK
    assert "initiator level goes from 1.5 to 1.6 %" in found.reason


def test_density_is_looked_up_where_nothing_hangs_on_it(yard: Any) -> None:
    """All at one height and nothing taken up by weight: bit for bit the full run; kilograms are printed again."""
    data = yard.data(supply={"surface_height_mm": 0})
    data["cores"]["grooved 12"]["surface_uptake_g_m2"] = 0
    found = agrees(yard.stored(yard.outward(), data), resin(density_kg_m3=1200), off=1e-15)
    assert "density goes from 1080 to 1200" in found.reason


def test_a_lock_stays_a_lock_whatever_the_resin(yard: Any) -> None:
    """The pattern goes with fluidity time, and the lock with it."""
    stored = yard.stored(yard.both_edges(), yard.data())
    found = agrees(stored, {"mould_temperature_c": 17.0}, off=LITTLE / 10)
    assert found.kind is Kind.NO_LONGER_VALID
    assert found.reason.startswith("no region may be cut off")


def test_late_on_finer_cells_is_for_the_runs_to_tell(yard: Any) -> None:
    """Wet in time on the network, and after the new gel limit on cells of half the size; with a later gel no more."""
    stored = yard.stored(yard.outward(), yard.data())
    later_s = 1.1 * stored.facts.wet_out_s
    facts = replace(stored.facts, finer_wet_out_s=later_s)
    minutes = 1.05 * stored.facts.wet_out_s / 60 / 0.7
    soon, late = (read_change(gel_test(factor * minutes)) for factor in (1.0, 1.2))
    refused = look_up(facts, soon)
    assert isinstance(refused, CannotLookUp)
    assert refused.reason.startswith("on cells of half the size")
    assert isinstance(look_up(facts, late), Answer)


def refusal(stored: Any, change: dict[str, Any]) -> str:
    found = stored.look_up(change)
    assert isinstance(found, CannotLookUp), found
    return found.reason


@pytest.mark.parametrize(("name", "said"), [("clock", "1 goes by the clock"), ("delay", "1 waits 20 s by the clock")])
def test_what_goes_by_the_clock_is_refused_with_another_viscosity(yard: Any, name: str, said: str) -> None:
    """A minute is a minute in any resin."""
    assert said in refusal(yard.stored([*yard.middle_alone(), *SLOW[name]], yard.data()), resin(1.01))


@pytest.mark.parametrize("seconds", [1, 15])
def test_taps_turned_on_the_way_are_refused_with_another_viscosity(yard: Any, seconds: int) -> None:
    """Hands take as long with any resin, be it a second; the taps are named."""
    crew = {"hands": 4, "seconds_per_action": seconds}
    said = refusal(yard.stored(yard.outward(), yard.data(crew=crew)), resin(1.01))
    assert f"hands take {seconds} s a tap with any resin: " in said
    assert {"1", "3", "V-NEAR", "V-FAR"} == set(said.split(": ")[1].split(", "))


def test_a_tap_turned_after_wet_out_in_every_run_is_no_matter(yard: Any) -> None:
    """A crew so slow that the vents are clamped when all is over, even where the part is fast: any viscosity."""
    steps = [*yard.middle_alone(), *yard.outward()[3:]]
    slow = yard.stored(steps, yard.data(crew={"hands": 2, "seconds_per_action": 900}))
    assert min(step.earliest_s for step in slow.facts.steps[1:]) > slow.facts.spread_wet_out_s[1]
    agrees(slow, resin(1.1), off=LITTLE / 10)


def giving(yard: Any, **blocks: Any) -> dict[str, Any]:
    """The panel under a bag that gives."""
    data: dict[str, Any] = yard.data(**blocks)
    law = {"stiffening_exponent": 0.1, "least_fibre_volume_percent": 30}
    data["laminates"] = {name: {**one, "compaction": law} for name, one in data["laminates"].items()}
    return data


def test_under_a_bag_that_gives_viscosity_is_still_looked_up(yard: Any) -> None:
    """The law knows pressures and no clock, so times go with viscosity: the full run to a ten-thousandth."""
    agrees(yard.stored(yard.middle_alone(), giving(yard)), resin(1.3), off=LITTLE / 10)


def test_another_pressure_on_a_bag_that_gives_is_refused(yard: Any) -> None:
    """A machine's cap keeps the driving pressure when the barometer falls; what presses on the plies falls with it."""
    machine = {
        "kind": "metering_machine",
        "flow_cap_kg_per_min": 20,
        "pressure_cap_mbar_abs": 900,
        "manifold_height_mm": 0,
        "manifold_volume_litres": 0.5,
    }
    change = {"ambient_mbar_abs": 1003}
    told = refusal(yard.stored(yard.middle_alone(), {**giving(yard), "supply": machine}), change)
    assert "the bag gives, and what presses on it goes from 988.0 to 978.0 mbar" in told
    assert isinstance(yard.stored(yard.middle_alone(), {**yard.data(), "supply": machine}).look_up(change), Answer)


def test_other_pressures_are_refused(yard: Any) -> None:
    """Air and vacuum that go together leave the driving pressure as it is."""
    stored = yard.stored(yard.outward(), yard.data())
    assert "driving pressure goes from 988.0 to 983.0 mbar" in refusal(stored, {"vacuum_mbar_abs": 30.0})
    both = {"vacuum_mbar_abs": 30.0, "ambient_mbar_abs": 1018.0}
    agrees(stored, both, off=1e-12)


def test_density_is_refused_where_something_hangs_on_it(yard: Any) -> None:
    """Heights first, then a core that takes resin up by weight."""
    heavy = resin(density_kg_m3=1200)
    assert "do not lie at one height" in refusal(yard.stored(yard.outward(), yard.data()), heavy)
    level = yard.data(supply={"surface_height_mm": 0})
    assert "takes up resin by weight" in refusal(yard.stored(yard.outward(), level), heavy)


def test_too_near_the_limit_is_refused(yard: Any) -> None:
    """Within a thousandth of it the full run decides; a gel clock alone needs no such margin."""
    stored = yard.stored(yard.middle_alone(), yard.data())
    wet_s, ratio = stored.facts.wet_out_s, 1.2
    near = {**resin(ratio), **gel_test(ratio * wet_s / 60 / 0.7 * 1.0005)}
    assert "within 0.1 % of the gel limit" in refusal(stored, near)
    assert answered(stored.look_up(gel_test(wet_s / 60 / 0.7 * 1.0005))).kind is Kind.NEW_CLOCK


def test_a_plan_that_never_got_wet_is_refused(yard: Any) -> None:
    """How long such a run is followed goes with the gel time."""
    stored = yard.stored(yard.middle_alone(), yard.data(supply={"surface_height_mm": -9300}))
    assert stored.facts.wet_out_s is None
    assert "stays dry" in refusal(stored, gel_test(80))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"mould_temperature_c": 40.0}, "/process/mould_temperature_c: found 40 degrees C"),
        ({"mould_temperature_c": 10.0}, "/process/mould_temperature_c: found 10 degrees C"),
        ({"initiator_level_percent": 1.7}, "/resin/initiator/level_percent: found 1.7 %"),
        ({"initiator_level_percent": 2.5}, "/resin/initiator/level_percent: found 2.5 %"),
        ({"gel_test": {"temperature_c": 35, "initiator_percent": 1.5, "gel_time_min": 40}}, "/gel_test: found a test"),
        (gel_test(2.5), "/gel_test/gel_time_min: found 2.5 min, which moves the gel time at 30 degrees C"),
    ],
)
def test_beyond_the_data_of_the_resin_nothing_is_judged(yard: Any, change: dict[str, Any], said: str) -> None:
    """Neither way guesses, and both say the same."""
    stored = yard.stored(yard.outward(), yard.data())
    looked, played = stored.look_up(change), stored.replay(change)
    assert isinstance(looked, CannotJudge)
    assert said in looked.reason
    assert played == looked
