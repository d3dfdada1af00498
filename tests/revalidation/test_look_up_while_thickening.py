"""Where resin thickens, a look-up in fluidity time is what the runs find, and where it would not be it is refused."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import Verdict
from optimiser.revalidation.answer import CannotLookUp
from optimiser.revalidation.facts import facts_from_plain, facts_to_plain

TABLE = {
    "temperature_c": 20,
    "initiator_percent": 1.5,
    "points": [
        {"age_min": 0, "viscosity_mpa_s": 250},
        {"age_min": 5, "viscosity_mpa_s": 320},
        {"age_min": 15, "viscosity_mpa_s": 700},
        {"age_min": 80, "viscosity_mpa_s": 9000},
    ],
}
"""Invented; it thickens much sooner than a resin for infusion may, so that the little panel shows it."""
EXACT = 1e-3
"""What a look-up promises."""


def resin(yard: Any, **changed: Any) -> dict[str, Any]:
    return {**yard.data()["resin"], "viscosity_with_age": TABLE, **changed}


def thicker(yard: Any, by: float) -> dict[str, Any]:
    """Another batch, thicker from the start."""
    fresh = yard.data()["resin"]["viscosity_points"]
    points = [{**point, "viscosity_mpa_s": by * point["viscosity_mpa_s"]} for point in fresh]
    return resin(yard, batch="A-118", viscosity_points=points)


@pytest.fixture(scope="module")
def alone(yard: Any) -> Any:
    """The middle line, opened at the start."""
    return yard.stored(yard.middle_alone(), yard.data(resin=resin(yard), process={"age_at_first_tap_min": 2}))


def test_the_plan_tells_how_the_resin_thickens(alone: Any, yard: Any) -> None:
    """And takes longer than it would with fresh resin."""
    clock, fresh = alone.plan.gel_clock, yard.stored(yard.middle_alone(), yard.data()).plan
    assert fresh.gel_clock is None
    assert "gel_clock" not in fresh.model_dump(mode="json")
    assert alone.plan.verdict is Verdict.VERIFIED
    assert alone.plan.wet_out_s > 1.2 * fresh.wet_out_s
    assert 250 < clock.viscosity_first_tap_mpa_s < clock.viscosity_wet_out_mpa_s
    assert alone.plan.gel_limit_s == pytest.approx(fresh.gel_limit_s - 120)
    assert alone.plan.gel_margin_s == pytest.approx(alone.plan.gel_limit_s - alone.plan.wet_out_s)


@pytest.mark.parametrize(
    "change",
    [
        {"mould_temperature_c": 23, "resin_temperature_c": 22},
        {"gel_test": {"temperature_c": 20, "initiator_percent": 1.5, "gel_time_min": 60}},
        {"gel_fraction_percent": 50},
        "thicker",
        "fresh",
    ],
    ids=str,
)
def test_a_look_up_is_what_the_runs_find(alone: Any, yard: Any, change: Any) -> None:
    """Warmer, gelling sooner (and so thickening sooner), thicker from the start, or a resin not known to thicken."""
    if change == "thicker":
        change = {"resin": thicker(yard, 1.15)}
    elif change == "fresh":
        change = {"resin": yard.data()["resin"]}
    looked, played = alone.look_up(change), alone.replay(change)
    assert looked.kind is played.kind
    assert looked.wet_out_after_s == pytest.approx(played.wet_out_after_s, rel=EXACT)
    assert looked.gel_limit_after_s == pytest.approx(played.gel_limit_after_s, rel=1e-9)
    checked = alone.check(change)
    assert looked.wet_out_after_s == pytest.approx(checked.wet_out_s, rel=EXACT)
    assert looked.gel_limit_after_s == pytest.approx(checked.gel_limit_s, rel=1e-9)


def test_resin_that_begins_to_thicken_is_looked_up_from_a_plan_without(yard: Any) -> None:
    """The other way round: ten minutes before the first tap are taken then, by both ways."""
    fresh = yard.stored(yard.middle_alone(), yard.data())
    looked, played = (ask({"resin": resin(yard)}) for ask in (fresh.look_up, fresh.replay))
    assert looked.wet_out_after_s > 1.5 * fresh.plan.wet_out_s
    assert looked.wet_out_after_s == pytest.approx(played.wet_out_after_s, rel=EXACT)
    assert looked.gel_limit_after_s == pytest.approx(played.gel_limit_after_s, rel=1e-9)


def test_taps_turned_on_the_way_are_left_to_the_runs(yard: Any) -> None:
    """Hands take as long with any resin."""
    stored = yard.stored(yard.outward(), yard.data(resin=resin(yard), process={"age_at_first_tap_min": 2}))
    found = stored.look_up({"resin": thicker(yard, 1.1)})
    assert isinstance(found, CannotLookUp)
    assert found.reason.startswith("the viscosity takes another course over the shot, and hands take 15 s")
    assert not isinstance(stored.look_up({"gel_fraction_percent": 60}), CannotLookUp)


def test_a_limit_past_the_table_is_left_to_the_runs_which_refuse_it(alone: Any) -> None:
    """The table ends at 80 min, 89 % of the gel time."""
    assert isinstance(alone.look_up({"gel_fraction_percent": 95}), CannotLookUp)
    assert "viscosity_with_age" in alone.replay({"gel_fraction_percent": 95}).reason


COURSE = [
    {"at_min": 0, "mould_temperature_c": 20, "resin_temperature_c": 20},
    {"at_min": 5, "mould_temperature_c": 16, "resin_temperature_c": 20},
    {"at_min": 90, "mould_temperature_c": 16, "resin_temperature_c": 20},
]


def test_a_shop_that_cools_is_looked_up_unless_its_temperatures_move(yard: Any) -> None:
    """Another batch at the same temperatures by look-up; a colder morning by the runs, which move them all."""
    stored = yard.stored(yard.middle_alone(), yard.data(process={"temperatures": COURSE}))
    assert [row.mould_temperature_c for row in stored.plan.gel_clock.temperatures] == [20, 16, 16]
    batch = {"resin": thicker(yard, 1.1) | {"viscosity_with_age": None}}
    assert stored.look_up(batch).wet_out_after_s == pytest.approx(stored.replay(batch).wet_out_after_s, rel=EXACT)
    colder = {"mould_temperature_c": 19}
    assert isinstance(stored.look_up(colder), CannotLookUp)
    assert stored.replay(colder).wet_out_after_s > stored.plan.wet_out_s


def test_facts_of_the_age_are_kept_and_others_say_nothing_of_it(alone: Any, yard: Any) -> None:
    """So that facts equal what was kept by earlier versions."""
    warmed = yard.stored(yard.middle_alone(), yard.data(process={"temperatures": COURSE, "age_at_first_tap_min": 0}))
    for stored in (alone, warmed):
        assert facts_from_plain(facts_to_plain(stored.facts)) == stored.facts
    assert facts_to_plain(warmed.facts)["age_at_first_tap_min"] == 0
    assert len(facts_to_plain(warmed.facts)["temperatures"]) == 3
    plain = facts_to_plain(yard.stored(yard.middle_alone(), yard.data()).facts)
    assert not {"age_at_first_tap_min", "temperatures", "at_each_place", "mixes_timed"} & set(plain)
