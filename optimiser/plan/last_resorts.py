"""Where nothing that was tried holds: what is slow, or goes by the clock, and may hold all the same."""

from __future__ import annotations

from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.part.shot import Shot
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.conflict import admissible
from optimiser.plan.hand_made import in_turn
from optimiser.plan.result import Verified
from optimiser.plan.verify import verify
from optimiser.sequencing.by_hand import Named, one_line_alone, usable_labels
from optimiser.sequencing.triggers import clamps_of, open_at_start, open_when_wet_up_to

_AT_ONCE_S = 1.0
"""Called for by the clock so soon after the first tap, they wait for hands alone."""


def last_resort(
    chooser: Chooser, chosen: Verified, verified: list[Verified], tell: Report
) -> tuple[Verified, list[Verified]]:
    """With one line alone, in which nothing can close in between two lines, or with the lines that were asked for
    opened by the clock, where that holds in time; else all is as before."""
    known = list(chooser.candidates)
    named = as_soon_as_hands_allow(chooser.shot)
    if not (chosen.run.clean and chosen.clean_in_spread):  # else it is late or breaks a rule, and one line is later
        named = [*one_line_alone(chooser.shot.part), *named]
    chooser.play(in_turn(chooser.shot, named), "last resorts", (0.75, 0.75))
    if any(one.clean for one in chooser.candidates[len(known) :]):
        found, played = verify(chooser, tell)
        if admissible(chooser, found):
            return found, played
    chooser.candidates[:] = known
    return chosen, verified


def as_soon_as_hands_allow(shot: Shot) -> list[Named]:
    """Lines with a place in the order or a latest time, by the clock one after the other as fast as the crew can; all
    others stay shut, or open bay by bay. None without such rules."""
    rules = shot.rules
    by_time = sorted(rules.latest_s, key=lambda one: one[1])
    labels = usable_labels(shot.part)
    asked = [one for one in dict.fromkeys((*rules.order, *(label for label, _ in by_time))) if one in labels]
    if not asked:
        return []
    start = rules.start_labels or (asked[0],)
    at_once = Trigger(kind=TriggerKind.CLOCK, at_s=_AT_ONCE_S)
    opens = [*map(open_at_start, start)]
    opens += [Step(action=Action.OPEN, label=one, trigger=at_once) for one in asked if one not in start]
    rest = [open_when_wet_up_to(one) for one in labels if one not in (*start, *asked)]
    name, clamps = "what is asked for as soon as hands allow", clamps_of(shot.part)
    alone = Named(name=f"{name}, no other line", sequence=Sequence(steps=(*opens, *clamps)))
    return [alone, Named(name=name, sequence=Sequence(steps=(*opens, *rest, *clamps)))] if rest else [alone]
