"""Where no order of several lines holds, one line by itself may: slow, and nothing closes in between two."""

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
