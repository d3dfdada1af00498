"""What a plan says beyond its sequence, as far as patience reaches: none of it may be missed to call it verified."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from optimiser.filling.fill_run import FillRun
from optimiser.filling.many_runs import Task
from optimiser.plan.choose import Chooser, Report
from optimiser.plan.conflict import admissible, conflict_of
from optimiser.plan.layout_findings import layout_findings
from optimiser.plan.least_harm import Ordered, Play, least_harm_first
from optimiser.plan.most_robust import in_all, most_robust, replayed
from optimiser.plan.play_mistakes import PlayedMistakes
from optimiser.plan.result import LayoutFindings, Robustness, Verified
from optimiser.plan.scenes import OPEN
from optimiser.plan.usual_rules import usual_rules
from optimiser.sequencing.by_hand import all_at_once
from optimiser.sequencing.conflict_found import Conflict
from optimiser.sequencing.vent_lines import vents_before_feeds


@dataclass(frozen=True, kw_only=True)
class Said:
    """What there was no time for is None, or empty."""

    chosen: Verified
    """The most robust of those near the fastest, and its close steps in the order of least harm."""
    agreed: bool
    """Up to such steps it is the one that leads on the coarse network."""
    robustness: Robustness | None
    usual: tuple[Verified, ...]
    open_run: FillRun | None
    """Every usable line open at once, unhindered: no sequence wets any cell sooner."""
    conflict: Conflict | None
    mistakes: PlayedMistakes | None
    layout: LayoutFindings | None


def say_more(chooser: Chooser, fastest: Verified, verified: list[Verified], tell: Report, play: Play | None) -> Said:
    """play: single mistakes; None: they are left out. tell: is told of progress, and may raise EnoughError."""
    in_time = chooser.patience.unless_over
    robustness = in_time(lambda: most_robust(chooser, fastest, verified, tell))
    led = fastest if robustness is None else robustness.chosen.sequence
    careful = play if admissible(chooser, led) else None
    ordered = in_time(lambda: _least_harm_first(chooser, led, careful, tell)) or Ordered(sequence=led)
    if robustness is not None and ordered.sequence is not led:
        again = replayed(chooser, robustness, ordered.sequence)
        if again.chosen.clean >= robustness.chosen.clean:
            robustness = again
        else:
            ordered = Ordered(sequence=led, refused=True)
    chosen = ordered.sequence
    mistakes = None if careful is None else in_time(lambda: _mistakes(careful, ordered))
    if robustness is not None:
        decided = robustness
        robustness = in_time(lambda: in_all(chooser, decided, tell))
    if all(one.sequence != chosen.sequence for one in verified):
        verified.append(chosen)
    taken, best = chosen, chooser.best()
    agreed = best is not None and led.sequence == best.sequence
    usual = in_time(lambda: usual_rules(chooser, verified, tell)) or ()
    open_run = in_time(lambda: _open_run(chooser))
    conflict = None
    if not admissible(chooser, chosen):
        conflict = in_time(lambda: conflict_of(chooser, taken))
    return Said(
        chosen=chosen,
        agreed=agreed,
        robustness=robustness,
        usual=usual,
        open_run=open_run,
        conflict=conflict,
        mistakes=mistakes,
        layout=None if open_run is None else in_time(lambda: layout_findings(chooser, chosen, open_run, mistakes)),
    )


def _least_harm_first(chooser: Chooser, one: Verified, play: Play | None, tell: Report) -> Ordered:
    return Ordered(sequence=one) if play is None else least_harm_first(chooser, one, play, tell)


def _mistakes(play: Play, ordered: Ordered) -> PlayedMistakes | None:
    """Of all steps, once it is known in which order the close ones stand."""
    played = play(ordered.sequence)
    return replace(played, order_refused=True) if played is not None and ordered.refused else played


def _open_run(chooser: Chooser) -> FillRun:
    part = chooser.shot.part
    sequence = vents_before_feeds(part, all_at_once(part).sequence)
    unhindered = replace(chooser.limits, smallest_lock_m2=math.inf)  # locked air would hold resin up
    task = Task(scene=OPEN, sequence=sequence, limits=unhindered)
    return chooser.runner.run([task])[0]
