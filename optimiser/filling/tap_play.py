"""Plays a sequence: which step is called for by what the front has done, and when the crew has done it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from optimiser.network.flow_network import FloatArray, FlowNetwork
from optimiser.part.sequence import Action, Sequence, Step, TriggerKind
from optimiser.part.shot import Crew

_ONE_MOMENT_S = 1.0
"""Two triggers that fire within it look as one to whoever watches the part."""
_SHARE_SLACK = 1e-9


@dataclass(frozen=True, kw_only=True)
class DueStep:
    """A step whose trigger has fired and which the crew will have done at `done_s`."""

    index: int
    step: Step
    called_s: float
    done_s: float
    person: int | None = None
    """Index of who did it, where the crew walks between manifolds."""
    walked_from: int | None = None
    """Index of the place that they came from."""
    walk_s: float = 0.0
    """What the way took, of the time from call to done."""


@dataclass
class _Person:
    free_s: float
    place: int | None
    """Where the crew's manifolds are known."""


@dataclass
class TapPlay:
    """The crew at the taps: steps wait for their trigger, then for free hands.

    Steps of the start are done before the shot: they cost no time. Any other step is done `action_s` after
    somebody is free for it and has walked to it; with one pair of hands two steps never overlap. Whoever can be
    there first goes, and sets out when called, not before. A line that a vent stands on is not opened before that vent
    is called to be clamped, whatever else calls for it: it would feed the catch pot.
    """

    network: FlowNetwork
    sequence: Sequence
    crew: Crew
    waiting: list[int] = field(default_factory=list)
    due: list[DueStep] = field(default_factory=list)
    done: dict[int, DueStep] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.waiting = list(range(len(self.sequence.steps)))
        stands = standing_at_start(self.crew, self.sequence)
        self._arrival_s = np.empty(0)
        self._fired_s: dict[int, float] = {}
        self._people = [_Person(free_s=0.0, place=place) for place in stands]
        self._clamp_of_line = _clamps_on_lines(self.network, self.sequence)

    def start(self) -> list[DueStep]:
        """Steps of the start, all done at time zero."""
        steps = self.sequence.steps
        first = [index for index in self.waiting if steps[index].trigger.kind is TriggerKind.START]
        self.waiting = [index for index in self.waiting if index not in first]
        made = [DueStep(index=index, step=steps[index], called_s=0.0, done_s=0.0) for index in first]
        self.done.update({one.index: one for one in made})
        return made

    def call(self, arrival_s: FloatArray, until_s: float) -> None:
        """Move every step whose trigger fires up to `until_s` into `due`, in order of its firing.

        Of steps that are called for at one moment the first on the list goes first.
        """
        called: list[tuple[float, int]] = []
        for index in self.waiting:
            fired = self.fires_at(index, arrival_s)
            if fired <= until_s:
                called.append((fired, index))
        for fired, index in _as_seen(called):
            self.waiting.remove(index)
            self.due.append(self._taken_on(index, fired))
        self.due.sort(key=lambda one: (one.done_s, one.index))

    def _taken_on(self, index: int, called_s: float) -> DueStep:
        """The step with who does it and when; of those who are done equally soon, the one free for longest."""
        step, crew = self.sequence.steps[index], self.crew
        there = crew.place_of(step.label)

        def done_s(who: int) -> float:
            person = self._people[who]
            return max(called_s, person.free_s) + crew.walking_s(person.place, there) + crew.action_s

        who = min(range(crew.hands), key=lambda k: (done_s(k), self._people[k].free_s, k))
        person, done, here = self._people[who], done_s(who), self._people[who].place
        person.free_s, person.place = done, here if there is None else there
        return DueStep(
            index=index,
            step=step,
            called_s=called_s,
            done_s=done,
            person=who if crew.places else None,
            walked_from=here,
            walk_s=crew.walking_s(here, there),
        )

    def take_done(self, now_s: float) -> list[DueStep]:
        """Steps that the crew has done by now."""
        made = [one for one in self.due if one.done_s <= now_s + 1e-9]
        self.due = [one for one in self.due if one.done_s > now_s + 1e-9]
        self.done.update({one.index: one for one in made})
        return made

    def fires_at(self, index: int, arrival_s: FloatArray) -> float:
        """`fired_at` of a step by its place in the sequence, looked up once for the same array."""
        if arrival_s is not self._arrival_s:
            self._arrival_s, self._fired_s = arrival_s, {}
        if index not in self._fired_s:
            self._fired_s[index] = self.fired_at(self.sequence.steps[index], arrival_s)
        return self._fired_s[index]

    def fired_at(self, step: Step, arrival_s: FloatArray) -> float:
        """When the step is called for, given the arrivals so far; infinity if not yet."""
        clamp = self._clamp_of_line.get(step.label) if step.action is Action.OPEN else None
        own_s = self._triggered_at(step, arrival_s)
        return own_s if clamp is None else max(own_s, self._triggered_at(clamp, arrival_s))

    def _triggered_at(self, step: Step, arrival_s: FloatArray) -> float:
        trigger = step.trigger
        if trigger.kind is TriggerKind.CLOCK:
            return float(trigger.at_s or 0.0) + trigger.delay_s
        if trigger.kind is TriggerKind.START:
            return 0.0
        seen_at = wet_up_to_at if trigger.kind is TriggerKind.WET_UP_TO else reached_at
        return seen_at(self.network, trigger.place or "", trigger.share, arrival_s) + trigger.delay_s

    def next_clock_s(self, now_s: float) -> float:
        """The next moment after now at which a clock trigger will have been acted on, or a due step is done."""
        moments = [one.done_s for one in self.due]
        for index in self.waiting:
            step = self.sequence.steps[index]
            if step.trigger.kind is TriggerKind.CLOCK:
                moments.append(self._triggered_at(step, np.empty(0)) + self.crew.action_s)
        later = [moment for moment in moments if moment > now_s + 1e-9]
        return min(later, default=np.inf)


def _clamps_on_lines(network: FlowNetwork, sequence: Sequence) -> dict[str, Step]:
    """By the label of a line, the step that clamps the vent on it."""
    line_of = {vent.label: network.lines[vent.on_line].label for vent in network.vents if vent.on_line is not None}
    clamps = (step for step in sequence.steps if step.action is Action.CLAMP and step.label in line_of)
    return {line_of[step.label]: step for step in clamps}


def standing_at_start(crew: Crew, sequence: Sequence) -> list[int | None]:
    """The place at which each person stands when the first tap opens.

    One at each manifold in turn, those with taps of the start first; who is over begins anew. None: no manifolds.
    """
    if not crew.places:
        return [None] * crew.hands
    called = [crew.place_of(label) for label in sequence.start_labels()]
    stands = [place for place in dict.fromkeys((*called, *range(len(crew.places)))) if place is not None]
    return [stands[who % len(stands)] for who in range(crew.hands)]


def _as_seen(called: list[tuple[float, int]]) -> list[tuple[float, int]]:
    """In order of firing; what nobody can tell apart, in the order of the list."""
    moment, seen = -np.inf, []
    for fired, index in sorted(called):
        if fired - moment > _ONE_MOMENT_S:
            moment = fired
        seen.append((moment, index, fired))
    return [(fired, index) for _, index, fired in sorted(seen)]


def reached_at(network: FlowNetwork, place: str, share: float, arrival_s: FloatArray) -> float:
    """When resin first stands in a line, or on the cells of a vent, along the given share of its length.

    Crumbs of cells at a vent are passed over: those above it fill only once it is clamped.
    """
    vent = None if place in network.line_index else network.vents[network.vent_index[place]]
    index = network.line_index[place] if vent is None else vent.on_line
    if index is not None:
        line = network.lines[index]
        return _share_at(arrival_s[line.nodes], line.node_length_m, share)
    cells = network.whole_cells_at_vents[network.vent_index[place]]
    return _share_at(arrival_s[cells], np.ones(len(cells)), share)


def wet_up_to_at(network: FlowNetwork, place: str, share: float, arrival_s: FloatArray) -> float:
    """When the bay on the side that resin came to first is wet along the given share of the line."""
    index = network.line_index[place]
    bay, lengths = network.bays[index], network.lines[index].node_length_m
    on_side = [arrival_s[cells] for cells, _ in bay.sides]
    first = [times_s.min(initial=np.inf) for times_s in on_side]
    if not np.isfinite(min(first)):
        return np.inf
    near = int(np.argmin(first))
    times = np.full(len(lengths), -np.inf)
    np.maximum.at(times, bay.sides[near][1], on_side[near])
    return _share_at(times, np.where(np.isfinite(times) | (times > 0), lengths, 0.0), share)


def _share_at(times: FloatArray, lengths: FloatArray, share: float) -> float:
    if share >= 1.0:
        return float(times[lengths > 0].max())
    order = np.argsort(times, kind="stable")
    reached = np.cumsum(lengths[order]) / lengths.sum()
    return float(times[order][int(np.searchsorted(reached, share - _SHARE_SLACK))])
