"""Downstream of every region there is an open vent."""

from __future__ import annotations

from typing import Any

from optimiser.sequencing.rules.draining import every_zone_drains


def test_zones_with_vents_may_be_wet_in_any_order(one_rule: Any) -> None:
    """Trivial: every zone has its own vent."""
    for wet in ({0: 1, 1: 5}, {0: 5, 1: 1}, {0: 3, 1: 3}):
        assert one_rule.lets_pass(every_zone_drains, one_rule.problem(), wet=wet)


def test_a_zone_wet_last_of_all_without_a_vent_is_refused(one_rule: Any) -> None:
    """Violated: no neighbour with wet_y >= wet_z + margin_zy; without any vent, no times at all will do."""
    problem = one_rule.problem(vented=frozenset({1}), neighbours=({1: 2}, {0: 1}))
    assert not one_rule.lets_pass(every_zone_drains, problem, wet={0: 5, 1: 1})
    assert not one_rule.lets_pass(every_zone_drains, problem, wet={0: 4, 1: 5})
    assert not one_rule.lets_pass(every_zone_drains, one_rule.problem(vented=frozenset()))
    alone = one_rule.problem(vented=frozenset({1}), neighbours=({}, {}))
    assert not one_rule.lets_pass(every_zone_drains, alone)


def test_a_zone_with_a_later_neighbour_is_let_pass(one_rule: Any) -> None:
    """Respected: the neighbour is later by exactly the margin."""
    problem = one_rule.problem(vented=frozenset({1}), neighbours=({1: 2}, {0: 1}))
    assert one_rule.lets_pass(every_zone_drains, problem, wet={0: 3, 1: 5})


def test_a_vent_that_may_be_left_clamped_drains_only_where_it_is_used(one_rule: Any) -> None:
    """Zone 0 is wet last of all: with the vent on it that is no violation, unless the vent may not be used either."""
    lone = {"vented": frozenset({1}), "neighbours": ({1: 1}, {0: 1})}
    problem = one_rule.problem(**lone, vents=(frozenset({0}),))
    assert one_rule.lets_pass(every_zone_drains, problem, wet={0: 5, 1: 1})

    def left_clamped(model: Any, problem: Any, decisions: Any) -> None:
        every_zone_drains(model, problem, decisions)
        model.add(decisions.vents[0] == 0)

    assert not one_rule.lets_pass(left_clamped, problem, wet={0: 5, 1: 1})
    assert one_rule.lets_pass(left_clamped, problem, wet={0: 1, 1: 5})
