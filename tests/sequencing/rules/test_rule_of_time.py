"""All is wet before the gel limit."""

from __future__ import annotations

from typing import Any

from optimiser.sequencing.rules.in_time import wet_in_time, wet_when_supplied


def test_without_a_limit_any_wet_out_will_do(one_rule: Any) -> None:
    """Trivial: the best choice is looked for, however late."""
    assert one_rule.lets_pass(wet_in_time, one_rule.problem(), wet_out=9)


def test_a_wet_out_after_the_limit_is_refused(one_rule: Any) -> None:
    """Violated: wet_out <= limit."""
    assert not one_rule.lets_pass(wet_in_time, one_rule.problem(limit=5), wet_out=6)


def test_a_wet_out_at_the_limit_is_let_pass(one_rule: Any) -> None:
    """Respected."""
    assert one_rule.lets_pass(wet_in_time, one_rule.problem(limit=5), wet_out=5)


def test_all_is_not_wet_before_a_capped_supply_has_filled_the_part(one_rule: Any) -> None:
    """Violated: wet_out >= supplied; respected at that tick; without a cap any time will do."""
    capped = one_rule.problem(supplied=4)
    assert not one_rule.lets_pass(wet_when_supplied, capped, wet_out=3)
    assert one_rule.lets_pass(wet_when_supplied, capped, wet_out=4)
    assert one_rule.lets_pass(wet_when_supplied, one_rule.problem(), wet_out=0)
