"""What if: stop, watch, call; in the words of this shot's supply."""

from __future__ import annotations

import re
from typing import Any

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.cautions import cautions_of
from optimiser.run_sheet.ending import ending
from optimiser.run_sheet.go_ahead import how_to_read, start_ticks
from optimiser.run_sheet.mixes import mixes_of
from optimiser.run_sheet.pdf_blocks import LONGEST_TEXT
from optimiser.run_sheet.what_ifs import IN_CHARGE, what_ifs

DANGERS = ("stop time", "smoke or heat", "peroxide spilt", "in the eye", "draws air", "pot is full")


def happens(plan: PlanDocument) -> str:
    return " | ".join(item.happens for item in what_ifs(plan)).lower()


def test_a_machine_has_no_containers_and_containers_have_no_alarm(
    plan: PlanDocument, machine_plan: PlanDocument
) -> None:
    """The crew reads of nothing that does not stand at this mould."""
    assert "container" not in " ".join(f"{item.happens} {item.do}" for item in what_ifs(machine_plan)).lower()
    assert "machine stops or alarms" in happens(machine_plan)
    assert "machine" not in happens(plan)
    assert "container runs low" in happens(plan)


def test_what_stops_a_shot_is_named(plan: PlanDocument) -> None:
    """Pump, power, catch pot, bag and a dry spot behind the front each have a row that ends in a call."""
    for what in ("pump or power", "catch pot fills", "bag lifts", "dry spot behind", *DANGERS):
        (found,) = [item for item in what_ifs(plan) if what in item.happens.lower()]
        assert "CALL" in found.do


def test_the_call_comes_at_the_latest_minute_not_at_the_limit(plan: PlanDocument) -> None:
    """3660 s is minute 61; the limit of 3780 s is minute 63: 60 s to the minute."""
    last = what_ifs(plan)[-2]
    assert last.happens == "Not all wet at min 61"
    assert last.do.startswith("CALL at min 61")
    assert "STOP TIME" in last.do


def test_a_plan_that_may_run_past_the_limit_calls_at_the_limit(fields: dict[str, Any]) -> None:
    """Latest wet-out 4000 s, limit 3780 s: minute 63, rounded down."""
    fields["spread_wet_out_s"] = (2_340.0, 4_000.0)
    assert what_ifs(PlanDocument.model_validate(fields))[-2].happens == "Not all wet at min 63"


def test_stop_time_ends_the_shot_but_not_the_vacuum(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """No tap is opened after it, with whatever supply; and there is room for the number to call."""
    for one in (plan, machine_plan):
        (found,) = [item for item in what_ifs(one) if item.happens == "STOP TIME reached"]
        assert found.do.startswith("CALL TEN MINUTES BEFORE: the person in charge decides")
        assert "Open nothing more. SHUT EVERY OPEN TAP. Clamp nothing more: vents open, PUMP ON" in found.do
    assert re.search(r"CALL: _+ phone _+", IN_CHARGE)


def test_a_step_by_the_clock_waits_for_its_time(plan: PlanDocument, fields: dict[str, Any]) -> None:
    """Said where the plan has one: elsewhere nothing goes by the clock."""
    fields["steps"][3]["trigger"] = {"kind": "clock", "at_s": 600.0, "says": "at minute 10 by the clock"}
    marked = "A step marked CLOCK waits for its time"
    for one, said in ((plan, False), (PlanDocument.model_validate(fields), True)):
        (early,) = [item for item in what_ifs(one) if item.happens == "A step is early"]
        assert (marked in early.do) is said
        assert "the trigger counts, not the clock" in early.do.lower()


def found(plan: PlanDocument, what: str) -> str:
    """What the one row says to do."""
    (item,) = [item for item in what_ifs(plan) if what in item.happens]
    return item.do


def test_no_hose_is_taken_out_of_resin_under_an_open_tap(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """It would draw air: taps are shut before a hose is moved, and when a machine stands. Common practice, no
    source."""
    for what in ("wrong or double initiator", "turns warm or thick"):
        do = found(plan, what)
        assert do.startswith("SHUT EVERY OPEN TAP FIRST, only then hose out of it")
        assert do.endswith("CALL.")
    stops = found(machine_plan, "Machine stops")
    assert stops.startswith("Standing at its cap and starting again by itself is normal."), "not the whole hull shut"
    assert "Stopped for more than ____ s, or an alarm: SHUT EVERY OPEN TAP" in stops


def test_a_bag_is_cut_off_from_a_pump_that_fails(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """Air would come back through it; a machine is stopped before. Common practice, no source."""
    valve = "Shut the valve between pump and pots AT ONCE"
    assert found(plan, "Pump or power").startswith(valve)
    assert found(machine_plan, "Pump or power").startswith(f"STOP THE MACHINE. {valve}")


def test_a_machine_is_stopped_and_shut_off_before_anything_is_looked_for(machine_plan: PlanDocument) -> None:
    """All taps hang on one manifold: what draws air at one sends it to the others. Common practice, no source."""
    does = {one.happens: one.do for one in what_ifs(machine_plan)}
    shut = ("Resin runs out, a hose draws air", "Hose leaks or bursts, or pressure stays above its cap")
    assert all(does[what].startswith("STOP THE MACHINE, SHUT EVERY OPEN TAP") for what in shut)
    for what in ("Catch pot is full", "A hiss, or the vacuum drops", "Bag lifts or goes soft", "Pump or power fails"):
        assert does[what].startswith("STOP THE MACHINE. ")


def test_bubbles_that_do_not_end_are_asked_about(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """On every sheet, since every manifold is filled; the first of them are the air that must out. Common practice, no
    source."""
    for one in (plan, machine_plan):
        assert found(one, "bubbles in the hose do not end").startswith("Shut the FLUSH VALVE, open no tap")


def test_what_was_turned_by_mistake_is_not_made_worse(plan: PlanDocument) -> None:
    """Left and told, shut only before resin is past its hose; a vent is opened again only while none is past it.
    Common practice, no source."""
    tap = found(plan, "Wrong tap opened")
    assert tap.startswith("LEAVE IT, CALL AT ONCE, open no other")
    assert "within seconds and no resin has passed its hose: shut it" in tap
    assert "No resin past it? Open it again at once." in found(plan, "Wrong vent clamped")
    assert found(plan, "race track").startswith("Open nothing ahead of it")


def test_with_no_vent_drawing_every_feed_is_shut(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """Pump out, pot shut off or bag soft: else the part fills on. Common practice, no source."""
    for one in (plan, machine_plan):
        for what in ("Pump or power", "Catch pot is full", "goes soft"):
            assert "No vent drawing any more? SHUT EVERY FEED, CALL." in found(one, what)


def test_a_container_that_ran_out_is_come_back_from_by_the_flush_valve(plan: PlanDocument) -> None:
    """Air in the manifold goes into the pot, not into the part. Common practice, no source."""
    do = found(plan, "Resin runs out")
    order = ("SHUT EVERY OPEN TAP and clamp the SUPPLY", "lead's word", "new mix", "FLUSH VALVE open", "no bubbles")
    assert sorted(order, key=do.index) == list(order)


def test_nothing_that_guards_somebody_is_cut_short(plan: PlanDocument, machine_plan: PlanDocument) -> None:
    """The file cuts a text that is longer than bearable; what is said here must never be."""
    for one in (plan, machine_plan):
        said = [item.do for item in what_ifs(one)] + [caution.text for caution in cautions_of(one)]
        said += [*mixes_of(one).says, *how_to_read(one), *start_ticks(one), *ending(one).decided]
        assert max(map(len, said)) <= LONGEST_TEXT


def test_the_usual_cautions_of_vapour_and_splash_are_there(plan: PlanDocument) -> None:
    """The data sheets decide. Common practice, no source."""
    said = " ".join(caution.text for caution in cautions_of(plan))
    for words in ("HEAVY", "earthed", "no ordinary drill", "clothing: water AT ONCE", "peroxide in NO CLOSED BIN"):
        assert words in said
