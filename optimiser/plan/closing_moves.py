"""Lines closed once their work is done, so that a supply that is capped goes to those that still have some.

Without a cap and without loss on the way to the manifold one line more never wets anything later (comparison law),
so closing one wins no time; with a cap it wins what the line still sends into a vent, or through what is wet already.
"""

from __future__ import annotations

from math import ceil, inf

import numpy as np

from optimiser.filling.fill_run import FillRun, opening_times_s
from optimiser.filling.run_carrier import Scene
from optimiser.filling.tap_play import reached_at
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.sequencing.by_hand import Named
from optimiser.sequencing.triggers import with_steps_before_clamps

_SHARES = (0.25, 0.5, 0.75, 1.0)
_WHOLE_S = 10.0
"""Waits of the crew."""
_WORTH_SHARE = 0.05
"""A line is let be where its work is done so shortly before all is wet."""


def closing_moves(
    scene: Scene, name: str, sequence: Sequence, run: FillRun, *, worth_s: float
) -> list[Named]:
    """The sequence with each line closed once the bays beside it are wet, and with all of them closed so.

    A line is let be where less than `worth_s` can be won by it.
    """
    closings = {
        label: step
        for label, (done_s, step) in _closings(scene.network, sequence, run).items()
        if _lost_s(run, done_s, scene.drive.supply_pressure_pa) >= worth_s
    }
    moves: list[tuple[str, tuple[Step, ...]]] = [(f"closing {label}", (step,)) for label, step in closings.items()]
    if len(closings) > 1:
        moves.append(("closing each line that is done", tuple(closings.values())))
    return [
        Named(name=f"{name}, {how}", sequence=with_steps_before_clamps(sequence, steps))
        for how, steps in moves
    ]


def _lost_s(run: FillRun, from_s: float, supply_pa: float) -> float:
    """Time that the manifold costs from then on, as it has less than the supply: no closing can win more.

    Flow is in proportion to pressure: at the full pressure the front would go the same way in the time integral of
    the manifold's share of it, and no line less takes it there sooner (comparison law).
    """
    history = run.history
    lasts_s = np.clip(history.time_s[1:] - from_s, 0.0, np.diff(history.time_s))
    return float((lasts_s * (1 - history.manifold_pressure_pa[1:] / supply_pa)).sum())


def _closings(network: FlowNetwork, sequence: Sequence, run: FillRun) -> dict[str, tuple[float, Step]]:
    """By line: when its work is done, and the step that closes it then."""
    found = {}
    opened_s = opening_times_s(run)
    shut = {step.label for step in sequence.steps if step.action is Action.CLOSE}
    for label, open_s in opened_s.items():
        cells = network.bays[network.line_index[label]].cells
        done_s = float(network.latest(run.arrival_s)[cells].max(initial=0.0))
        if label in shut or not open_s < done_s < (1 - _WORTH_SHARE) * run.wet_out_s:
            continue
        trigger = _seen_last_before(network, run, done_s)
        if trigger is not None:
            found[label] = done_s, Step(action=Action.CLOSE, label=label, trigger=trigger)
    return found


def _seen_last_before(network: FlowNetwork, run: FillRun, done_s: float) -> Trigger | None:
    """What the crew sees last before that moment, and how long to wait from then."""
    seen = [
        (reached_at(network, place, share, run.arrival_s), place, share)
        for place in network.places
        for share in _SHARES
    ]
    at_s, place, share = max((one for one in seen if 0 < one[0] <= done_s), default=(inf, "", 0.0))
    if at_s > done_s:
        return None
    delay_s = ceil((done_s - at_s) / _WHOLE_S) * _WHOLE_S
    return Trigger(kind=TriggerKind.REACHED, place=place, share=share, delay_s=delay_s)
