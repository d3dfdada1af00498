"""What a step of the front meets: open ways, weights, and under a bag that gives its room and conductances."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from optimiser.filling.front_state import Drive, FrontState, Openings
from optimiser.filling.giving_sheet import GivingSheet
from optimiser.filling.step_sets import Conditions
from optimiser.filling.trapped_air import TrappedAir
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray
from optimiser.physics.darcy import head_pa


@dataclass(frozen=True, kw_only=True)
class _Ways:
    """What conducts with these taps and vents open."""

    tap_open: BoolArray
    vent_open: BoolArray
    g: FloatArray
    contact_g: FloatArray
    vent_diagonal: FloatArray
    diagonal: FloatArray
    """Of each node, with all its links."""


_TETHER = 1e-11
"""Share of a middling conductance that ties every wet node to zero, so that an island of wet nodes that lets nothing
pass has an answer at all; refinement takes its effect out again."""


class ConditionsOfSteps:
    """Of all steps on one network."""

    def __init__(self, network: FlowNetwork, drive: Drive) -> None:
        self.network, self.drive = network, drive
        gives = network.give is not None and drive.compaction_pa is not None
        self._giving = GivingSheet(network, drive.compaction_pa or 0.0) if gives else None
        self._vent_of_contact = np.concatenate(
            [np.full(len(vent.outlets), k) for k, vent in enumerate(network.vents)] or [np.empty(0, np.int64)]
        ).astype(np.int64)
        self._contact = np.concatenate([v.outlets for v in network.vents] or [np.empty(0, np.int64)]).astype(np.int64)
        self._contact_g = np.concatenate([v.outlet_m3 for v in network.vents] or [np.empty(0)])
        start, end, height_m = network.links.start, network.links.end, network.height_m
        conducts_m3 = network.links.conductance_m3
        self._tether_m3 = _TETHER * float(np.median(conducts_m3[conducts_m3 > 0]))
        self._head_pa = head_pa(density_kg_m3=drive.resin_density_kg_m3, rise_m=height_m[start] - height_m[end])
        self.level = not np.any(self._head_pa)
        """Whether gravity has no part in it."""
        self._at_pipe = (start >= network.sheet_count) | (end >= network.sheet_count)
        self._pipe_of_link = _pipe_of_each_link(network)
        self._none = np.zeros(network.node_count)
        self._ways: _Ways | None = None

    @property
    def give(self) -> bool:
        """Whether room and conductances depend on pressure."""
        return self._giving is not None

    def of(
        self,
        state: FrontState,
        openings: Openings,
        air: TrappedAir | None,
        *,
        dt_s: float,
        dtheta: float,
        step: int,
        time_s: float,
    ) -> Conditions:
        """For the step of `dt_s`, in which fluidity time grows by `dtheta` (1/Pa), from this state on."""
        drive, none, weight_pa, ways = self.drive, self._none, self._weight_pa(state), self._ways_of(openings)
        head = weight_pa if self.level else weight_pa * dtheta
        now = Conditions(
            step=step,
            time_s=time_s,
            before=state,
            air=air,
            tap_g=ways.g,
            g=ways.g,
            contact_g=ways.contact_g,
            vent_diagonal=ways.vent_diagonal,
            diagonal=ways.diagonal,
            dtheta=dtheta,
            head=head,
            pulled_m3=none if self.level else self._pulled_m3(ways.g, head),
            front_head=weight_pa if self.level else np.where(self._at_pipe, 0.0, weight_pa) * dtheta,
            supply=drive.supply_pressure_pa * dtheta,
            most_m3=np.inf if drive.most_flow_m3_s is None else drive.most_flow_m3_s * dt_s,
            missing_m3=self.network.volume_m3 * (1.0 - state.saturation),
            swell_m3=none,
            full_m3=self.network.volume_m3,
            pressure_pa=none,
        )
        return self.given(now, none if state.pressure_pa is None else state.pressure_pa)

    def given(self, now: Conditions, pressure_pa: FloatArray) -> Conditions:
        """The same step with volumes and conductances of a bag that gives, about these pressures."""
        if self._giving is None:
            return now
        beyond_m3, by_pa = self._giving.room_m3(pressure_pa)
        volume_m3 = self.network.volume_m3
        g = now.tap_g * self._giving.conductance_ratio(pressure_pa)
        swell_m3 = by_pa / now.dtheta
        return replace(
            now,
            g=g,
            diagonal=self._diagonal(g, now.vent_diagonal) + swell_m3,
            pulled_m3=self._none if self.level else self._pulled_m3(g, now.head),
            missing_m3=volume_m3 * (1.0 - now.before.saturation) + beyond_m3,
            swell_m3=swell_m3,
            full_m3=volume_m3 + beyond_m3,
            pressure_pa=pressure_pa,
        )

    def into_vents(self, now: Conditions, w: FloatArray) -> FloatArray:
        """Volume that each vent draws in the step."""
        return added(self._vent_of_contact, now.contact_g * w[self._contact], len(self.network.vents))

    def _ways_of(self, openings: Openings) -> _Ways:
        """Found anew only when the crew has turned something."""
        ways = self._ways
        if ways is None or not (
            np.array_equal(openings.tap_open, ways.tap_open) and np.array_equal(openings.vent_open, ways.vent_open)
        ):
            g = self.network.links.conductance_m3.copy()
            g[self.network.tap_links[~openings.tap_open]] = 0.0
            g[self.network.clamp_links[~openings.vent_open & (self.network.clamp_links >= 0)]] = 0.0
            contact_g = np.where(openings.vent_open[self._vent_of_contact], self._contact_g, 0.0)
            vent_diagonal = added(self._contact, contact_g, self.network.node_count)
            ways = self._ways = _Ways(
                tap_open=openings.tap_open.copy(),
                vent_open=openings.vent_open.copy(),
                g=g,
                contact_g=contact_g,
                vent_diagonal=vent_diagonal,
                diagonal=self._diagonal(g, vent_diagonal),
            )
        return ways

    def _diagonal(self, g: FloatArray, vent_diagonal: FloatArray) -> FloatArray:
        links, n = self.network.links, self.network.node_count
        return added(links.start, g, n) + added(links.end, g, n) + vent_diagonal + self._tether_m3

    def _pulled_m3(self, g: FloatArray, head: FloatArray) -> FloatArray:
        links, n, lift_m3 = self.network.links, self.network.node_count, g * head
        return added(links.start, lift_m3, n) - added(links.end, lift_m3, n)

    def _weight_pa(self, state: FrontState) -> FloatArray:
        """Of the resin in each link; a pipe that is not yet full holds no column."""
        if self.level:
            return self._head_pa
        full = np.array([state.wet[nodes].all() for nodes in self.network.pipes], dtype=bool)
        return np.where((self._pipe_of_link >= 0) & ~full[self._pipe_of_link], 0.0, self._head_pa)


def added(index: IntArray, values: FloatArray, count: int) -> FloatArray:
    """Values added up by index."""
    return np.bincount(index, values, count).astype(np.float64, copy=False)


def _pipe_of_each_link(network: FlowNetwork) -> IntArray:
    """Index of the line, or the vent that is a pipe, inside which a link lies; -1 for all others."""
    pipe_of_node = np.full(network.node_count, -1)
    for index, nodes in enumerate(network.pipes):
        pipe_of_node[nodes] = index
    start, end = pipe_of_node[network.links.start], pipe_of_node[network.links.end]
    return np.where(start == end, start, -1)
