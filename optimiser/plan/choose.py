"""Choose, play, correct: candidates by hand and from the zone graph, all judged on the coarse network."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import networkx as nx

from optimiser.filling.fill_run import FillRun
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.many_runs import Runner, Task
from optimiser.filling.simulate import FillLimits
from optimiser.network.zone_graph import build_zone_graph
from optimiser.network.zones import Zones, divide
from optimiser.part.sequence import Action, Sequence
from optimiser.part.shot import Shot
from optimiser.plan.corrections import LearntWait, cut_zones_at_locks, waits_for_locked
from optimiser.plan.line_arrivals import LineArrivals, zone_problem
from optimiser.plan.longest_first import longest_first
from optimiser.plan.result import Candidate, GraphProof, RoundRecord
from optimiser.plan.scenes import COARSE, COARSE_SPREADS, Scenes, limits_of
from optimiser.plan.shop_rules import (
    against_order,
    listed_in_order,
    required_left_shut,
    starts_as_given,
    waiting_their_turn,
)
from optimiser.sequencing.admit import admitting
from optimiser.sequencing.by_hand import Named, all_at_once, bay_by_bay_from, line_groups, on_reach_from, usable_labels
from optimiser.sequencing.solve import solve
from optimiser.sequencing.triggers import open_at_start, sequence_from_times
from optimiser.sequencing.verify import violations
from optimiser.sequencing.zone_problem import Choice, Outcome, ticks_up

Report = Callable[[str, float, float | None], None]


@dataclass
class Chooser:
    """Keeps every sequence that was played, and what the zone graph has learnt from them."""

    shot: Shot
    scenes: Scenes
    runner: Runner
    report: Report
    candidates: list[Candidate] = field(default_factory=list)
    rounds: list[RoundRecord] = field(default_factory=list)
    waits: tuple[LearntWait, ...] = ()

    @property
    def limits(self) -> FillLimits:
        return limits_of(self.shot, self.scenes.gel_time_s)

    def best(self) -> Candidate | None:
        """The fastest that leaves nothing locked."""
        clean = [one for one in self.candidates if one.clean]
        return min(clean, key=rank, default=None)

    # ---- candidates by hand --------------------------------------------------------------------------------

    def play(self, named: Iterable[Named], phase: str, span: tuple[float, float]) -> None:
        """Play sequences that have not been played yet; those that go against the given order once more, in turn."""
        start = len(self.candidates)
        self._play(named, phase, span)
        late = [one for one in self.candidates[start:] if not one.in_order]
        in_turn = [(one.name, waiting_their_turn(self.shot, one.sequence, one.run)) for one in late]
        self._play(
            (Named(name=f"{name}, in turn", sequence=turns) for name, turns in in_turn), phase, (span[1], span[1])
        )

    def _play(self, named: Iterable[Named], phase: str, span: tuple[float, float]) -> None:
        seen = {one.sequence for one in self.candidates}
        fresh = [one for one in named if one.sequence not in seen and self._allowed(one.sequence)]
        low, high = span
        middle = (low + high) / 2
        runs = self._runs([(COARSE, one.sequence) for one in fresh], phase, (low, middle))
        clean = [one.sequence for one, run in zip(fresh, runs, strict=True) if run.clean]
        asked = [(scene, sequence) for sequence in clean for scene in COARSE_SPREADS]
        patchy = dict(zip(asked, self._runs(asked, phase, (middle, high)), strict=True))
        for one, run in zip(fresh, runs, strict=True):
            self.candidates.append(
                Candidate(
                    name=one.name,
                    sequence=one.sequence,
                    run=run,
                    patchy_runs=tuple(patchy[scene, one.sequence] for scene in COARSE_SPREADS) if run.clean else (),
                    in_order=against_order(self.shot, run) is None,
                )
            )

    def _runs(self, asked: list[tuple[int, Sequence]], phase: str, span: tuple[float, float]) -> list[FillRun]:
        """Play each sequence in its scene."""
        low, high = span
        return self.runner.run(
            [Task(scene=scene, sequence=sequence, limits=self.limits) for scene, sequence in asked],
            each=lambda done: self.report(phase, low + (high - low) * done / len(asked), self._best_s()),
        )

    def _allowed(self, sequence: Sequence) -> bool:
        """Whether it opens what the user wants opened, and first; whether in order shows when it is played."""
        return starts_as_given(self.shot, sequence) and not required_left_shut(self.shot, sequence)

    def _in_turn(self, named: list[Named]) -> list[Named]:
        order = self.shot.rules.order
        return [Named(name=one.name, sequence=listed_in_order(one.sequence, order)) for one in named]

    def by_hand(self) -> list[Named]:
        part, rules = self.shot.part, self.shot.rules
        out = [all_at_once(part)]
        if rules.start_labels:
            out.append(on_reach_from(part, rules.start_labels, "outward on reach from the given start"))
            out.append(bay_by_bay_from(part, rules.start_labels, "outward bay by bay from the given start"))
        for name, labels in line_groups(part).items():
            out.append(on_reach_from(part, labels, f"outward on reach from {name}"))
            out.append(bay_by_bay_from(part, labels, f"outward bay by bay from {name}"))
        out = self._in_turn(out)
        if rules.own_sequence is not None:
            out.append(Named(name="your own sequence", sequence=rules.own_sequence))
        return out

    def moves_round_best(self) -> list[Named]:
        """Small changes of the best so far: other triggers with its start, one more line at the start."""
        best = self.best()
        if best is None:
            return []
        part, start = self.shot.part, best.sequence.start_labels()
        out = [on_reach_from(part, start, f"outward on reach from {', '.join(start)}")]
        out += [bay_by_bay_from(part, start, f"outward bay by bay from {', '.join(start)}")]
        out += [
            bay_by_bay_from(part, (*start, *labels), f"outward bay by bay from {', '.join(start)} and {name}")
            for name, labels in line_groups(part).items()
            if not set(labels) & set(start)
        ]
        ordered = longest_first(self.scenes.coarse, best.sequence, best.run)
        return self._in_turn([Named(name=f"{best.name}, longest way first", sequence=ordered), *out])

    # ---- the zone graph ------------------------------------------------------------------------------------

    def run_rounds(self, span: tuple[float, float]) -> GraphProof:
        """Let the zone graph propose, the network judge, and correct the graph, until they agree or turns run out."""
        network = self.scenes.coarse
        low, high = span
        arrivals = self._line_arrivals((low, low + 0.4 * (high - low)))
        low += 0.4 * (high - low)
        zones = divide(network, self.shot.part, most_zones=self.shot.search.most_zones)
        best = self.best()
        if best is not None:
            arrivals.learn(best.run)
        ended, choice = "all turns were used", None
        for number in range(1, self.shot.search.rounds + 1):
            self.report(
                "choosing on the zone graph",
                low + (high - low) * (number - 1) / self.shot.search.rounds,
                self._best_s(),
            )
            graph = self._graph(zones)
            problem = zone_problem(
                self.shot,
                arrivals,
                zones,
                graph,
                tuple(cut for wait in self.waits for cut in wait.on(zones)),
                horizon_s=self._horizon_s(),
            )
            hint = self._hint()
            problem = admitting(problem, hint)
            choice = solve(problem, seed=self.shot.search.seed, effort=self.shot.search.solver_effort, hint=hint)
            if not choice.found:
                ended = "the zone graph sees no sequence in which every zone drains"
                self._record(number, choice, None, "nothing to play")
                break
            broken = violations(problem, choice)
            if broken:
                raise AssertionError(f"the solver's answer breaks its own rules: {broken}")
            if self._graph_s(choice) >= self._best_s_or_inf() - self.shot.search.tick_s:
                ended = "the zone graph knows nothing faster than the best sequence played"
                self._record(number, choice, None, ended)
                break
            sequence = self._sequence(choice, arrivals)
            if any(one.sequence == sequence for one in self.candidates):
                ended = "the zone graph proposes a sequence that was played before"
                self._record(number, choice, None, ended)
                break
            self.play(
                [Named(name=f"zone graph, turn {number}", sequence=sequence)], "choosing on the zone graph", (low, low)
            )
            candidate = self.candidates[-1]
            zones, correction = self._correct(candidate, arrivals, zones)
            self._record(number, choice, candidate, correction)
        return GraphProof(
            zone_count=zones.count,
            outcome=None if choice is None else choice.outcome,
            optimum_s=None if choice is None or not choice.found else self._graph_s(choice),
            agreed=choice is not None
            and choice.outcome is Outcome.OPTIMAL
            and self._graph_s(choice) >= self._best_s_or_inf() - self.shot.search.tick_s,
            rounds=tuple(self.rounds),
            ended_because=ended,
        )

    def _line_arrivals(self, span: tuple[float, float]) -> LineArrivals:
        low, high = span
        labels = usable_labels(self.shot.part)
        limits = FillLimits(longest_s=self._horizon_s(), smallest_lock_m2=float("inf"))
        tasks = [
            Task(scene=COARSE, sequence=Sequence(steps=(open_at_start(label),)), limits=limits) for label in labels
        ]
        runs = self.runner.run(
            tasks,
            each=lambda done: self.report("each line alone", low + (high - low) * done / len(tasks), self._best_s()),
        )
        index = self.scenes.coarse.line_index
        return LineArrivals.from_runs(
            self.scenes.coarse, {index[label]: run for label, run in zip(labels, runs, strict=True)}, self._clock
        )

    def _correct(self, candidate: Candidate, arrivals: LineArrivals, zones: Zones) -> tuple[Zones, str]:
        network = self.scenes.coarse
        locks = [lock for lock in candidate.run.locks if lock.fails]
        if locks:
            zones, cut = cut_zones_at_locks(network, zones, locks, most_zones=self.shot.search.most_zones)
            self.waits = (*self.waits, *waits_for_locked(network, candidate.run, whole_bay=False))
            return zones, f"{len(locks)} regions locked; zones cut at {cut} of them, and what closed them waits"
        for run in candidate.patchy_runs:
            locks = [lock for lock in run.locks if lock.fails]
            if locks:
                self.waits = (*self.waits, *waits_for_locked(network, run, whole_bay=True))
                return zones, f"{len(locks)} regions locked with patchy permeability; their lines wait for the bay"
        arrivals.learn(candidate.run)
        turns = "clean" if candidate.in_order else "clean, but not in the given order,"
        return zones, f"{turns} on the network; arrivals set to what the network saw"

    def _graph(self, zones: Zones) -> nx.Graph:
        return build_zone_graph(
            self.scenes.coarse,
            zones,
            pressure_pa=self.shot.supply.most_pressure_pa - self.shot.process.vacuum_pa,
            viscosity_pa_s=self.scenes.viscosity_pa_s,
        )

    def _sequence(self, choice: Choice, arrivals: LineArrivals) -> Sequence:
        tick = self.shot.search.tick_s
        labels = [line.label for line in self.scenes.coarse.lines]
        opens = {label: at * tick for label, at in zip(labels, choice.opens, strict=True) if at is not None}
        sequence = sequence_from_times(
            self._on_the_shots_clock(opens),
            self._on_the_shots_clock(arrivals.reached_s(opens)),
            [vent.label for vent in self.shot.part.vents],
            action_s=self.shot.crew.action_s,
            slack_s=max(30.0, 2 * tick),
        )
        return listed_in_order(sequence, self.shot.rules.order)

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

    def _best_s_or_inf(self) -> float:
        best = self.best()
        return float("inf") if best is None else best.run.wet_out_s

    def _horizon_s(self) -> float:
        """Twice the best so far: beyond it no sequence is of interest."""
        wet = [one.run.wet_out_s for one in self.candidates if one.clean] or [
            one.run.wet_out_s for one in self.candidates
        ]
        finite = [time for time in wet if time < float("inf")]
        return 2.0 * min(finite, default=self.limits.longest_s / 2)


def rank(candidate: Candidate) -> tuple[float, int, str]:
    """Faster first, to the second; then fewer steps."""
    return (round(candidate.run.wet_out_s, 0), len(candidate.sequence.steps), candidate.name)
