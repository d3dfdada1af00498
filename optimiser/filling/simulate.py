"""Fill the network by playing a sequence on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.errors import NotConvergedError
from optimiser.filling.fill_run import FillRun, History, Lock
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.front_step import Drive, FrontState, FrontStep, FrontStepper, Openings
from optimiser.filling.locked_regions import locked_pieces
from optimiser.filling.tap_play import DueStep, TapPlay
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray
from optimiser.part.sequence import Action, Sequence
from optimiser.part.shot import Crew

_STEPS_PER_FILL = 64
_LEAST_SHARE = 1e-3
"""No step need be shorter than this share of the time so far."""
_REST_SHARE = 1e-4
"""A front that would fill less than this share of what is left until the run is given up stands still."""
_CAP_SLACK, _CAP_SHARE = 0.1, 0.01
"""A step in which the flow cap bites or lets go is cut where flow changes by more than the first share and the step is
longer than the second of the time so far: what is left is a thousandth of the fill."""
_MOST_HALVINGS = 8
_EVENT_SHARE = 3e-4
"""A trigger is met within this share of the time so far; a crew's hands are slower."""

_MOST_SWEEPS = 100
_SETTLED = 1e-6
"""Arrivals within a step are passed on from node to node until they change by less than this share of the step."""


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
        self.arrival = np.where(self.state.wet, 0.0, np.inf)
        self.touch = self.arrival.copy()
        self.source = np.full(network.node_count, -1)
        self.locked = np.zeros(network.node_count, dtype=bool)
        self.locks: list[Lock] = []
        self.done: list[DueStep] = []
        self.rows: list[tuple[float, float, float, float, float]] = [(0.0, 0.0, 0.0, 0.0, 0.0)]
        self.line_drawn = [np.zeros(len(network.lines))]
        self.vent_drawn = np.zeros(len(network.vents))
        self.injected = 0.0
        self.capped_now = drive.most_flow_m3_s is not None
        self.capped_ever = False
        self.front_steps = 0
        self.longest_step_s = 0.0
        """Of late: a step cut short by the crew does not shorten those after it."""
        cells = slice(0, network.cell_count)
        self.cell_volume = network.volume_m3[cells]
        self.total_m3 = float(network.volume_m3.sum() - network.volume_m3[network.manifold])
        self.last_rate = np.zeros(network.node_count)

    # ---- the loop ------------------------------------------------------------------------------------------

    def run(self) -> FillRun:
        self._apply(self.play.start())
        stalled = False
        dt = self._first_step_s()
        while not self._all_wet() and self.now_s < self.limits.longest_s:
            self.play.call(self.arrival, self.now_s)
            self._apply(self.play.take_done(self.now_s))
            moment = min(self.play.next_clock_s(self.now_s), self.limits.longest_s)
            if not self.tap_open.any():
                if moment >= self.limits.longest_s:
                    stalled = True
                    break
                self.now_s = moment
                continue
            step, taken, dt = self._step_to(min(dt, moment - self.now_s))
            if moment >= self.limits.longest_s and self._rests(step, taken):
                stalled = True
                break
        return self._result(stalled)

    def _first_step_s(self) -> float:
        """A short step: the time in which a thousandth of the part would fill at a guess from its longest link."""
        return self.clock.time(1e-12 / max(self.stepper.drive.supply_pressure_pa, 1.0)) + 1.0

    def _next_step_s(self, stored_m3: float, taken_s: float) -> float:
        """Fill an equal share of the part in every step; go easy near the end."""
        left = float((self.network.volume_m3 * (1.0 - self.state.saturation)).sum())
        share = min(self.total_m3 / _STEPS_PER_FILL, 0.5 * left)
        wanted = share * taken_s / stored_m3 if stored_m3 > 0 else 10.0 * taken_s
        least = max(0.02 * taken_s, _LEAST_SHARE * self.now_s, 1e-3)
        return float(np.clip(wanted, least, max(4.0 * taken_s, self.longest_step_s)))

    def _rests(self, step: FrontStep, taken_s: float) -> bool:
        """Whether at this pace the front gets nowhere in the time that is left, whatever the vents may draw."""
        stored = step.injected_m3 - float(step.vent_volume_m3.sum())
        left = float((self.network.volume_m3 * (1.0 - self.state.saturation)).sum())
        return stored * (self.limits.longest_s - self.now_s) <= _REST_SHARE * left * taken_s

    def _step_to(self, dt_s: float) -> tuple[FrontStep, float, float]:
        """Take a step, again and shorter if the crew acts or the flow cap lets go within it.

        Returns the step, its length, and how long the next may be.
        """
        longest = np.inf
        while True:
            step, dt_s = self._settled(dt_s)
            arrival = self._arrivals(step, dt_s)
            shorter = self._shorter(step, arrival, dt_s)
            if shorter is None:
                stored = step.injected_m3 - float(step.vent_volume_m3.sum())
                self._accept(step, arrival, dt_s)
                self.longest_step_s = max(0.5 * self.longest_step_s, dt_s)
                return step, dt_s, min(self._next_step_s(stored, dt_s), max(longest - dt_s, 1e-3))
            longest = min(longest, dt_s)
            dt_s = shorter

    def _settled(self, dt_s: float) -> tuple[FrontStep, float]:
        """A step that converged; one that does not is tried from the last front alone, then half as long."""
        for _ in range(_MOST_HALVINGS):
            try:
                return self._advance(dt_s), dt_s
            except NotConvergedError:
                self.last_rate = np.zeros_like(self.last_rate)
                dt_s /= 2
        return self._advance(dt_s), dt_s

    def _advance(self, dt_s: float) -> FrontStep:
        guess = self.state.saturation + self.last_rate * dt_s > 1.0
        return self._advance_from(guess, dt_s)

    def _advance_from(self, guess: BoolArray, dt_s: float) -> FrontStep:
        dtheta = self.clock.theta(self.now_s + dt_s) - self.clock.theta(self.now_s)
        return self.stepper.advance(
            self.state,
            Openings(tap_open=self.tap_open, vent_open=self.vent_open),
            dt_s=dt_s,
            dtheta=dtheta,
            guess=guess,
            capped=self.capped_now,
            step=self.front_steps,
            time_s=self.now_s,
        )

    def _shorter(self, step: FrontStep, arrival: FloatArray, dt_s: float) -> float | None:
        """The step length at which something happens first within this step, or None."""
        least = max(1e-3, _EVENT_SHARE * self.now_s)
        if dt_s <= least:
            return None
        calls = [self.play.fired_at(self.play.sequence.steps[index], arrival) for index in self.play.waiting]
        first = min(calls, default=np.inf) + self.play.crew.action_s - self.now_s
        if first < dt_s - least:
            return float(np.clip(first, least, 0.5 * dt_s))
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
        before = self.state
        self.state = step.state
        self.arrival = arrival
        self._trace_sources(step, dt_s)
        self.last_rate = np.where(step.state.wet, 0.0, (step.state.saturation - before.saturation) / dt_s)
        self._rate_of_newly_reached(step, dt_s)
        self.now_s += dt_s
        self.front_steps += 1
        self.injected += step.injected_m3
        self.vent_drawn += step.vent_volume_m3
        self.capped_now = step.flow_capped
        self.capped_ever |= step.flow_capped
        dtheta = self.clock.theta(self.now_s) - self.clock.theta(self.now_s - dt_s)
        filled = float((self.cell_volume * step.state.saturation[: network.cell_count]).sum() / self.cell_volume.sum())
        pressure = float(step.pressure_time[network.manifold]) / dtheta
        self.rows.append((self.now_s, self.injected, step.injected_m3 / dt_s, pressure, filled))
        self.line_drawn.append(self.line_drawn[-1] + self._through_taps(step))
        self._find_locks()

    def _through_taps(self, step: FrontStep) -> FloatArray:
        links = self.network.links
        tap = self.network.tap_links
        sign = np.where(links.start[tap] == self.network.manifold, 1.0, -1.0)
        return sign * step.link_volume_m3[tap] * self.tap_open

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
            self._find_locks()

    # ---- when and whence -----------------------------------------------------------------------------------

    def _arrivals(self, step: FrontStep, dt_s: float) -> FloatArray:
        """Arrival of newly wet nodes, if resin enters each at an even pace from when its givers are wet.

        What runs through a node of little volume once it is full says nothing about when it filled: a line behind
        a cell is reached after that cell, however fast it then fills.
        """
        fresh = step.state.wet & ~self.state.wet
        if not fresh.any():
            return self.arrival
        links, flux, n = self.network.links, step.link_volume_m3, self.network.node_count
        giver = np.where(flux > 0, links.start, links.end)
        taker = np.where(flux > 0, links.end, links.start)
        into = np.flatnonzero(fresh[taker] & (flux != 0))
        giver, taker, passed = giver[into], taker[into], np.abs(flux[into])
        entering = np.bincount(taker, passed, n)
        fed = fresh & (entering > 0)
        missing = self.network.volume_m3[fed] * (1.0 - self.state.saturation[fed])
        share = np.minimum(missing / entering[fed], 1.0)
        end_s = self.now_s + dt_s
        arrival = np.where(fresh & ~fed, end_s, self.now_s)
        for _ in range(_MOST_SWEEPS):
            begins = np.bincount(taker, passed * arrival[giver], n)[fed] / entering[fed]
            later = begins + (end_s - begins) * share
            settled = bool(np.all(later - arrival[fed] < _SETTLED * dt_s))
            arrival[fed] = later
            if settled:
                break
        return np.where(fresh, arrival, self.arrival)

    def _trace_sources(self, step: FrontStep, dt_s: float) -> None:
        """Each newly touched node takes the line of the neighbour that gave it most."""
        network = self.network
        for index, line in enumerate(network.lines):
            if self.tap_open[index]:
                self.source[line.hose_node] = index
                self.source[line.nodes[step.state.saturation[line.nodes] > 0]] = index
        touched = (step.state.saturation > 0) & (self.source < 0)
        touched[network.manifold] = False
        flux = step.link_volume_m3
        giver = np.where(flux > 0, network.links.start, network.links.end)
        taker = np.where(flux > 0, network.links.end, network.links.start)
        order = np.argsort(np.abs(flux), kind="stable")
        giver, taker = giver[order], taker[order]
        fed = (np.abs(flux[order]) > 0) & touched[taker] & (giver != network.manifold)
        giver, taker = giver[fed], taker[fed]
        best = np.full(network.node_count, -1)
        best[taker] = giver
        rest = np.flatnonzero(touched & (best >= 0))
        while len(rest):
            known = self.source[best[rest]] >= 0
            if not known.any():
                break
            self.source[rest[known]] = self.source[best[rest[known]]]
            rest = rest[~known]
        new = (step.state.saturation > 0) & ~np.isfinite(self.touch)
        self.touch[new] = np.minimum(self.now_s + 0.5 * dt_s, self.arrival[new])

    def _rate_of_newly_reached(self, step: FrontStep, dt_s: float) -> None:
        """A node first reached in this step will fill faster in the next: expect the pace of its wet neighbours."""
        links, wet = self.network.links, step.state.wet
        flux = step.link_volume_m3 / dt_s
        n = self.network.node_count
        inflow = np.bincount(links.end, np.where(wet[links.start], flux, 0.0), n)
        inflow -= np.bincount(links.start, np.where(wet[links.end], flux, 0.0), n)
        volume = self.network.volume_m3
        pace = np.where(volume > 0, inflow / np.where(volume > 0, volume, 1.0), 0.0)
        self.last_rate = np.where(wet, 0.0, np.maximum(self.last_rate, pace))

    # ---- locks ---------------------------------------------------------------------------------------------

    def _find_locks(self) -> None:
        network = self.network
        for piece in locked_pieces(network, self.state.saturation, self.state.wet, self.vent_open):
            known = self.locked[piece.nodes]
            if known.any():
                self.locked[piece.nodes] = True
                continue
            self.locked[piece.nodes] = True
            if piece.area_m2 <= 0.0:
                continue
            self.locks.append(self._lock(piece.nodes, piece.area_m2, piece.pore_m3))

    def _lock(self, nodes: IntArray, area_m2: float, pore_m3: float) -> Lock:
        network = self.network
        weight = (network.area_m2 * (1 - self.state.saturation))[nodes]
        return Lock(
            at_s=self.now_s,
            nodes=nodes,
            area_m2=area_m2,
            pore_m3=pore_m3,
            x_m=float(np.average(network.x_m[nodes], weights=weight)),
            y_m=float(np.average(network.y_m[nodes], weights=weight)),
            closed_by=self._round_about(nodes),
            fails=area_m2 >= self.limits.smallest_lock_m2,
        )

    def _round_about(self, nodes: IntArray) -> tuple[str, ...]:
        """Lines whose resin stands in the wet neighbours of these nodes, the longest border first."""
        links, wet = self.network.links, self.state.wet
        inside: BoolArray = np.zeros(self.network.node_count, dtype=bool)
        inside[nodes] = True
        neighbours = np.concatenate(
            [links.end[inside[links.start] & wet[links.end]], links.start[inside[links.end] & wet[links.start]]]
        )
        sources = self.source[neighbours]
        index, count = np.unique(sources[sources >= 0], return_counts=True)
        order = np.lexsort((index, -count))
        return tuple(self.network.lines[k].label for k in index[order])

    # ---- the end -------------------------------------------------------------------------------------------

    def _all_wet(self) -> bool:
        return bool(self.state.wet[: self.network.cell_count].all())

    def _clamp_what_is_left(self) -> None:
        """Vents that resin reached at the very end are clamped after it; a tap no longer needed stays shut."""
        self.play.call(self.arrival, self.now_s)
        self.done.extend(one for one in self.play.due if one.step.action is Action.CLAMP)

    def _result(self, stalled: bool) -> FillRun:
        self._clamp_what_is_left()
        rows = np.array(self.rows)
        cells = self.arrival[: self.network.cell_count]
        return FillRun(
            arrival_s=self.arrival,
            first_touch_s=self.touch,
            source=self.source,
            wet_out_s=float(cells.max()),
            locks=tuple(self.locks),
            steps=tuple(sorted(self.done, key=lambda one: (one.done_s, one.index))),
            history=History(
                time_s=rows[:, 0],
                injected_m3=rows[:, 1],
                flow_m3_s=rows[:, 2],
                manifold_pressure_pa=rows[:, 3],
                wet_share=rows[:, 4],
                line_drawn_m3=np.array(self.line_drawn),
            ),
            vent_drawn_m3=self.vent_drawn,
            end_s=self.now_s,
            stalled=stalled,
            capped=self.capped_ever,
            front_steps=self.front_steps,
            solves=self.stepper.solves,
        )
