"""The variables of the sequence model, made once and named; rules and objective only read them."""

from __future__ import annotations

from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from optimiser.sequencing.asked import Asked
from optimiser.sequencing.zone_problem import NEVER, ZoneProblem


@dataclass(frozen=True, kw_only=True)
class Decisions:
    used: tuple[cp_model.IntVar, ...]
    """Line opens at all."""
    at_start: tuple[cp_model.IntVar, ...]
    """Line opens at time 0."""
    opens: tuple[cp_model.IntVar, ...]
    """When; 0 for a line that is not used."""
    wet: tuple[cp_model.IntVar, ...]
    """When each zone is wet."""
    wets: dict[tuple[int, int], cp_model.IntVar]
    """(line, zone): this line is the one that wets the zone first."""
    drains: dict[tuple[int, int], cp_model.IntVar]
    """(zone, neighbour): the neighbour is wet later, so the zone drains into it."""
    wet_out: cp_model.IntVar
    vents: tuple[cp_model.IntVar, ...]
    """Vent that may be left clamped is used."""
    margin: cp_model.IntVar
    """How long at least the way out of every zone without a vent stays open after it is wet."""
    drawing: tuple[tuple[cp_model.IntVar, cp_model.IntVar], ...]
    """Since when and until when each vent draws: those always open, then those that may be left clamped."""
    closes: dict[int, cp_model.IntVar]
    """When a line of a pair is shut; the horizon where it stays open."""
    closed: dict[int, cp_model.IntVar]
    """Line of a pair is shut again."""
    in_time: dict[tuple[int, int], cp_model.IntVar]
    """(line of a pair, zone): its resin would be there before it is shut."""
    asked: Asked = field(default_factory=Asked)
    """What may be left out to see whether the rest holds."""


def decide(model: cp_model.CpModel, problem: ZoneProblem, asked: Asked | None = None) -> Decisions:
    asked = asked or Asked()
    lines, zones, horizon = range(problem.line_count), range(problem.zone_count), problem.horizon
    reached = [
        (k, z)
        for k in lines
        for z in zones
        if problem.arrival[k][z] != NEVER and (k not in problem.forbidden or asked.may_be_left_out)
    ]
    return Decisions(
        used=tuple(model.new_bool_var(f"used {k}") for k in lines),
        at_start=tuple(model.new_bool_var(f"at start {k}") for k in lines),
        opens=tuple(model.new_int_var(0, horizon, f"opens {k}") for k in lines),
        wet=tuple(model.new_int_var(0, horizon, f"wet {z}") for z in zones),
        wets={(k, z): model.new_bool_var(f"{k} wets {z}") for k, z in reached},
        drains={
            (z, y): model.new_bool_var(f"{z} drains to {y}")
            for z in zones
            if z not in problem.vented
            for y in sorted(problem.neighbours[z])
        },
        wet_out=model.new_int_var(0, horizon, "wet out"),
        vents=tuple(model.new_bool_var(f"vent {k}") for k in range(len(problem.vents))),
        margin=model.new_int_var(0, horizon, "margin"),
        drawing=tuple(
            (model.new_int_var(0, horizon, f"vent {k} since"), model.new_int_var(0, horizon, f"vent {k} until"))
            for k in range(len(problem.always_open) + len(problem.vents))
        ),
        closes={k: model.new_int_var(0, horizon, f"closes {k}") for k in problem.partners},
        closed={k: model.new_bool_var(f"closed {k}") for k in problem.partners},
        in_time={(k, z): model.new_bool_var(f"{k} in time at {z}") for k, z in reached if k in problem.partners},
        asked=asked,
    )
