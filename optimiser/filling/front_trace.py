"""When resin came to each node, whence, and at what pace it is filling."""

from __future__ import annotations

import numpy as np

from optimiser.filling.front_state import FrontState, FrontStep
from optimiser.filling.step_conditions import added
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork

_MOST_SWEEPS = 100
_SETTLED = 1e-6
"""Arrivals within a step are passed on from node to node until they change by less than this share of the step."""


class FrontTrace:
    """What is remembered of the front as it passes."""

    def __init__(self, network: FlowNetwork, state: FrontState) -> None:
        self.network = network
        self.arrival_s = np.where(state.wet, 0.0, np.inf)
        """When each node was full."""
        self.touch_s = self.arrival_s.copy()
        """When resin first entered it."""
        self.entered_s = np.where(state.wet, 0.0, np.inf)
        """When the oldest resin that can have wetted it came through the manifold."""
        self.source = np.full(network.node_count, -1)
        """Index of the line whose resin came first."""
        self.pace_1_s = np.zeros(network.node_count)
        """Expected gain of saturation of the dry nodes."""
        self._holds = network.volume_m3 > 0
        self._pores_m3 = np.where(self._holds, network.volume_m3, 1.0)

    def accept(
        self,
        before: FrontState,
        step: FrontStep,
        arrival_s: FloatArray,
        tap_open: BoolArray,
        *,
        now_s: float,
        dt_s: float,
    ) -> None:
        """Take over a step that begins at `now_s`; arrival_s: what `arrivals` said of it."""
        self.arrival_s = arrival_s
        entered = step.state.saturation > 0
        self._trace_sources(step, entered, tap_open)
        self._trace_entries(~before.wet & entered, step, now_s)
        new = entered & ~np.isfinite(self.touch_s)
        self.touch_s[new] = np.minimum(now_s + 0.5 * dt_s, arrival_s[new])
        self._expect_pace(before, step, dt_s)

    def arrivals(self, before: FrontState, step: FrontStep, now_s: float, dt_s: float) -> FloatArray:
        """Arrival of newly wet nodes, if resin enters each at an even pace from when its givers are wet.

        What runs through a node of little volume once it is full says nothing about when it filled: a line behind
        a cell is reached after that cell, however fast it then fills.
        """
        fresh = np.flatnonzero(step.state.wet & ~before.wet)
        if not len(fresh):
            return self.arrival_s
        place = np.full(self.network.node_count, len(fresh))  # of a node among the fresh; all others have the last
        place[fresh] = np.arange(len(fresh))
        passing, count = step.passing, len(fresh)
        into = np.flatnonzero(place[passing.taker] < count)
        giver, taker, passed = place[passing.giver[into]], place[passing.taker[into]], passing.volume_m3[into]
        entering = np.bincount(taker, passed, count)
        fed = np.flatnonzero(entering > 0)
        missing = self.network.volume_m3[fresh[fed]] * (1.0 - before.saturation[fresh[fed]])
        entering = entering[fed]
        share = np.minimum(np.maximum(missing / entering, 0.0), 1.0)
        end_s = now_s + dt_s
        arrival = np.full(count + 1, end_s)
        arrival[fed] = arrival[count] = now_s
        for _ in range(_MOST_SWEEPS):
            begins = np.bincount(taker, passed * arrival[giver], count)[fed] / entering
            later = begins + (end_s - begins) * share
            settled = bool((later - arrival[fed] < _SETTLED * dt_s).all())
            arrival[fed] = later
            if settled:
                break
        out = self.arrival_s.copy()
        out[fresh] = arrival[:count]
        return out

    def _trace_sources(self, step: FrontStep, entered: BoolArray, tap_open: BoolArray) -> None:
        """Each newly touched node takes the line of the neighbour that gave it most."""
        network = self.network
        for index, line in enumerate(network.lines):
            if tap_open[index]:
                self.source[line.hose_node] = index
                self.source[line.nodes[entered[line.nodes]]] = index
        touched = entered & (self.source < 0)
        touched[network.manifold] = False
        if not np.count_nonzero(touched):
            return
        passing = step.passing
        fed = np.flatnonzero(touched[passing.taker] & (passing.giver != network.manifold))
        fed = fed[np.argsort(passing.volume_m3[fed], kind="stable")]
        giver, taker = passing.giver[fed], passing.taker[fed]
        best = np.full(network.node_count, -1)
        best[taker] = giver
        rest = np.flatnonzero(touched & (best >= 0))
        while len(rest):
            known = self.source[best[rest]] >= 0
            if not known.any():
                break
            self.source[rest[known]] = self.source[best[rest[known]]]
            rest = rest[~known]

    def _trace_entries(self, filling: BoolArray, step: FrontStep, now_s: float) -> None:
        """A node takes the earliest entry of the resin that comes into it before it is full, and keeps it.

        First in stays first at the front: along every stream line resin lies in the order in which it came, what
        passes through a full node later is younger or comes after what that node holds, and none of it overtakes the
        front. So this is no later than the entry of anything that wets the node: with the front in mind ages err to
        the old side. Resin that comes in within a step is taken to have come at its begin.
        """
        into = filling[step.passing.taker]
        giver, taker = step.passing.giver[into], step.passing.taker[into]
        from_supply = giver == self.network.manifold
        while True:
            entered = np.where(from_supply, now_s, self.entered_s[giver])
            if not np.count_nonzero(entered < self.entered_s[taker]):
                return
            np.minimum.at(self.entered_s, taker, entered)

    def _expect_pace(self, before: FrontState, step: FrontStep, dt_s: float) -> None:
        """The pace of this step, or that at which wet neighbours feed a node they have only now reached."""
        wet, n, moved = step.state.wet, self.network.node_count, step.passing
        pace_of_step = (step.state.saturation - before.saturation) / dt_s
        into = np.flatnonzero(wet[moved.giver] & ~wet[moved.taker])
        drawn = np.flatnonzero(wet[moved.taker] & ~wet[moved.giver])
        inflow = added(moved.taker[into], moved.volume_m3[into] / dt_s, n)
        inflow -= added(moved.giver[drawn], moved.volume_m3[drawn] / dt_s, n)
        pace = np.where(self._holds, inflow / self._pores_m3, 0.0)
        self.pace_1_s = np.where(wet, 0.0, np.maximum(pace_of_step, pace))
