"""Fill the network by playing a sequence on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.errors import NotConvergedError
from optimiser.filling.closing_pockets import closing_pocket_s
from optimiser.filling.fill_run import FillRun, History, RunsOn
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.front_state import Drive, FrontState, FrontStep, Openings
from optimiser.filling.front_step import FrontStepper
from optimiser.filling.front_trace import FrontTrace
from optimiser.filling.lock_watch import LockWatch
from optimiser.filling.tap_play import DueStep, TapPlay
from optimiser.filling.trapped_air import TrappedAir, trapped_air
from optimiser.filling.ways_out import WaysOut
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork
from optimiser.part.sequence import Action, Sequence
from optimiser.part.shot import Crew

_STEPS_PER_FILL = 64
_FIRST_STEP_1_PA = 4.0
"""Fluidity time of the first step: a second of resin of 0.25 Pa s."""
_LEAST_SHARE = 1e-3
"""No step need be shorter than this share of the time so far."""
_REST_SHARE = 1e-4
"""A front that would fill less than this share of what is left until the run is given up stands still."""
_CAP_SLACK, _CAP_SHARE = 0.1, 0.01
"""A step in which the flow cap bites or lets go is cut where flow changes by more than the first share and the step is
longer than the second of the time so far: what is left is a thousandth of the fill."""
_MOST_HALVINGS = 8
_MOMENT_S = 1e-3
"""So soon after is now."""
_LOOK_S = 1.0
"""Of the flow after wet-out, which is steady."""
_EVENT_SHARE = 3e-4
"""A trigger is met within this share of the time so far; a crew's hands are slower."""


@dataclass(frozen=True, kw_only=True)
class FillLimits:
    """When to give up and what counts as locked."""

    longest_s: float
    smallest_lock_m2: float


def simulate(
    network: FlowNetwork,
    drive: Drive,
    clock: FluidityClock,
    sequence: Sequence,
    crew: Crew,
    limits: FillLimits,
) -> FillRun:
    """Play the sequence until everything is wet, the front rests, or `longest_s` has passed.

    Raises NotConvergedError from the front step.
    """
    return _Filling(network, drive, clock, sequence, crew, limits).run()


class _Filling:
    def __init__(
        self,
        network: FlowNetwork,
        drive: Drive,
        clock: FluidityClock,
        sequence: Sequence,
        crew: Crew,
        limits: FillLimits,
    ) -> None:
        self.network, self.clock, self.limits = network, clock, limits
        self.stepper = FrontStepper(network, drive)
        self.play = TapPlay(network, sequence, crew)
        self.state: FrontState = self.stepper.dry_state()
        self.now_s = 0.0
        self.tap_open = np.zeros(len(network.lines), dtype=bool)
        self.vent_open = np.ones(len(network.vents), dtype=bool)
        self.trace = FrontTrace(network, self.state)
        self.watch = LockWatch(network, limits.smallest_lock_m2)
        self.ways_out = WaysOut.found(network, ~self.state.wet, self.vent_open.copy())
        self.air: TrappedAir | None = None
        self.given_up_s = np.full(network.node_count, np.inf)
        """When the air that each node holds came to rest: nobody waits for such a place to be wet."""
        self.done: list[DueStep] = []
        self.rows: list[tuple[float, float, float, float, float]] = [(0.0, 0.0, 0.0, 0.0, 0.0)]
        self.line_drawn = [np.zeros(len(network.lines))]
        self.line_pressure = [np.zeros((len(network.lines), 3))]
        self.pressure = np.zeros(network.node_count)
        self.vent_drawn = np.zeros(len(network.vents))
        self.vent_pressure = [np.zeros(len(network.vents))]
        self.injected = 0.0
        self.capped_now = drive.most_flow_m3_s is not None
        self.capped_ever = False
        self.front_steps = 0
        self.won_m3 = 0.0
        """By the front in the last step."""
        self.longest_step_s = 0.0
        """Of late, as long as with fresh resin: a step cut short by the crew does not shorten those after it."""
        self.sheet = slice(0, network.sheet_count)
        self.sheet_volume = network.volume_m3[self.sheet]
        self.sheet_m3 = self.sheet_volume.sum()
        outward = network.links.start[network.tap_links] == network.manifold
        self.tap_sign = np.where(outward, 1.0, -1.0)
        self.total_m3 = float(network.volume_m3.sum() - network.volume_m3[network.manifold])

    # ---- the loop ------------------------------------------------------------------------------------------

    def run(self) -> FillRun:
        self._apply(self.play.start())
        stalled = False
        dt = self._first_step_s()
        while not self._all_wet() and self.now_s < self.limits.longest_s:
            self.play.call(self._seen(self.trace.arrival_s), self.now_s)
            self._apply(self.play.take_done(self.now_s))
            moment = min(self.play.next_clock_s(self.now_s), self.limits.longest_s)
            if not (self.tap_open.any() or self._moves_by_itself()):
                if moment >= self.limits.longest_s:
                    stalled = True
                    break
                self.now_s = moment
                continue
            taken, dt = self._step_to(min(dt, moment - self.now_s))
            if moment >= self.limits.longest_s and self._rests(taken):
                stalled = True
                break
        if not stalled:
            self._draw_until_clamped()
        return self._result(stalled)

    def _first_step_s(self) -> float:
        """A short step in fluidity time, so that the steps of a thicker resin are those of a thinner one, longer."""
        return self.clock.time(_FIRST_STEP_1_PA)

    def _next_step_s(self, stored_m3: float, lasted_s: float) -> float:
        """Fill an equal share of the part in every step; go easy near the end.

        Lengths are those of fresh resin, so that the steps of resin that thickens are the same in fluidity time.
        """
        taken_s = self.clock.as_fresh_s(self.now_s - lasted_s, lasted_s)
        self.longest_step_s = max(0.5 * self.longest_step_s, taken_s)
        left = float((self.network.volume_m3 * (1.0 - self.state.filled)).sum())
        share = min(self.total_m3 / _STEPS_PER_FILL, 0.5 * left)
        wanted = share * taken_s / stored_m3 if stored_m3 > 0 else 10.0 * taken_s
        least = max(0.02 * taken_s, _LEAST_SHARE * self.clock.as_fresh_s(0.0, self.now_s), 1e-3)
        most = 1.5 * taken_s if self._only_air_is_left() else max(4.0 * taken_s, 0.25 * self.longest_step_s)
        fresh_s = min(max(wanted, least), most)
        return self.clock.lasting_s(self.now_s, fresh_s)

    def _rests(self, taken_s: float) -> bool:
        """Whether at this pace the front gets nowhere in the time that is left, whatever the vents may draw."""
        left = float((self.network.volume_m3 * (1.0 - self.state.filled)).sum())
        return self.won_m3 * (self.limits.longest_s - self.now_s) <= _REST_SHARE * left * taken_s

    def _won_m3(self, step: FrontStep) -> float:
        """Volume that the front has won: pores newly filled, whatever lies behind swells, sinks or is drawn by vents.

        A cell that was left a little over full in the last step counts as full in both.
        """
        now, before = np.minimum(step.state.filled, 1.0), np.minimum(self.state.filled, 1.0)
        return float((self.network.volume_m3 * (now - before)).sum())

    def _moves_by_itself(self) -> bool:
        """Under a bag that gives resin goes on from thick to thin when all taps are shut."""
        return self.network.give is not None and bool(self.state.wet[self.sheet].any())

    def _step_to(self, dt_s: float) -> tuple[float, float]:
        """Take a step, again and shorter if the crew acts or the flow cap lets go within it.

        Returns its length, and how long the next may be.
        """
        longest = np.inf
        while True:
            step, dt_s = self._settled(dt_s)
            arrival = self.trace.arrivals(self.state, step, self.now_s, dt_s)
            shorter = self._shorter(step, arrival, dt_s)
            if shorter is None:
                self.won_m3 = self._won_m3(step)
                self._accept(step, arrival, dt_s)
                return dt_s, min(self._next_step_s(self.won_m3, dt_s), max(longest - dt_s, 1e-3))
            longest = min(longest, dt_s)
            dt_s = shorter

    def _settled(self, dt_s: float) -> tuple[FrontStep, float]:
        """A step that converged; one that does not is tried from the last front alone, then half as long."""
        for _ in range(_MOST_HALVINGS):
            try:
                return self._advance(dt_s), dt_s
            except NotConvergedError:
                self.trace.pace_1_s = np.zeros_like(self.trace.pace_1_s)
                dt_s /= 2
        return self._advance(dt_s), dt_s

    def _advance(self, dt_s: float) -> FrontStep:
        dtheta = self.clock.theta(self.now_s + dt_s) - self.clock.theta(self.now_s)
        return self.stepper.advance(
            self.state,
            Openings(tap_open=self.tap_open, vent_open=self.vent_open),
            dt_s=dt_s,
            dtheta=dtheta,
            guess=self.state.filled + self.trace.pace_1_s * dt_s > 1.0,
            capped=self.capped_now,
            air=self.air,
            step=self.front_steps,
            time_s=self.now_s,
        )

    def _shorter(self, step: FrontStep, arrival: FloatArray, dt_s: float) -> float | None:
        """The step length at which something happens first within this step, or None."""
        least = max(1e-3, _EVENT_SHARE * self.now_s)
        if dt_s <= least:
            return None
        seen = self._seen(arrival)
        calls = [self.play.fires_at(index, seen) for index in self.play.waiting]
        first = min(calls, default=np.inf) + self.play.crew.action_s - self.now_s
        if first < dt_s - least:
            return min(max(first, least), 0.5 * dt_s)
        closed_s = closing_pocket_s(
            self.network,
            self.state,
            step.state,
            arrival,
            self.vent_open,
            self.watch.locked,
            lambda: self._drains(step.state),
            smallest_m2=self.limits.smallest_lock_m2,
            step_s=dt_s,
        )
        if closed_s is not None:
            return min(max(closed_s - self.now_s + least, least), 0.5 * dt_s)
        if step.flow_capped != self.capped_now and dt_s > _CAP_SHARE * self.now_s and self._cap_matters(step, dt_s):
            return dt_s / 4
        return None

    def _cap_matters(self, step: FrontStep, dt_s: float) -> bool:
        """Whether the flow cap bites or lets go within the step by more than a little of its flow."""
        most = (self.stepper.drive.most_flow_m3_s or np.inf) * dt_s
        before = self.rows[-1][2] * dt_s
        return min(step.injected_m3, before) < (1 - _CAP_SLACK) * min(most, max(step.injected_m3, before))

    def _accept(self, step: FrontStep, arrival: FloatArray, dt_s: float) -> None:
        network = self.network
        self.trace.accept(self.state, step, arrival, self.tap_open, now_s=self.now_s, dt_s=dt_s)
        self.state = step.state
        self.now_s += dt_s
        self.front_steps += 1
        self.injected += step.injected_m3
        self.vent_drawn += step.vent_volume_m3
        self.capped_now = step.flow_capped
        self.capped_ever |= step.flow_capped
        dtheta = self.clock.theta(self.now_s) - self.clock.theta(self.now_s - dt_s)
        filled = float((self.sheet_volume * step.state.filled[self.sheet]).sum() / self.sheet_m3)
        self.pressure = step.pressure_time / dtheta
        at_manifold = float(self.pressure[network.manifold])
        self.rows.append((self.now_s, self.injected, step.injected_m3 / dt_s, at_manifold, filled))
        self.line_drawn.append(self.line_drawn[-1] + self._through_taps(step))
        self.line_pressure.append(self.pressure[network.line_gauges])
        self.vent_pressure.append(np.where(network.vent_gauges >= 0, self.pressure[network.vent_gauges], 0.0))
        if self.air is not None and step.air_rests is not None:
            rests = (self.air.piece >= 0) & step.air_rests[self.air.piece]
            self.given_up_s[rests] = np.minimum(self.given_up_s[rests], self.now_s)
        self._look_for_locks()

    def _seen(self, arrival_s: FloatArray) -> FloatArray:
        """Arrivals as the crew goes by them: a dry place whose air gives way no more counts as done with."""
        return arrival_s if self.air is None else np.minimum(arrival_s, self.given_up_s)

    def _through_taps(self, step: FrontStep) -> FloatArray:
        return self.tap_sign * step.link_volume_m3[self.network.tap_links] * self.tap_open

    # ---- what the crew does --------------------------------------------------------------------------------

    def _apply(self, made: list[DueStep]) -> None:
        for one in made:
            label = one.step.label
            if one.step.action is Action.CLAMP:
                self.vent_open[self.network.vent_index[label]] = False
            else:
                self.tap_open[self.network.line_index[label]] = one.step.action is Action.OPEN
        self.done.extend(made)
        if made and self.now_s > 0:
            self._look_for_locks()

    def _look_for_locks(self) -> None:
        lost = ~self.state.wet & ~self._drains(self.state)
        self.watch.look(self.state, lost, self.trace.source, self.now_s)
        closed_in_pa = self.stepper.drive.trapped_air_pa
        if closed_in_pa:
            self.air = trapped_air(self.network, self.state, self.watch.holds_air, self.air, closed_in_pa)

    def _drains(self, state: FrontState) -> BoolArray:
        """Of each node: whether it is dry with a way out."""
        dry = ~state.wet
        if not self.ways_out.hold(dry, self.vent_open):
            self.ways_out = WaysOut.found(self.network, dry, self.vent_open.copy())
        return self.ways_out.drains & dry

    # ---- the end -------------------------------------------------------------------------------------------

    def _all_wet(self) -> bool:
        """But for places whose air gives way no more."""
        return bool((self.state.wet | np.isfinite(self.given_up_s))[self.sheet].all())

    def _only_air_is_left(self) -> bool:
        """All is wet but for trapped air, which is followed until it rests, and no longer."""
        return self.air is not None and bool((self.state.wet | (self.air.piece >= 0))[self.sheet].all())

    def _draw_until_clamped(self) -> None:
        """Under a rigid bag vents that were called for by wet-out go on drawing until hands have come to them."""
        if self.network.give is not None or not self.state.wet[self.sheet].all() or not self.tap_open.any():
            return
        for one in self._clamps_due():
            if one.done_s > self.limits.longest_s:
                return
            while self.now_s < one.done_s - _MOMENT_S:
                try:
                    step, taken_s = self._settled(one.done_s - self.now_s)
                except NotConvergedError:
                    return
                self._accept(step, self.trace.arrivals(self.state, step, self.now_s, taken_s), taken_s)
            self.play.due.remove(one)
            self._apply([one])

    def _clamp_what_is_left(self) -> None:
        """Vents that resin reached at the very end are clamped after it; a tap no longer needed stays shut."""
        self.done.extend(self._clamps_due())

    def _clamps_due(self) -> list[DueStep]:
        self.play.call(self._seen(self.trace.arrival_s), self.now_s)
        return [one for one in self.play.due if one.step.action is Action.CLAMP]

    def _runs_on(self) -> RunsOn | None:
        """With the vents shut that were called for by wet-out: seconds of their clamps are no matter.

        None too where no such flow is found: the run before it stands without it.
        """
        clamped = {one.step.label for one in self.done if one.step.action is Action.CLAMP}
        left = {vent.label for vent in self.network.vents} - clamped
        wet = bool(self.state.wet[self.sheet].all())
        if not left or not wet or not self.tap_open.any() or self.network.give is not None:
            return None
        self.vent_open = np.array([vent.label in left for vent in self.network.vents])
        try:
            step, lasted_s = self._settled(_LOOK_S)
        except NotConvergedError:
            return None
        waiting = [self.play.sequence.steps[index] for index in self.play.waiting]
        seen = self._seen(self.trace.arrival_s)
        calls = {one.label: self.play.fired_at(one, seen) for one in waiting if one.action is Action.CLAMP}
        until_s = max(calls.get(label, np.inf) for label in left)
        return RunsOn(flow_m3_s=step.injected_m3 / lasted_s, until_s=until_s)

    def _result(self, stalled: bool) -> FillRun:
        self._clamp_what_is_left()
        rows = np.array(self.rows)
        held_m3 = self.network.held_in_vents_m3(self.state.saturation)
        holds_air = np.zeros_like(self.state.wet) if self.air is None else self.air.piece >= 0
        return FillRun(
            arrival_s=self.trace.arrival_s,
            first_touch_s=self.trace.touch_s,
            entered_s=self.trace.entered_s,
            source=self.trace.source,
            wet_out_s=float(self.trace.arrival_s[self.sheet][~holds_air[self.sheet]].max(initial=0.0)),
            locks=self.watch.pressed_locks(self.pressure, self.air),
            steps=tuple(sorted(self.done, key=lambda one: (one.done_s, one.index))),
            history=History(
                time_s=rows[:, 0],
                injected_m3=rows[:, 1],
                flow_m3_s=rows[:, 2],
                manifold_pressure_pa=rows[:, 3],
                wet_share=rows[:, 4],
                line_drawn_m3=np.array(self.line_drawn),
                line_pressure_pa=np.array(self.line_pressure),
                vent_pressure_pa=np.array(self.vent_pressure),
            ),
            vent_drawn_m3=self.vent_drawn + held_m3,
            vent_held_m3=held_m3,
            end_saturation=None if self.network.give is None else self.state.saturation,
            end_s=self.now_s,
            stalled=stalled,
            capped=self.capped_ever,
            front_steps=self.front_steps,
            solves=self.stepper.solves,
            runs_on=self._runs_on(),
        )
