"""What the layout could do better: bays too wide for the gel clock, lines and vents that make no difference."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from optimiser.filling.fill_run import FillRun
from optimiser.filling.many_runs import Scene, Task
from optimiser.network.bays import near_line
from optimiser.network.flow_network import FlowNetwork, IntArray
from optimiser.part.part import LineUse, Part
from optimiser.part.sequence import Sequence
from optimiser.plan.choose import Chooser
from optimiser.plan.play_mistakes import PlayedMistakes
from optimiser.plan.result import IdlePart, LayoutFindings, Verified, WideBay
from optimiser.plan.scenes import COARSE, coarse_network_of, coarse_spread_scenes_of

_NO_LATER = 0.01
"""Of the wet-out: a difference below this is none."""


@dataclass(frozen=True, kw_only=True)
class _Bay:
    line: int
    other: int | None
    """The line on the far side; None: the edge of the part."""
    cells: IntArray


def layout_findings(
    chooser: Chooser, chosen: Verified, open_run: FillRun, mistakes: PlayedMistakes | None
) -> LayoutFindings:
    """open_run: every usable tap open at once, unhindered, on the full network. What makes no difference is looked for
    where single mistakes of an admissible sequence were played.
    """
    return LayoutFindings(
        wide=tuple(_wide_bays(chooser, open_run)),
        idle=() if mistakes is None else tuple(_idle(chooser, chosen, mistakes.base.wet_out_s)),
    )


def _wide_bays(chooser: Chooser, open_run: FillRun) -> Iterator[WideBay]:
    """By the comparison principle no order wets a place sooner than all usable taps together do."""
    shot, scenes = chooser.shot, chooser.scenes
    limit_s = scenes.resin_clock.limit_s(shot.process.gel_fraction)
    together_s = scenes.full.latest(open_run.arrival_s)
    alone = {(one.line, one.other): _alone_s(chooser, one) for one in _bays(chooser, scenes.coarse)}
    labels = [line.label for line in scenes.full.lines]
    for bay in _bays(chooser, scenes.full):
        both_s, one_s = float(together_s[bay.cells].max()), alone.get((bay.line, bay.other))
        late_alone = bay.other is not None and one_s is not None and one_s > limit_s
        if both_s > limit_s or late_alone:
            yield WideBay(
                label=labels[bay.line],
                other=None if bay.other is None else labels[bay.other],
                together_s=both_s,
                alone_s=one_s,
                limit_s=limit_s,
            )


def _alone_s(chooser: Chooser, bay: _Bay) -> float | None:
    """When the bay is wet from the better of its two lines alone; None: not within the run."""
    if chooser.arrivals is None:
        return None
    lines = [bay.line] if bay.other is None else [bay.line, bay.other]
    best_s = min(float(chooser.arrivals.cell_s[line][bay.cells].max()) for line in lines)
    return chooser.arrivals.clock.lasting_s(0.0, best_s) if np.isfinite(best_s) else None


def _bays(chooser: Chooser, network: FlowNetwork) -> Iterator[_Bay]:
    """Each once, between two lines or from a line to the edge; beside lines that may open only."""
    near, seen = near_line(network), set()
    usable = {k for k, line in enumerate(chooser.shot.part.feed_lines) if line.use is not LineUse.FORBIDDEN}
    for k in sorted(usable):
        bay = network.bays[k]
        for side in (0, 1):
            beside = bay.cells[bay.side == side]
            across = beside[near.line[beside] != k]
            other = int(np.argmax(np.bincount(near.line[across]))) if len(across) else None
            if other is None:
                cells = np.flatnonzero((near.line == k) & (near.side == side))
            else:
                cells = beside[np.isin(near.line[beside], (k, other))]
            pair = (k, side) if other is None else frozenset((k, other))
            if len(cells) and pair not in seen and (other is None or other in usable):
                seen.add(pair)
                yield _Bay(line=k, other=other, cells=cells)


def _idle(chooser: Chooser, chosen: Verified, base_s: float) -> Iterator[IdlePart]:
    """Lines, all their taps at once, and vents without which the sequence is clean and no later, on coarse networks of
    the part without them, as planned and with two patchy permeabilities. base_s: wet-out with them, there.

    Nothing can be said of what another step waits for.
    """
    part, opened = chooser.shot.part, set(chosen.sequence.opened_labels())
    for name, labels in _taps_of_lines(part).items():
        if not opened & labels:
            yield IdlePart(label=name, vent=False, opened=False, later_s=0.0)
            continue
        later_s = _later_without(chooser, chosen.sequence, labels, base_s)
        if later_s is not None and later_s <= _NO_LATER * base_s:
            yield IdlePart(label=name, vent=False, opened=True, later_s=later_s)
    for vent in part.vents if len(part.vents) > 1 else ():
        later_s = _later_without(chooser, chosen.sequence, {vent.label}, base_s)
        if later_s is not None and later_s <= _NO_LATER * base_s:
            yield IdlePart(label=vent.label, vent=True, opened=True, later_s=later_s)


def _taps_of_lines(part: Part) -> dict[str, set[str]]:
    """By line; of those that the case leaves to choice."""
    out: dict[str, set[str]] = {}
    for line in part.feed_lines:
        if line.use is LineUse.CANDIDATE:
            out.setdefault(line.line, set()).add(line.label)
    return out


def _later_without(chooser: Chooser, sequence: Sequence, labels: set[str], base_s: float) -> float | None:
    """Wet-out against that with them; None: not clean, or it cannot be played."""
    shot, scenes = chooser.shot, chooser.scenes
    steps = tuple(step for step in sequence.steps if step.label not in labels)
    if any(step.trigger.place in labels for step in steps) or not Sequence(steps=steps).start_labels():
        return None
    lines = tuple(line for line in shot.part.feed_lines if line.label not in labels)
    vents = tuple(vent for vent in shot.part.vents if vent.label not in labels)
    less = replace(shot, part=replace(shot.part, feed_lines=lines, vents=vents))
    even = replace(scenes.all[COARSE], network=coarse_network_of(less, scenes.full))
    run = _play(chooser, even, Sequence(steps=steps))
    if not run.clean or not all(
        _play(chooser, scene, Sequence(steps=steps)).clean for scene in coarse_spread_scenes_of(less, even)
    ):
        return None
    return run.wet_out_s - base_s


def _play(chooser: Chooser, scene: Scene, sequence: Sequence) -> FillRun:
    task = Task(scene=0, sequence=sequence, limits=chooser.limits)
    return chooser.runner.run([task], scenes=(scene,))[0]
