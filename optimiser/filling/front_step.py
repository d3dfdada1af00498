"""One implicit step of the moving front, of any length, as a linear complementarity problem."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.errors import NotConvergedError
from optimiser.filling.pressure_system import PressureSystem
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork
from optimiser.units import STANDARD_GRAVITY_M_S2

_MOST_ROUNDS = 400
_FULL = 1.0 + 1e-10
"""A dry node counts as overfull above this saturation: ten times the round-off of a step's volume balance."""
_BALANCE = 1e-10
"""Refine the solution when wet nodes miss their balance by more than this share of the step's flow."""
_BALANCE_LIMIT = 1e-9
"""Promise of every step: volume conserved to this share of what has been injected."""


@dataclass(frozen=True, kw_only=True)
class Openings:
    """Which ways into and out of the network are open during a step."""

    tap_open: BoolArray
    vent_open: BoolArray


@dataclass(frozen=True, kw_only=True)
class Drive:
    """What pushes: pressures are above the residual vacuum under the bag."""

    supply_pressure_pa: float
    most_flow_m3_s: float | None
    resin_density_kg_m3: float


@dataclass(frozen=True, kw_only=True)
class FrontState:
    saturation: FloatArray
    """Filled share of each node's pore volume."""
    wet: BoolArray
    """Full nodes; a node once wet stays wet."""


@dataclass(frozen=True, kw_only=True)
class FrontStep:
    """What one step found."""

    state: FrontState
    pressure_time: FloatArray
    """w = integral of p dt / viscosity over the step, dimensionless (Pa s / (Pa s))."""
    link_volume_m3: FloatArray
    """Volume passed along each link from start to end."""
    vent_volume_m3: FloatArray
    """Volume drawn into each vent."""
    injected_m3: float
    flow_capped: bool
    rounds: int


class FrontStepper:
    """Steps the front on one network.

    Over a step of fluidity time dtheta = integral dt / viscosity the unknowns are w = integral p dtheta >= 0 and the
    saturation S <= 1 with w (1 - S) = 0 and, at each node,

        V (S_new - S_old) = sum over links g (w_j - w_i + rho g (z_j - z_i) dtheta) + inflow.

    With constant coefficients the backward step is exact in time whatever its length (Elliott & Janovsky, Proc. R.
    Soc. Edinb. A 88:93-107, 1981, from memory). Solved by primal-dual active sets (Hintermueller, Ito & Kunisch,
    SIAM J. Optim. 13:865-888, 2002, doi 10.1137/S1052623401383558), started from the last front.

    Gravity acts on resin only: a link carries its weight when its upper or driving end is wet, and a link from a
    wet to a dry node lets nothing pass while the head is more than the pressure can lift.
    """

    def __init__(self, network: FlowNetwork, drive: Drive) -> None:
        self.network, self.drive = network, drive
        links = network.links
        self._a, self._b, self._g = links.start, links.end, links.conductance_m3
        self._system = PressureSystem(network.node_count, links)
        self._vent_of_contact = np.concatenate(
            [np.full(len(vent.cells), k) for k, vent in enumerate(network.vents)] or [np.empty(0, np.int64)]
        ).astype(np.int64)
        self._contact = np.concatenate([v.cells for v in network.vents] or [np.empty(0, np.int64)]).astype(np.int64)
        self._contact_g = np.concatenate([v.conductance_m3 for v in network.vents] or [np.empty(0)])
        weight = drive.resin_density_kg_m3 * STANDARD_GRAVITY_M_S2
        self._head_pa = weight * (network.height_m[self._a] - network.height_m[self._b])
        self._level = not np.any(self._head_pa)

    @property
    def solves(self) -> int:
        return self._system.factorisations

    def dry_state(self) -> FrontState:
        """Nothing but the manifold is filled."""
        saturation = np.zeros(self.network.node_count)
        saturation[self.network.manifold] = 1.0
        return FrontState(saturation=saturation, wet=saturation > 0)

    def advance(
        self,
        state: FrontState,
        openings: Openings,
        *,
        dt_s: float,
        dtheta: float,
        guess: BoolArray,
        capped: bool,
        step: int = 0,
        time_s: float = 0.0,
    ) -> FrontStep:
        """Move the front over `dt_s`, in which fluidity time grows by `dtheta` (1/Pa).

        guess: nodes expected to be wet at the end; capped: whether the flow cap is expected to bind.
        Raises NotConvergedError when no consistent set is found or volume is not conserved.
        """
        network, drive = self.network, self.drive
        n, manifold, volume = network.node_count, network.manifold, network.volume_m3
        a, b = self._a, self._b
        link_open = np.ones(len(a), dtype=bool)
        link_open[network.tap_links] = openings.tap_open
        g = np.where(link_open, self._g, 0.0)
        contact_g = np.where(openings.vent_open[self._vent_of_contact], self._contact_g, 0.0)
        vent_diagonal = np.bincount(self._contact, weights=contact_g, minlength=n)
        head = self._head_pa * dtheta
        supply = drive.supply_pressure_pa * dtheta
        most_volume = np.inf if drive.most_flow_m3_s is None else drive.most_flow_m3_s * dt_s
        missing = volume * (1.0 - state.saturation)
        wet = state.wet | guess
        stalled = np.zeros(len(a), dtype=bool)
        overflowed = np.zeros(n, dtype=bool)
        for rounds in range(1, _MOST_ROUNDS + 1):
            wet_a, wet_b = wet[a], wet[b]
            both, front = wet_a & wet_b, wet_a ^ wet_b
            front &= ~stalled
            carries = g * (both | front)
            lift = carries * head
            diagonal = (
                np.bincount(a, weights=carries * wet_a, minlength=n)
                + np.bincount(b, weights=carries * wet_b, minlength=n)
                + vent_diagonal
            )
            rhs = np.where(wet, -missing, 0.0)
            if not self._level:
                rhs -= np.where(wet, np.bincount(a, lift, n) - np.bincount(b, lift, n), 0.0)
            off = np.where(both, -g, 0.0)
            if capped:
                rhs[manifold] += most_volume
            else:
                at_manifold = (a == manifold) | (b == manifold)
                feed = np.where(both & at_manifold, g * supply, 0.0)
                rhs += np.where(wet, np.bincount(a, feed, n) + np.bincount(b, feed, n), 0.0)
                off[at_manifold] = 0.0
                diagonal[manifold], rhs[manifold] = 1.0, supply
                if not np.isfinite(supply):
                    raise ValueError("the supply pressure must be finite")
            self._system.factor(diagonal, off, wet)
            w = np.where(wet, self._system.solve(rhs), 0.0)
            flux = carries * (w[a] - w[b]) + lift
            net = np.bincount(b, flux, n) - np.bincount(a, flux, n)
            gain = np.where(volume > 0, net / np.where(volume > 0, volume, 1.0), 0.0)
            saturation = np.where(wet, 1.0, state.saturation + gain)
            overfull = ~wet & (saturation > _FULL)
            emptied = wet & ~state.wet & (w < -self._pull_ahead(front, wet_a, head) * overflowed)
            overflowed |= overfull
            drives = np.where(wet_a, w[a] + head, w[b] - head)
            now_stalled = (wet_a ^ wet_b) & (drives < 0)
            injected = -float(net[manifold])
            too_much = not capped and injected > most_volume * (1 + 1e-9)
            too_hard = capped and w[manifold] > supply * (1 + 1e-9)
            if not (overfull.any() or emptied.any() or (now_stalled != stalled).any() or too_much or too_hard):
                break
            wet = (wet | overfull) & ~emptied
            stalled = now_stalled
            if not (overfull.any() or emptied.any()):
                capped = too_much or (capped and not too_hard)
        else:
            raise NotConvergedError(
                step=step,
                time_s=time_s,
                where=f"{np.count_nonzero(overfull)} nodes still overfull",
                residual=float(saturation.max() - 1),
                remedy="shorter steps or a finer lattice",
            )
        w, flux = self._refined(w, wet, carries, lift, vent_diagonal, missing, most_volume if capped else None)
        net = np.bincount(b, flux, n) - np.bincount(a, flux, n)
        injected = -float(net[manifold])
        gain = np.where(volume > 0, net / np.where(volume > 0, volume, 1.0), 0.0)
        saturation = np.where(wet, 1.0, state.saturation + gain)
        vent_volume = np.bincount(
            self._vent_of_contact, weights=contact_g * w[self._contact], minlength=len(network.vents)
        )
        saturation = np.minimum(saturation, 1.0)
        stored = float((volume * (saturation - state.saturation)).sum())
        self._check_balance(injected, stored + float(vent_volume.sum()), step, time_s)
        return FrontStep(
            state=FrontState(saturation=saturation, wet=wet),
            pressure_time=w,
            link_volume_m3=flux,
            vent_volume_m3=vent_volume,
            injected_m3=injected,
            flow_capped=capped,
            rounds=rounds,
        )

    def _pull_ahead(self, front: BoolArray, wet_a: BoolArray, head: FloatArray) -> FloatArray:
        """The largest head by which each wet node stands above a dry one that it feeds.

        Resin that runs on downhill pulls at the node it has left: one that overflows while it counts as dry
        may, once wet, have a w below zero by no more than this.
        """
        pull = np.zeros(self.network.node_count)
        if not self._level:
            at = np.flatnonzero(front)
            giver = np.where(wet_a[at], self._a[at], self._b[at])
            np.maximum.at(pull, giver, np.where(wet_a[at], head[at], -head[at]))
        return pull

    def _refined(
        self,
        w: FloatArray,
        wet: BoolArray,
        carries: FloatArray,
        lift: FloatArray,
        vent_diagonal: FloatArray,
        missing: FloatArray,
        pumped_m3: float | None,
    ) -> tuple[FloatArray, FloatArray]:
        """Refine w until the wet nodes keep their balance; returns w and the volume over each link."""
        n, manifold = self.network.node_count, self.network.manifold
        for _ in range(4):
            flux = carries * (w[self._a] - w[self._b]) + lift
            net = np.bincount(self._b, flux, n) - np.bincount(self._a, flux, n) - vent_diagonal * w
            residual = np.where(wet, net - missing, 0.0)
            residual[manifold] = 0.0 if pumped_m3 is None else net[manifold] + pumped_m3
            if np.abs(residual).sum() <= _BALANCE * abs(net[manifold]):
                break
            w = w + np.where(wet, self._system.solve(residual), 0.0)
        return w, flux

    def _check_balance(self, injected: float, found: float, step: int, time_s: float) -> None:
        if abs(injected - found) > _BALANCE_LIMIT * max(abs(injected), abs(found)):
            raise NotConvergedError(
                step=step,
                time_s=time_s,
                where="volume balance of the step",
                residual=abs(injected - found) / max(abs(injected), abs(found)),
                remedy="check for conductances that differ by more than twelve powers of ten",
            )
