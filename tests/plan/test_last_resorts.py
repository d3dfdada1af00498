"""Where nothing that was tried holds, one line by itself may, or what is asked for by the clock."""

from __future__ import annotations

from typing import Any

from optimiser.case.plan_document import Verdict


def test_one_line_is_taken_where_no_two_may_be_open_together(panels: Any) -> None:
    """Fed from the middle to both vents, all is wet long before the gel limit; checked as a sequence it holds too."""
    rules = {"never_at_once": [["1", "2"], ["2", "3"], ["1", "3"]]}
    plan = panels.plan(rules=rules)
    assert plan.verdict is Verdict.VERIFIED
    alone = panels.outward(("2",), ("2",))
    checked = panels.check(alone, rules=rules)
    assert checked.verdict is Verdict.VERIFIED
    assert plan.wet_out_s <= checked.wet_out_s + 1.0


def test_it_is_not_tried_where_an_order_holds(panels: Any) -> None:
    """It would only be slower."""
    assert not any(one.name.endswith(" alone") for one in panels.plan().candidates)


WALKING = {
    "hands": 1,
    "seconds_per_action": 30,
    "manifolds": [{"name": "AFT", "labels": ["1", "3", "V-NEAR"]}, {"name": "FWD", "labels": ["2", "V-FAR"]}],
    "walks": [{"between": ["AFT", "FWD"], "walk_s": 60}],
}


def test_an_order_whose_taps_are_turned_as_fast_as_the_crew_can(panels: Any) -> None:
    """The walk to the second tap leaves resin of the first no time: the third is opened by the clock or too late. By
    arithmetic: two actions and two ways are over after 60 + 30 + 60 + 30 = 180 s, so it can be kept."""
    rules = {"start": ["1"], "order": ["1", "2", "3"], "latest": [{"label": "3", "latest_min": 4}]}
    plan = panels.plan(rules=rules, crew=WALKING)
    assert plan.verdict is Verdict.VERIFIED
    second_s, third_s = (one.expected_at_s for one in plan.steps if one.action == "open" and one.label in ("2", "3"))
    assert second_s < third_s <= 240
