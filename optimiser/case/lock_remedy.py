"""What would have kept a region from being locked: what to do otherwise next time."""

from __future__ import annotations

from collections.abc import Sequence

from optimiser.case.lock_words import beside_vent
from optimiser.filling.fill_run import FillRun, Lock
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Action, TriggerKind

_ANOTHER_OR_A_VENT = "start from another line, or set a vent at that place"
_LATER_OR_A_VENT = f"open the line that closes it later, {_ANOTHER_OR_A_VENT}"
_ALL_ON_TOOL_SIDE = (
    "stop a mesh short of that place by what resin leads in it, open the line that closes it later, or measure how the "
    "laminate passes resin through its thickness"
)
_AT_ONCE_S = 1.0
"""A region that a clamp locks is locked when the clamp is closed, to within a step."""


def remedy_of(run: FillRun, locks: Sequence[Lock], network: FlowNetwork | None = None) -> str:
    """Of the locks of a run that fail, at least one; network: that of the run, where it is at hand."""
    worst = max(locks, key=lambda lock: lock.pore_m3)
    clamped = [
        one.step.label
        for one in run.steps
        if one.step.action is Action.CLAMP and abs(one.done_s - worst.at_s) < _AT_ONCE_S
    ]
    if clamped:
        return f"clamp {' and '.join(clamped)} later, once resin stands all along it"
    vent = None if network is None else beside_vent(network, worst)
    if vent is not None:
        return f"lay {vent} on the edge, or clamp it only once nothing beside it is dry; else {_LATER_OR_A_VENT}"
    if all(lock.on_tool_side for lock in locks):
        return _ALL_ON_TOOL_SIDE
    return _LATER_OR_A_VENT if _closed_by_one_opened_later(run, worst) else _ANOTHER_OR_A_VENT


def _closed_by_one_opened_later(run: FillRun, lock: Lock) -> bool:
    """Whether two lines close it, one of which may wait, or one that was not the first of the shot."""
    at_start = {
        one.step.label
        for one in run.steps
        if one.step.action is Action.OPEN and one.step.trigger.kind is TriggerKind.START
    }
    return len(lock.closed_by) > 1 or not set(lock.closed_by) <= at_start
