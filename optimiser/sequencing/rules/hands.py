"""Nobody works two taps at the same time."""

from ortools.sat.python import cp_model

from optimiser.sequencing.asked import HANDS_FIELD
from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import ZoneProblem


def taps_need_hands(model: cp_model.CpModel, problem: ZoneProblem, decisions: Decisions) -> None:
    """At any time at most `hands` of the spans [opens_l - action, opens_l) of used lines not at the start."""
    if problem.action == 0:
        return
    spans = []
    for line in range(problem.line_count):
        by_hand = model.new_bool_var(f"by hand {line}")
        model.add(by_hand == decisions.used[line] - decisions.at_start[line])
        model.add(decisions.opens[line] >= problem.action).only_enforce_if(by_hand)
        begins = model.new_int_var(-problem.action, problem.horizon, f"begins {line}")
        spans.append(
            model.new_optional_interval_var(begins, problem.action, decisions.opens[line], by_hand, f"turns {line}")
        )
    more = sum((1 - given) * problem.line_count for given in decisions.asked.by(HANDS_FIELD))
    model.add_cumulative(spans, [1] * len(spans), problem.hands + more)
