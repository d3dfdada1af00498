"""Pairs never open at once, groups that open together, latest times, walks: kept by plans, told of given sequences."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument, PlannedStep, Verdict
from optimiser.case.planning import plan_case
from optimiser.case.read_case import case_from_mapping
from optimiser.plan.keep_rules import keeping_rules
from optimiser.plan.plan_shot import check_shot
from optimiser.plan.rules_of_taps import broken_rule
from optimiser.run_sheet.checks_before import checks
from optimiser.run_sheet.rows import every_row, step_groups

PANEL = {"length_mm": 500, "rounds": 1}
"""Three lines, vents along both edges: from line 2 resin comes to 1 and 3 at the same moment."""
PAIR = {**PANEL, "rules": {"never_at_once": [["1", "3"]], "start": ["2"]}}
MANIFOLDS = {
    "hands": 1,
    "seconds_per_action": 20,
    "manifolds": [{"name": "AFT", "labels": ["2", "1", "V-NEAR"]}, {"name": "FWD", "labels": ["3", "V-FAR"]}],
    "walks": [{"between": ["FWD", "AFT"], "walk_s": 50}],
}


def step_of(plan: PlanDocument, action: str, label: str) -> PlannedStep:
    (step,) = (one for one in plan.steps if (one.action, one.label) == (action, label))
    return step


def at_s(plan: PlanDocument, action: str, label: str) -> float:
    time_s = step_of(plan, action, label).expected_at_s
    assert time_s is not None
    return time_s


def test_the_first_of_a_pair_is_closed_and_the_other_opens(panels: Any) -> None:
    """Known by reasoning, with u for the time that 150 mm take (Darcy's law: time goes with the square of the way).

    From line 2 resin is at 1 and 3 after 4 u. The one opens and its edge is wet u later. Without the other line the
    far edge is wet from line 2 after 450 mm, 9 u. Handed over at 5 u, the front there has come 335 mm (sqrt 5 of 150),
    and from the line at 300 mm it needs 1 - (35/150)^2 more: less than 6 u. So the hand-over beats one line alone by a
    third and more, with all that hands take.
    """
    plan = panels.plan(**PAIR)
    (closed,) = (step for step in plan.steps if step.action == "close")
    first, second = closed.label, "1" if closed.label == "3" else "3"
    assert plan.verdict is Verdict.VERIFIED
    assert at_s(plan, "open", "2") == 0
    assert at_s(plan, "open", first) < at_s(plan, "close", first) <= at_s(plan, "open", second)
    assert closed.trigger.says == step_of(plan, "open", second).trigger.says, "one trigger, so the order is kept"
    alone = panels.plan(**PANEL, rules={"start": ["2"]}, uses={"3": "forbidden"})
    assert plan.wet_out_s < 2 / 3 * alone.wet_out_s


def test_the_sheet_prints_the_tap_to_be_closed(panels: Any) -> None:
    """CLOSE stands before the OPEN of the other, under one trigger."""
    rows = [(row.action, row.label) for row in every_row(step_groups(panels.plan(**PAIR)))]
    (place,) = (k for k, (action, _) in enumerate(rows) if action == "CLOSE")
    assert rows[place + 1][0] == "OPEN"
    assert {rows[place][1], rows[place + 1][1]} == {"TAP 1", "TAP 3"}


def test_a_given_sequence_with_both_open_is_told_for_how_long(panels: Any) -> None:
    """Outward from 2, 3 opens after 1 and neither is closed before the run ends."""
    checked = panels.check(panels.outward(("1", "2", "3"), ("2",)), **PAIR)
    reason = checked.reasons[0]
    assert checked.verdict is Verdict.NOT_ADMISSIBLE
    assert sorted(reason.where.split(" and ")) == ["1", "3"]
    assert reason.requirement == f"{reason.where} are never open at the same time"
    assert reason.remedy.startswith(f"close {reason.where[0]} before {reason.where[-1]} opens")


def test_a_group_opens_by_one_trigger(panels: Any) -> None:
    """From line 2 resin is at 1 long before it is at 3. Opened together both wait until it is near 3, by a sight there
    or by a wait after one at 1, else 3 would shut in what is dry before it; one person turns the second 15 s later."""
    uneven = {**PANEL, "width_mm": 1100, "lines_y_mm": (250, 450, 850)}
    plan = panels.plan(**uneven, rules={"together": [["1", "3"]], "start": ["2"]})
    taps = [step_of(plan, "open", label) for label in ("1", "3")]
    assert plan.verdict is Verdict.VERIFIED
    assert taps[0].trigger.says == taps[1].trigger.says
    assert abs(at_s(plan, "open", "1") - at_s(plan, "open", "3")) == pytest.approx(15)
    trigger = taps[0].trigger
    assert trigger.place == "3" or trigger.delay_s >= 30


def test_a_given_sequence_that_tears_a_group_apart_is_told_by_how_much(panels: Any) -> None:
    """Line 1 at the start, line 3 when resin is there."""
    checked = panels.check(panels.by_clock({"1": 0, "3": 400}), **PANEL, rules={"together": [["3", "1"]]})
    told = {reason.requirement: reason.by_how_much for reason in checked.reasons}
    assert told["3 and 1 open together, within 15 s"] == "415 s lie between them"


def test_a_latest_time_decides_the_start(panels: Any) -> None:
    """Line 1 must open, within half a minute. Started from 2 or 3 no resin is there by then, and opened dry it would
    shut in the bay before it: so 1 starts."""
    rules = {"latest": [{"label": "1", "latest_min": 0.5}]}
    plan = panels.plan(**PANEL, rules=rules, uses={"1": "required"})
    assert plan.verdict is Verdict.VERIFIED
    assert at_s(plan, "open", "1") == 0
    assert at_s(panels.plan(**PANEL), "open", "1") > 30


def test_a_given_sequence_that_opens_too_late_is_told_by_its_seconds(panels: Any) -> None:
    """By the clock at second 100, and one person needs 15 s."""
    rules = {"latest": [{"label": "1", "latest_min": 1.5}]}
    checked = panels.check(panels.by_clock({"2": 0, "1": 100, "3": 100}), **PANEL, rules=rules)
    told = {reason.requirement: reason.by_how_much for reason in checked.reasons}
    assert told["1 has been opened by minute 1.5"] == "opened 25 s later"


def test_what_the_run_never_came_to_is_not_kept(panels: Any) -> None:
    """From line 2 all is wet within minutes; 1 and 3 are called for by the clock, after eleven hours. Left out of the
    sequence they keep every rule but that of the required line."""
    rules = {"latest": [{"label": "3", "latest_min": 0.5}], "together": [["1", "3"]]}
    opens_s = {"2": 0, "1": 40000, "3": 40000}
    never = panels.check(panels.by_clock(opens_s), **PANEL, rules=rules, uses={"3": "required"})
    told = {reason.requirement: reason.by_how_much for reason in never.reasons}
    assert never.verdict is Verdict.NOT_ADMISSIBLE
    assert told == {
        "every required line opens": "1 required line left shut",
        "1 and 3 open together, within 15 s": "not all of them open",
        "3 has been opened by minute 0.5": "it stays shut",
    }
    assert panels.check(panels.by_clock({"2": 0}), **PANEL, rules=rules).verdict is Verdict.VERIFIED


def test_a_plan_opens_what_is_required_before_all_is_wet(panels: Any) -> None:
    """Line 3 is to be open at half a minute and never with 2, and both are required: a plan in which 3 takes the place
    of 2 after the last place is wet has not opened it."""
    rules = {"start": ["1"], "never_at_once": [["2", "3"]], "latest": [{"label": "3", "latest_min": 0.5}]}
    data = panels.data(**PANEL, rules=rules, uses={"2": "required", "3": "required"})
    data["search"]["remedies"] = False
    plan = plan_case(case_from_mapping(data))
    never = [step.label for step in plan.steps if step.action == "open" and step.expected_at_s is None]
    assert not never or plan.verdict is Verdict.NOT_ADMISSIBLE


def test_a_tap_that_all_is_wet_without_is_left_out(panels: Any) -> None:
    """Rewritten to keep its latest time, as it is not required; where it is, the clock calls for it in time."""
    rules = {"latest": [{"label": "3", "latest_min": 2}]}
    sequence = panels.sequence(panels.by_clock({"2": 0, "3": 40000}))
    for use, steps in (("candidate", 3), ("required", 4)):
        shot = panels.case(**PANEL, rules=rules, uses={"3": use}).shot
        run = check_shot(shot, sequence, workers=1).chosen.run
        (_, kept), *_ = keeping_rules(shot, sequence, run, pairs=False)
        again = check_shot(shot, kept, workers=1).chosen
        assert len(kept.steps) == steps
        assert broken_rule(shot, sequence, run)
        assert not broken_rule(shot, kept, again.run)


def test_the_plan_says_who_walks_where(panels: Any) -> None:
    """One person, at AFT from the start; each later step costs the tap and, on a change of place, the walk."""
    steps = panels.outward(("1", "2", "3"), ("2",))
    checked = panels.check(steps, **PANEL, crew=MANIFOLDS)
    assert checked.conditions.standing_at == ["AFT"]
    later = [step for step in checked.steps if step.person is not None]
    assert {step.person for step in later} == {1}
    here, free_s = "AFT", 0.0
    for step in later:
        needs_s = 20 + (50 if step.turned_at != here else 0)
        assert step.expected_at_s >= free_s + needs_s - 1e-6, step.label
        here, free_s = step.turned_at, step.expected_at_s
    rows = [row.what for row in every_row(step_groups(checked))]
    assert "tap, line 3, at FWD, person 1" in rows
    assert any(check.what == "Person 1 stands at" and check.planned == "AFT" for check in checks(checked))
