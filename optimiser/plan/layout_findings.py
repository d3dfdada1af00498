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
from optimiser.part.shot import Shot
from optimiser.plan.choose import Chooser
from optimiser.plan.play_mistakes import PlayedMistakes
from optimiser.plan.result import IdlePart, LayoutFindings, Verified, WideBay
from optimiser.plan.scenes import COARSE, coarse_network_of, coarse_spread_scenes_of

_NO_LATER = 0.01
"""Of the wet-out: a difference below this is none."""


@dataclass(frozen=True, kw_only=True)
class _Bay:
    line: int
    side: int
    other: int | None
    """The line on the far side; None: the edge of the part."""
    cells: IntArray


@dataclass(frozen=True, kw_only=True)
class _Without:
    label: str
    vent: bool
    labels: frozenset[str]
    """Of its taps and the vents on them, or its own."""


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
    alone = {(one.line, one.side, one.other): _alone_s(chooser, one) for one in _bays(chooser, scenes.coarse)}
    labels = [line.label for line in scenes.full.lines]
    for bay in _bays(chooser, scenes.full):
        both_s, one_s = float(together_s[bay.cells].max()), alone.get((bay.line, bay.side, bay.other))
        late_alone = bay.other is not None and one_s is not None and one_s > limit_s
        if both_s > limit_s or late_alone:
            yield WideBay(
                label=labels[bay.line],
                side=bay.side,
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
                yield _Bay(line=k, side=side, other=other, cells=cells)


def _idle(chooser: Chooser, chosen: Verified, base_s: float) -> Iterator[IdlePart]:
    """Lines, all their taps at once, and vents without which the sequence is clean and no later, on coarse networks of
    the part without them, as planned and with two patchy permeabilities. base_s: wet-out with them, there.

    Nothing can be said of what another step waits for.
    """
    part, opened = chooser.shot.part, set(chosen.sequence.opened_labels())
    taps = _taps_of_lines(part)
    asked = [
        _Without(label=name, vent=False, labels=frozenset(labels | _vents_on(part, labels)))
        for name, labels in taps.items()
        if opened & labels
    ]
    if len(part.vents) > 1:
        asked += [_Without(label=vent.label, vent=True, labels=frozenset({vent.label})) for vent in part.vents]
    yield from (
        IdlePart(label=name, vent=False, opened=False, later_s=0.0)
        for name, labels in taps.items()
        if not opened & labels
    )
    found = [pair for pair in _later_without(chooser, chosen.sequence, asked, base_s) if pair[1] <= _NO_LATER * base_s]
    together = len(found) < 2 or _idle_together(chooser, chosen.sequence, [one for one, _ in found], base_s)
    for one, later_s in found:
        others = () if together else tuple(other.label for other, _ in found if other != one)
        yield IdlePart(label=one.label, vent=one.vent, opened=True, later_s=later_s, not_with=others)


def _idle_together(chooser: Chooser, sequence: Sequence, parts: list[_Without], base_s: float) -> bool:
    """Whether the plan does without all of them at once: two may stand in for each other."""
    labels = frozenset().union(*(one.labels for one in parts))
    all_of_them = _Without(label="", vent=False, labels=labels)
    return any(later_s <= _NO_LATER * base_s for _, later_s in _later_without(chooser, sequence, [all_of_them], base_s))


def _taps_of_lines(part: Part) -> dict[str, set[str]]:
    """By line; of those that the case leaves to choice."""
    out: dict[str, set[str]] = {}
    for line in part.feed_lines:
        if line.use is LineUse.CANDIDATE:
            out.setdefault(line.line, set()).add(line.label)
    return out


def _vents_on(part: Part, taps: set[str]) -> set[str]:
    """They go with the line that they stand on."""
    return {vent.label for vent in part.vents if vent.on_line in taps}


def _later_without(
    chooser: Chooser, sequence: Sequence, asked: list[_Without], base_s: float
) -> Iterator[tuple[_Without, float]]:
    """Wet-out against that with them, of those that can be played and are clean."""
    less = {one: _steps_without(sequence, one) for one in asked}
    vents = {vent.label for vent in chooser.shot.part.vents}
    playable = [
        (one, steps, _part_without(chooser.shot, one))
        for one, steps in less.items()
        if steps is not None and not vents <= one.labels
    ]
    even = [
        (replace(chooser.scenes.all[COARSE], network=coarse_network_of(shot, chooser.scenes.full)), steps)
        for _, steps, shot in playable
    ]
    runs = _play(chooser, even)
    clean = [k for k, run in enumerate(runs) if run.clean]
    spread = [(k, scene) for k in clean for scene in coarse_spread_scenes_of(playable[k][2], even[k][0])]
    patchy = _play(chooser, [(scene, playable[k][1]) for k, scene in spread])
    locks = {k for (k, _), run in zip(spread, patchy, strict=True) if not run.clean}
    for k in clean:
        if k not in locks:
            yield playable[k][0], runs[k].wet_out_s - base_s


def _steps_without(sequence: Sequence, without: _Without) -> Sequence | None:
    steps = tuple(step for step in sequence.steps if step.label not in without.labels)
    if any(step.trigger.place in without.labels for step in steps) or not Sequence(steps=steps).start_labels():
        return None
    return Sequence(steps=steps)


def _part_without(shot: Shot, without: _Without) -> Shot:
    lines = tuple(line for line in shot.part.feed_lines if line.label not in without.labels)
    vents = tuple(vent for vent in shot.part.vents if vent.label not in without.labels)
    return replace(shot, part=replace(shot.part, feed_lines=lines, vents=vents))


def _play(chooser: Chooser, asked: list[tuple[Scene, Sequence]]) -> list[FillRun]:
    tasks = [Task(scene=k, sequence=sequence, limits=chooser.limits) for k, (_, sequence) in enumerate(asked)]
    return chooser.runner.run(tasks, scenes=tuple(scene for scene, _ in asked))
