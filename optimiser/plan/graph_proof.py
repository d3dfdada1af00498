"""What the zone graph has proven, and whether the network agrees with it."""

from __future__ import annotations

from optimiser.filling.fluidity_time import FluidityClock
from optimiser.plan.result import Candidate, GraphLevel, GraphProof, RoundRecord
from optimiser.sequencing.zone_problem import Choice, LevelName, Outcome

_IN_TICKS = frozenset({LevelName.WET_OUT, LevelName.MARGIN, LevelName.DRAWN, LevelName.EARLY})
_ROUNDED_TICKS = 2
"""A sequence on the graph is so much later than on the network at most: openings and arrivals are rounded up."""


def graph_proof(
    choice: Choice | None,
    *,
    zone_count: int,
    tick_s: float,
    clock: FluidityClock,
    rounds: tuple[RoundRecord, ...],
    ended_because: str,
) -> GraphProof:
    """choice: of the last turn; None: the graph was not asked. clock: that of the shot, from the graph's own."""
    found = choice if choice is not None and choice.found else None

    def on_the_shots_clock(ticks: int | None) -> float | None:
        return None if ticks is None else clock.lasting_s(0.0, float(ticks * tick_s))

    return GraphProof(
        zone_count=zone_count,
        outcome=None if choice is None else choice.outcome,
        optimum_s=None if found is None else on_the_shots_clock(found.wet_out),
        bound_s=None if found is None else on_the_shots_clock(found.levels[0][2]),
        agreed=False,
        levels=() if found is None else tuple(_level(*one, tick_s=tick_s) for one in found.levels),
        rounds=rounds,
        ended_because=ended_because,
    )


def network_agrees(proof: GraphProof, best: Candidate | None, *, tick_s: float) -> bool:
    """Whether the graph has proven its optimum, and the best that was played is neither slower nor faster.

    Slower than the optimum by a tick or more: the graph believes in something that the network has not confirmed.
    Faster, beyond what rounding takes: the network has refuted that the graph knows the best.
    """
    if proof.outcome is not Outcome.OPTIMAL or proof.optimum_s is None or best is None:
        return False
    later_s = best.run.wet_out_s - proof.optimum_s
    return -_ROUNDED_TICKS * tick_s <= later_s <= tick_s


def _level(name: LevelName, value: int, bound: int | None, *, tick_s: float) -> GraphLevel:
    in_seconds = name in _IN_TICKS
    each = tick_s if in_seconds else 1.0
    return GraphLevel(
        name=name, value=each * value, bound=None if bound is None else each * bound, in_seconds=in_seconds
    )
