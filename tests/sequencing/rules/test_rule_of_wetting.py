"""A zone is wet when the first of the used lines has wet it."""

from __future__ import annotations

from typing import Any

from optimiser.sequencing.rules.wetting import zones_wet_by_first_line
from optimiser.sequencing.zone_problem import NEVER


def test_one_line_alone_wets_each_zone_at_its_arrival(one_rule: Any) -> None:
    """Trivial: with one line the minimum is that line's time."""
    problem = one_rule.problem()
    assert one_rule.lets_pass(zones_wet_by_first_line, problem, opens={1: 3}, wet={0: 5, 1: 5}, wet_out=5)


def test_zones_wet_too_early_too_late_or_by_no_line_are_refused(one_rule: Any) -> None:
    """Violated: wet_z = min over used lines of (opens_l + arrival_lz), and wet-out is not before the last zone."""
    problem, opens = one_rule.problem(), {0: 0, 2: 1}
    assert not one_rule.lets_pass(zones_wet_by_first_line, problem, opens=opens, wet={0: 0})
    assert not one_rule.lets_pass(zones_wet_by_first_line, problem, opens=opens, wet={1: 3})
    assert not one_rule.lets_pass(zones_wet_by_first_line, problem, opens=opens, wet_out=1)
    dry = one_rule.problem(arrival=((1, NEVER), (2, NEVER), (3, 1)))
    assert not one_rule.lets_pass(zones_wet_by_first_line, dry, opens={0: 0, 1: 0})


def test_zones_wet_by_the_first_line_are_let_pass(one_rule: Any) -> None:
    """Respected: zone 0 by line 0 at 0 + 1, zone 1 by line 2 at 1 + 1 before line 0 at 0 + 3."""
    problem = one_rule.problem()
    assert one_rule.lets_pass(zones_wet_by_first_line, problem, opens={0: 0, 2: 1}, wet={0: 1, 1: 2}, wet_out=2)
