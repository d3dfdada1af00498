"""Choose, play, correct: candidates by hand and from the zone graph, all judged on the coarse network."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property

import networkx as nx
import numpy as np

from optimiser.filling.fill_run import FillRun, Lock
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.many_runs import Runner, Task
from optimiser.filling.simulate import FillLimits
from optimiser.network.zone_graph import build_zone_graph
from optimiser.network.zones import Zones, carried_over, divide
from optimiser.part.sequence import Action, Sequence
from optimiser.part.shot import Shot
from optimiser.plan.by_sight import by_sight, goes_by_sight
from optimiser.plan.coarse_play import MAY_LEAD, play_on_coarse
from optimiser.plan.corrections import LearntWait, cut_zones_at_locks, waits_for_locked
from optimiser.plan.graph_proof import graph_proof
from optimiser.plan.hand_made import in_turn, listed_in_turn
from optimiser.plan.keep_rules import (
    handing_over,
    keeping_rules,
    may_be_played,
    trigger_of,
    wait_for_hand_over_s,
)
from optimiser.plan.line_arrivals import LineArrivals, zone_problem
from optimiser.plan.merit import merit, preferred
from optimiser.plan.near_lock import NearLocks
from optimiser.plan.patience import Patience
from optimiser.plan.result import Candidate, GraphProof, RoundRecord
from optimiser.plan.scenes import COARSE, FULL, Scenes, limits_of
from optimiser.plan.wait_where_locked import wait_where_locked
from optimiser.sequencing.admit import admitting
from optimiser.sequencing.by_hand import Named, usable_labels
from optimiser.sequencing.solve import solve
from optimiser.sequencing.triggers import (
    clamps_of,
    open_at_start,
    sequence_from_times,
)
from optimiser.sequencing.vent_lines import vents_before_feeds
from optimiser.sequencing.verify import violations
from optimiser.sequencing.worth import overstated
from optimiser.sequencing.zone_problem import Choice, ZoneProblem, ticks_up

Report = Callable[[str, float, float | None], None]


_MOST_PARTED = 3
"""Of the sequences that break a rule of pairs, so many are tried with the one line in place of the other."""


@dataclass
class Chooser:
    """Keeps every sequence that was played, and what the zone graph has learnt from them."""

    shot: Shot
    scenes: Scenes
    runner: Runner
    report: Report
    patience: Patience = field(default_factory=Patience)
    candidates: list[Candidate] = field(default_factory=list)
    rounds: list[RoundRecord] = field(default_factory=list)
    waits: tuple[LearntWait, ...] = ()
    arrivals: LineArrivals | None = None
    """From each usable line alone; None: the zone graph was not asked yet."""
    _followed_s: dict[str, float] = field(default_factory=dict)
    """How long at most each of them was played alone."""
    zones: Zones | None = None
    """With all cuts."""

    @property
    def limits(self) -> FillLimits:
        return limits_of(self.shot, self.scenes.gel_time_s)

    @cached_property
    def near(self) -> dict[int, NearLocks]:
        """By scene: how near its runs come to a lock."""
        coarse, full = self.scenes.coarse, self.scenes.full
        return {COARSE: NearLocks.of(coarse, self._undivided), FULL: NearLocks.of(full, self.zones_on_full)}

    @cached_property
    def zones_on_full(self) -> Zones:
        """As they are before any is cut at a lock."""
        return carried_over(self._undivided, self.scenes.coarse, self.scenes.full)

    @cached_property
    def _undivided(self) -> Zones:
        return divide(self.scenes.coarse, self.shot.part, most_zones=self.shot.search.most_zones)

    def best(self) -> Candidate | None:
        """The fastest that leaves nothing locked, or one that goes by sight and is as fast."""
        return preferred(one for one in self.candidates if one.clean)

    def best_by_sight(self) -> Candidate | None:
        """Of those that turn no tap by the clock."""
        return preferred(one for one in self.candidates if one.clean and goes_by_sight(one.sequence))

    # ---- candidates by hand --------------------------------------------------------------------------------

    def play(
        self, named: Iterable[Named], phase: str, span: tuple[float, float], *, may_lead: float = MAY_LEAD
    ) -> None:
        """Play sequences that have not been played yet; those that break a rule of their taps once more, so that they
        keep it.

        When the search has to end, those played until then are what there is, if one of them is clean; else, all.
        """
        if self._enough():
            return
        start = len(self.candidates)
        self._play(named, phase, span, may_lead)
        broken = sorted((one for one in self.candidates[start:] if one.broken), key=merit)
        if self._enough():
            return
        kept = [
            Named(name=f"{one.name}, {how}", sequence=vents_before_feeds(self.shot.part, sequence))
            for place, one in enumerate(broken)
            for how, sequence in keeping_rules(self.shot, one.sequence, one.run, pairs=place < _MOST_PARTED)
        ]
        self._play(kept, phase, (span[1], span[1]), may_lead)

    def _play(self, named: Iterable[Named], phase: str, span: tuple[float, float], may_lead: float) -> None:
        seen = {one.sequence for one in self.candidates}
        fresh = []
        for one in named:
            if one.sequence not in seen and may_be_played(self.shot, one.sequence):
                seen.add(one.sequence)
                fresh.append(one)
        low, high = span
        middle = (low + high) / 2
        self.candidates += play_on_coarse(
            self.shot,
            fresh,
            lambda asked: self._runs(asked, phase, (low, middle)),
            lambda asked: self._runs(asked, phase, (middle, high)),
            self.near[COARSE],
            self.best_s_or_inf(),
            may_lead=may_lead,
        )

    def _runs(self, asked: list[tuple[int, Sequence]], phase: str, span: tuple[float, float]) -> list[FillRun]:
        """Play each sequence in its scene; the first few of them where the search has to end."""
        low, high = span
        return self.runner.run(
            [Task(scene=scene, sequence=sequence, limits=self.limits) for scene, sequence in asked],
            each=lambda done: self.report(phase, low + (high - low) * done / len(asked), self._best_s()),
            enough=self._enough,
        )

    def _enough(self) -> bool:
        return self.best() is not None and self.patience.search_is_over

    def vents_to_choose(self) -> list[str]:
        """Those that may stay clamped; a vent on a line is left out by opening that line."""
        vents = self.shot.part.vents
        return [vent.label for vent in vents if vent.may_stay_clamped and vent.on_line is None]

    def tell_by_sight(self, clock: Candidate, phase: str, at: float) -> None:
        """Play what goes by the clock by what the crew sees, where it is clean on the even network."""
        seen = by_sight(self.scenes.coarse, clock.name, clock.sequence, clock.run) if clock.run.clean else None
        if seen is not None:
            self.play(in_turn(self.shot, [seen]), phase, (at, at))

    def _played_alone(self, named: Named, phase: str, at: float) -> Candidate | None:
        """What became of it, told by what the crew sees where it goes by the clock; None: it was not played."""
        before = len(self.candidates)
        self.play(in_turn(self.shot, [named]), phase, (at, at))
        for one in self.candidates[before:]:
            self.tell_by_sight(one, phase, at)
        return min(self.candidates[before:], key=merit, default=None)

    # ---- the zone graph ------------------------------------------------------------------------------------

    def run_rounds(self, span: tuple[float, float]) -> GraphProof:
        """Let the zone graph propose, the network judge, and correct the graph, until they agree or turns run out."""
        if self.patience.search_is_over:
            return self._proof(self._undivided, None)
        low, high = span
        arrivals = self.arrivals = self._line_arrivals((low, low + 0.4 * (high - low)))
        low += 0.4 * (high - low)
        zones = self.zones = self._undivided
        best = self.best()
        if best is not None:
            arrivals.learn(best.run)
        ended, choice, phase = "all turns were used", None, "choosing on the zone graph"
        for number in range(1, self.shot.search.rounds + 1):
            if self.patience.search_is_over:
                ended = self.patience.why
                break
            self.report(phase, low + (high - low) * (number - 1) / self.shot.search.rounds, self._best_s())
            problem, choice = self._asked_of_graph(arrivals, zones)
            sequence, why = self._proposed(problem, choice, arrivals)
            if sequence is None:
                ended = why
                self._record(number, choice, None, ended if choice.found else "nothing to play")
                break
            before = len(self.candidates)
            self.play([Named(name=f"zone graph, turn {number}", sequence=sequence)], phase, (low, low))
            if len(self.candidates) == before:
                ended = self.patience.why if self.patience.search_is_over else "what the zone graph proposes is refused"
                self._record(number, choice, None, ended)
                break
            self.tell_by_sight(min(self.candidates[before:], key=merit), phase, low)
            candidate = min(self.candidates[before:], key=merit)
            wait_where_locked(candidate, lambda one: self._played_alone(one, phase, low))
            zones, correction = self._correct(candidate, arrivals, zones)
            self.zones = zones
            self._record(number, choice, candidate, correction)
        if self.patience.search_is_over:
            ended = self.patience.why
        return self._proof(zones, choice, ended)

    def _asked_of_graph(self, arrivals: LineArrivals, zones: Zones) -> tuple[ZoneProblem, Choice]:
        search, hint, horizon_s = self.shot.search, self._hint(), self._horizon_s()
        self.follow_up_to(horizon_s, arrivals)
        problem = admitting(self.problem(arrivals, zones, horizon_s=horizon_s), hint)
        left_s = self.patience.search_left_s()
        choice = solve(problem, seed=search.seed, effort=search.solver_effort, hint=hint, most_s=left_s)
        if choice.found and (broken := [*violations(problem, choice), *overstated(problem, choice)]):
            raise AssertionError(f"the solver's answer breaks its own rules: {broken}")
        return problem, choice

    def _proposed(self, problem: ZoneProblem, choice: Choice, arrivals: LineArrivals) -> tuple[Sequence | None, str]:
        """What the network is to judge; None: nothing, for this reason."""
        if not choice.found:
            return None, "the zone graph sees no sequence in which every zone drains"
        if self._graph_s(choice) >= self.best_s_or_inf() - self.shot.search.tick_s:
            return None, "the zone graph knows nothing faster than the best sequence played"
        sequence = self._sequence(problem, choice, arrivals)
        if any(one.sequence == sequence for one in self.candidates):
            return None, "the zone graph proposes a sequence that was played before"
        return sequence, ""

    def _proof(self, zones: Zones, choice: Choice | None, ended: str | None = None) -> GraphProof:
        """ended: None where the zone graph was not asked, as the search had to end."""
        return graph_proof(
            choice,
            zone_count=zones.count,
            tick_s=self.shot.search.tick_s,
            clock=self._clock,
            rounds=tuple(self.rounds),
            ended_because=self.patience.why if ended is None else ended,
        )

    def problem(
        self, arrivals: LineArrivals, zones: Zones, *, horizon_s: float, limit_s: float | None = None
    ) -> ZoneProblem:
        """What the zone graph is asked, with all that the network has taught it."""
        waits = tuple(cut for wait in self.waits for cut in wait.on(zones))
        graph = self._graph(zones)
        return zone_problem(self.shot, arrivals, zones, graph, waits, horizon_s=horizon_s, limit_s=limit_s)

    def _line_arrivals(self, span: tuple[float, float]) -> LineArrivals:
        runs = self.alone(usable_labels(self.shot.part), span, longest_s=self._horizon_s())
        return LineArrivals.from_runs(self.scenes.coarse, runs, self._clock)

    def follow_up_to(self, horizon_s: float, arrivals: LineArrivals) -> None:
        """Play those lines alone on that were left before all was wet: what resin comes to within the horizon must not
        read as never."""
        index = self.scenes.coarse.line_index
        left = tuple(
            label
            for label, followed_s in self._followed_s.items()
            if followed_s < horizon_s and not np.isfinite(arrivals.cell_s[index[label]]).all()
        )
        if left:
            arrivals.add(self.alone(left, (0.0, 0.0), longest_s=horizon_s))

    def alone(self, labels: tuple[str, ...], span: tuple[float, float], *, longest_s: float) -> dict[int, FillRun]:
        """Each of these taps opened at the start and no other, by the place of its line."""
        low, high = span
        self._followed_s |= dict.fromkeys(labels, longest_s)
        limits = FillLimits(longest_s=longest_s, smallest_lock_m2=float("inf"))
        part = self.shot.part
        alone = [vents_before_feeds(part, Sequence(steps=(open_at_start(label),))) for label in labels]
        tasks = [Task(scene=COARSE, sequence=sequence, limits=limits) for sequence in alone]
        runs = self.runner.run(
            tasks,
            each=lambda done: self.report("each line alone", low + (high - low) * done / len(tasks), self._best_s()),
        )
        index = self.scenes.coarse.line_index
        return {index[label]: run for label, run in zip(labels, runs, strict=True)}

    def _correct(self, candidate: Candidate, arrivals: LineArrivals, zones: Zones) -> tuple[Zones, str]:
        network = self.scenes.coarse
        locks = [lock for lock in candidate.run.locks if lock.fails]
        if locks:
            cut = cut_zones_at_locks(network, zones, locks, most_zones=self.shot.search.most_zones)
            waits = self._learns_to_wait(candidate.run, whole_bay=False)
            return cut.zones, f"{_regions(locks)}; {cut.says}{', and what closed them waits' if waits else ''}"
        for run in candidate.patchy_runs:
            locks = [lock for lock in run.locks if lock.fails]
            if locks:
                waits = self._learns_to_wait(run, whole_bay=True)
                then = "what closed them waits for the bay" if waits else "nothing new to wait for"
                return zones, f"{_regions(locks)} with patchy permeability; {then}"
        arrivals.learn(candidate.run)
        kept = f"clean, but {candidate.broken}," if candidate.broken else "clean"
        return zones, f"{kept} on the network; arrivals set to what the network saw"

    def _learns_to_wait(self, run: FillRun, *, whole_bay: bool) -> bool:
        """Whether there was anything new in it."""
        learnt = waits_for_locked(self.scenes.coarse, run, whole_bay=whole_bay)
        fresh = tuple(wait for wait in learnt if wait not in self.waits)
        self.waits = (*self.waits, *fresh)
        return bool(fresh)

    def _graph(self, zones: Zones) -> nx.Graph:
        return build_zone_graph(
            self.scenes.coarse,
            zones,
            pressure_pa=self.shot.supply.most_pressure_pa - self.shot.process.vacuum_pa,
            viscosity_pa_s=self.scenes.viscosity_pa_s,
        )

    def _sequence(self, problem: ZoneProblem, choice: Choice, arrivals: LineArrivals) -> Sequence:
        tick = self.shot.search.tick_s
        labels = [line.label for line in self.scenes.coarse.lines]
        opens = {label: at * tick for label, at in zip(labels, choice.opens, strict=True) if at is not None}
        candidates = self.vents_to_choose()
        idle = [label for label, used in zip(candidates, choice.vents, strict=True) if not used]
        sequence = sequence_from_times(
            self._on_the_shots_clock(opens),
            self._on_the_shots_clock(arrivals.reached_s(opens)),
            clamps_of(self.shot.part, idle),
            action_s=self.shot.crew.action_s,
            slack_s=max(30.0, 2 * tick),
        )
        used = {line: at for line, at in enumerate(choice.opens) if at is not None}
        for line, other in sorted(problem.handed_over(used).items()):
            trigger = trigger_of(sequence, labels[other])
            wait_s = wait_for_hand_over_s(self.shot.crew)
            sequence = handing_over(sequence, labels[line], labels[other], trigger, wait_s)
        return listed_in_turn(self.shot, sequence)

    def _hint(self) -> dict[int, int]:
        best = self.best()
        if best is None:
            return {}
        index, tick = self.scenes.coarse.line_index, self.shot.search.tick_s
        return {
            index[one.step.label]: ticks_up(self._clock.as_fresh_s(0.0, one.done_s), tick)
            for one in best.run.steps
            if one.step.action is Action.OPEN
        }

    def _record(self, number: int, choice: Choice, played: Candidate | None, correction: str) -> None:
        self.rounds.append(
            RoundRecord(
                number=number,
                graph_wet_out_s=self._graph_s(choice) if choice.found else None,
                outcome=choice.outcome,
                network_wet_out_s=None if played is None else played.run.wet_out_s,
                locked_m3=0.0 if played is None else played.locked_m3,
                correction=correction,
            )
        )

    @property
    def _clock(self) -> FluidityClock:
        return self.scenes.resin_clock.fluidity

    def _on_the_shots_clock(self, fresh_s: dict[str, float]) -> dict[str, float]:
        return {label: self._clock.lasting_s(0.0, at_s) for label, at_s in fresh_s.items()}

    def _graph_s(self, choice: Choice) -> float:
        return self._clock.lasting_s(0.0, float((choice.wet_out or 0) * self.shot.search.tick_s))

    def _best_s(self) -> float | None:
        best = self.best()
        return None if best is None else best.run.wet_out_s

    def best_s_or_inf(self) -> float:
        best = self.best()
        return float("inf") if best is None else best.run.wet_out_s

    def _horizon_s(self) -> float:
        """Twice the best so far: beyond it no sequence is of interest.

        While nothing clean is known, twice the fastest that there is, as a measure of the part, and as far as any order
        may go that is in time: one that locks air is soon wet because much is open at once.
        """
        best = self.best()
        if best is not None:
            return 2.0 * best.run.wet_out_s
        finite = [one.run.wet_out_s for one in self.candidates if one.run.wet_out_s < float("inf")]
        limit_s = self.scenes.resin_clock.limit_s(self.shot.process.gel_fraction)
        return max(2.0 * min(finite, default=self.limits.longest_s / 2), limit_s)


def _regions(locks: list[Lock]) -> str:
    return f"{len(locks)} region{'' if len(locks) == 1 else 's'} locked"
