"""The rules that a lead goes by without any calculation.

All at once, outward from the middle line and edge to edge, each on reach, and the clock of last time: common practice,
no source. Vents are clamped by sight in all of them, when resin has reached them.
"""

from __future__ import annotations

from dataclasses import replace

from optimiser.filling.many_runs import Scene, run_scene
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.part.shot import Shot
from optimiser.plan.hand_made import in_turn
from optimiser.plan.resin_clock import clock_of_process
from optimiser.plan.scenes import FULL, Scenes, limits_of, with_permeability
from optimiser.sequencing.by_hand import Named, all_at_once, line_groups, on_reach_from
from optimiser.sequencing.triggers import open_at_start, with_steps_before_clamps

ALL_AT_ONCE, FROM_MIDDLE, EDGE_TO_EDGE, LAST_CLOCK = (
    "all at once",
    "outward on reach",
    "edge to edge",
    "clock of last time",
)
RULES = (ALL_AT_ONCE, FROM_MIDDLE, EDGE_TO_EDGE, LAST_CLOCK)

WARMER_K, MORE_PERMEABLE = 5.0, 1.15
"""Last time's day against today's."""


def sequences_of(shot: Shot, scenes: Scenes) -> dict[str, list[Sequence]]:
    """By rule; two for edge to edge, one from each edge, or one where they are the same line."""
    part, lines = shot.part, list(line_groups(shot.part).values())
    middle, edges = lines[len(lines) // 2], dict.fromkeys((lines[0], lines[-1]))
    outward = _in_turn(shot, on_reach_from(part, middle, FROM_MIDDLE))
    return {
        ALL_AT_ONCE: [_in_turn(shot, all_at_once(part))],
        FROM_MIDDLE: [outward],
        EDGE_TO_EDGE: [_in_turn(shot, on_reach_from(part, edge, EDGE_TO_EDGE)) for edge in edges],
        LAST_CLOCK: [clock_of_last_time(shot, scenes, outward)],
    }


def clock_of_last_time(shot: Shot, scenes: Scenes, sequence: Sequence) -> Sequence:
    """The minutes at which the crew went to each tap on a warmer day, with fibre that let more through, by the clock.

    A line that the resin did not reach that day has no minute and stays shut.
    """
    run = run_scene(last_time(shot, scenes), sequence, limits_of(shot, scenes.gel_time_s))
    opens = [
        _by_the_clock(one.step, one.called_s)
        for one in run.steps
        if one.step.action is Action.OPEN
    ]
    clamps = tuple(step for step in sequence.steps if step.action is Action.CLAMP)
    return with_steps_before_clamps(Sequence(steps=clamps), opens)


def last_time(shot: Shot, scenes: Scenes) -> Scene:
    """The full network on last time's day; no warmer than the resin's own data reach."""
    process = shot.process
    warmer_k = min(WARMER_K, _warmest_k(shot) - max(process.mould_temperature_k, process.resin_temperature_k))
    that_day = replace(
        process,
        mould_temperature_k=process.mould_temperature_k + warmer_k,
        resin_temperature_k=process.resin_temperature_k + warmer_k,
        temperatures=tuple(
            replace(row, mould_k=row.mould_k + warmer_k, resin_k=row.resin_k + warmer_k) for row in process.temperatures
        ),
    )
    full = scenes.all[FULL]
    more = with_permeability(full, MORE_PERMEABLE + 0.0 * full.network.height_m)
    return replace(more, clock=clock_of_process(shot.resin, that_day).fluidity)


def _warmest_k(shot: Shot) -> float:
    points = (shot.resin.viscosity_points, shot.resin.gel_points)
    return min(max(point.temperature_k for point in each) for each in points)


def _in_turn(shot: Shot, named: Named) -> Sequence:
    return in_turn(shot, [named])[0].sequence


def _by_the_clock(step: Step, called_s: float) -> Step:
    if step.trigger.kind is TriggerKind.START:
        return open_at_start(step.label)
    return replace(step, trigger=Trigger(kind=TriggerKind.CLOCK, at_s=float(round(called_s))))
