"""The sequence model: variables and all rules."""

from __future__ import annotations

from ortools.sat.python import cp_model

from optimiser.sequencing.asked import Asked
from optimiser.sequencing.decisions import Decisions, decide
from optimiser.sequencing.rules.apart import pairs_kept_apart
from optimiser.sequencing.rules.draining import every_zone_drains
from optimiser.sequencing.rules.drawing import vents_draw
from optimiser.sequencing.rules.hands import taps_need_hands
from optimiser.sequencing.rules.in_time import wet_in_time, wet_when_supplied
from optimiser.sequencing.rules.lines import (
    lines_at_start,
    lines_in_given_order,
    lines_in_time,
    lines_together,
    lines_used,
)
from optimiser.sequencing.rules.waits import learnt_waits
from optimiser.sequencing.rules.wetting import zones_wet_by_first_line
from optimiser.sequencing.zone_problem import ZoneProblem

RULES = (
    lines_used,
    lines_at_start,
    lines_in_given_order,
    lines_together,
    lines_in_time,
    pairs_kept_apart,
    zones_wet_by_first_line,
    every_zone_drains,
    vents_draw,
    taps_need_hands,
    learnt_waits,
    wet_in_time,
    wet_when_supplied,
)


def build(problem: ZoneProblem, *, may_leave_out: bool = False) -> tuple[cp_model.CpModel, Decisions]:
    """may_leave_out: put all that the user asks for under literals."""
    model = cp_model.CpModel()
    decisions = decide(model, problem, Asked(model) if may_leave_out else None)
    for rule in RULES:
        rule(model, problem, decisions)
    return model, decisions
