"""Whether hose and manifold are bled before a step."""

from __future__ import annotations

from optimiser.part.sequence import Action, Step, TriggerKind
from optimiser.part.shot import Shot


def bled_before(shot: Shot, step: Step) -> bool:
    """Where the case says so, before every tap that opens after the start."""
    later = step.action is Action.OPEN and step.trigger.kind is not TriggerKind.START
    return later and shot.supply.bled_before_each_tap and shot.supply.manifold_volume_m3 > 0
