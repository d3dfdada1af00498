"""Where a catch pot would run over: its vent clamped before resin stands all along it, or another order."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace

from optimiser.part.sequence import Action, Sequence, TriggerKind
from optimiser.plan.catch_pots import running_over
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.conflict import admissible
from optimiser.plan.merit import rank
from optimiser.plan.result import Verified
from optimiser.plan.verify import on_full, with_spread
from optimiser.sequencing.by_hand import Named
from optimiser.sequencing.triggers import idle_vents, without_vent

SHARES = (0.9, 0.75, 0.5, 0.25)
"""Of the vent, along which resin stands when it is clamped: what can be told by eye beside the part."""
_MOST_PLAYED = 4
"""On the full network, best first."""


def clamp_sooner_where_a_pot_runs_over(
    chooser: Chooser, chosen: Verified, verified: list[Verified], tell: Report, fraction: float
) -> Verified:
    """The best that is admissible, its pots too; what was chosen where none is, or no pot runs over. What is played for
    it takes its place among the verified.
    """
    part = chooser.shot.part
    over = running_over(part, chosen.run)
    if not over or not chosen.holds or chooser.patience.search_is_over:
        return chosen
    chooser.play(_sooner(chooser, chosen, over), "clamping vents sooner", (fraction, fraction))
    known = {one.sequence: one for one in verified}
    keep = [one for one in chooser.candidates if one.clean and not running_over(part, one.run)]
    for one in sorted(keep, key=rank)[:_MOST_PLAYED]:
        played = known.get(one.sequence) or on_full(chooser, [one], chooser.limits, tell, fraction)[0]
        if played.clean and not played.spread_runs:
            played = with_spread(chooser, played, tell)
        verified[:] = [*(other for other in verified if other.sequence != played.sequence), played]
        if admissible(chooser, played):
            return played
    return chosen


def _sooner(chooser: Chooser, chosen: Verified, over: Collection[str]) -> Iterator[Named]:
    """These vents clamped at a share of their length, or from the start where they may stay clamped."""
    for share in SHARES:
        sequence = _at_share(chosen.sequence, over, share)
        yield Named(name=f"{chosen.name}, {', '.join(over)} clamped at {share:.0%}", sequence=sequence)
    idle = idle_vents(chosen.sequence)
    for label in over:
        if label in chooser.vents_to_choose() and label not in idle:
            yield Named(name=f"{chosen.name}, without vent {label}", sequence=without_vent(chosen.sequence, label))


def _at_share(sequence: Sequence, vents: Collection[str], share: float) -> Sequence:
    """Only what waits for resin all along; what calls for it by the clock, or sooner, is left."""
    steps = (
        replace(step, trigger=replace(step.trigger, share=share))
        if step.action is Action.CLAMP
        and step.label in vents
        and step.trigger.kind is TriggerKind.REACHED
        and step.trigger.share > share
        else step
        for step in sequence.steps
    )
    return replace(sequence, steps=tuple(steps))
