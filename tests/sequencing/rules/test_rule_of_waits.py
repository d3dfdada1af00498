"""A line that closed round a region waits for it."""

from __future__ import annotations

from typing import Any

from optimiser.sequencing.rules.waits import learnt_waits
from optimiser.sequencing.zone_problem import WaitCut

CUT = WaitCut(start=frozenset({0}), line=1, zone=1)
SHOWN = WaitCut(start=frozenset({0}), line=1, zone=1, enough=3)


def test_what_was_learnt_with_another_start_binds_nobody(one_rule: Any) -> None:
    """Trivial: no cut, another start, more lines at the start, or the line stays shut."""
    for waits, opens in (
        ((), {0: 0, 1: 1}),
        ((CUT,), {2: 0, 1: 1}),
        ((CUT,), {0: 0, 2: 0, 1: 1}),
        ((CUT,), {0: 0, 2: 1}),
    ):
        assert one_rule.lets_pass(learnt_waits, one_rule.problem(waits=waits), opens=opens, wet={1: 6})


def test_a_line_that_does_not_wait_is_refused(one_rule: Any) -> None:
    """Violated: opens_l < min(wet_z, enough) with the start that it was learnt with."""
    assert not one_rule.lets_pass(learnt_waits, one_rule.problem(waits=(CUT,)), opens={0: 0, 1: 5}, wet={1: 6})
    shown = one_rule.problem(waits=(SHOWN,))
    assert not one_rule.lets_pass(learnt_waits, shown, opens={0: 0, 1: 2}, wet={1: 6})
    both = one_rule.problem(waits=(SHOWN, CUT))
    assert not one_rule.lets_pass(learnt_waits, both, opens={0: 0, 1: 3}, wet={1: 6})


def test_a_line_that_waits_for_the_zone_or_long_enough_is_let_pass(one_rule: Any) -> None:
    """Respected: the zone is wet, or the line opens as late as a clean run has shown to be enough."""
    assert one_rule.lets_pass(learnt_waits, one_rule.problem(waits=(CUT,)), opens={0: 0, 1: 6}, wet={1: 6})
    shown = one_rule.problem(waits=(SHOWN,))
    assert one_rule.lets_pass(learnt_waits, shown, opens={0: 0, 1: 3}, wet={1: 6})
    assert one_rule.lets_pass(learnt_waits, shown, opens={0: 0, 1: 2}, wet={1: 2})
