"""One implicit step of the moving front, of any length, as a linear complementarity problem."""

from __future__ import annotations

import numpy as np

from optimiser.errors import NotConvergedError
from optimiser.filling.front_state import Drive, FrontState, FrontStep, Openings
from optimiser.filling.layer_columns import columns_of
from optimiser.filling.pressed_air import pressed_back
from optimiser.filling.pressure_system import PressureSystem
from optimiser.filling.run_ahead import Pipes, run_ahead
from optimiser.filling.step_conditions import ConditionsOfSteps, added
from optimiser.filling.step_sets import Conditions, Front, Sets, Trial, Volumes
from optimiser.filling.trapped_air import TrappedAir
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray
from optimiser.physics.darcy import head_pa

_MOST_ROUNDS = 400
_CARELESS = 1e-3
"""Share of a cell by which a node may be out without being looked at again."""
_LITTLE_OF_CELL, _LITTLE_OF_STEP = 0.02, 0.005
"""A step is done when nothing is out by more than the first share of its cell, and all that is out together by no
more than the second share of what the step injects."""
_BALANCE = 1e-10
"""Refine the solution when wet nodes miss their balance by more than this share of the step's flow."""
_MOST_CHANGES_OF_MIND = 4
"""A front link opened and stalled this often in one step stays stalled: that nothing passes is the safe side."""
_MOST_PASSES, _PRESSURE_SHARE = 8, 2e-3
"""Under a bag that gives a step is taken again with the pressures it found until they change by less than this share
of the supply's."""
_BALANCE_LIMIT = 1e-9
"""Promise of every step: volume conserved to this share of the resin in the network."""


class FrontStepper:
    """Steps the front on one network.

    Over a step of fluidity time dtheta = integral dt / viscosity the unknowns are w = integral p dtheta >= 0 and the
    saturation S <= 1 with w (1 - S) = 0 and, at each node,

        V (S_new - S_old) = sum over links g (w_j - w_i + rho g (z_j - z_i) dtheta) + inflow.

    With constant coefficients the backward step is exact in time whatever its length (Elliott & Janovsky, Proc. R.
    Soc. Edinb. A 88:93-107, 1981, from memory). Solved by primal-dual active sets (Hintermueller, Ito & Kunisch,
    SIAM J. Optim. 13:865-888, 2002, doi 10.1137/S1052623401383558), started from the last front.

    Gravity acts on resin only: a link carries its weight when one of its ends is wet, and a link from a wet to a
    dry node lets nothing pass while the head is more than the pressure can lift. Resin that runs on downhill pulls at
    what it has left: such a node stays full with w below zero, by no more than the head of the column beneath it.
    A line that is not yet full trickles rather than stands as a column, so its weight counts from when it is full.
    """

    def __init__(self, network: FlowNetwork, drive: Drive) -> None:
        self.network, self.drive, self._feed_m3 = network, drive, drive.feed_conductance_m3
        links = network.links
        self._a, self._b = links.start, links.end
        self._conditions = ConditionsOfSteps(network, drive)
        self._system = PressureSystem(network.node_count, links, columns_of(network))
        tallest_pa = head_pa(density_kg_m3=drive.resin_density_kg_m3, rise_m=float(np.ptp(network.height_m)))
        self._deepest_pa = 1.05 * tallest_pa + 1e-6 * drive.supply_pressure_pa
        self._holds, self._slack_m3 = network.volume_m3 > 0, _CARELESS * network.volume_m3
        self._all_hold = bool(self._holds.all())
        self._at_manifold = np.flatnonzero((self._a == network.manifold) | (self._b == network.manifold))
        self._from_manifold = np.where(self._a[self._at_manifold] == network.manifold, 1.0, -1.0)
        self._beyond_manifold = (self._a + self._b)[self._at_manifold] - network.manifold
        self._pipes = Pipes.of(network)
        if not np.isfinite(drive.supply_pressure_pa):
            raise ValueError("the supply pressure must be finite")

    @property
    def solves(self) -> int:
        return self._system.systems

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
        air: TrappedAir | None = None,
        step: int = 0,
        time_s: float = 0.0,
    ) -> FrontStep:
        """Move the front over `dt_s`, in which fluidity time grows by `dtheta` (1/Pa).

        guess: nodes expected to be wet at the end; capped: whether the flow cap is expected to bind; air: what locked
        regions hold. Raises NotConvergedError when no consistent set is found or volume is not conserved.
        """
        now = self._conditions.of(state, openings, air, dt_s=dt_s, dtheta=dtheta, step=step, time_s=time_s)
        sets = Sets.expected(self.network, now, guess, capped)
        trial = self._settle(now, sets)
        if self._conditions.give:
            for _ in range(_MOST_PASSES):
                found_pa, guessed_pa = trial.w / dtheta, now.pressure_pa
                if np.abs(found_pa - guessed_pa).max() <= _PRESSURE_SHARE * self.drive.supply_pressure_pa:
                    break
                now = self._conditions.given(now, found_pa)
                sets.begin_anew()
                trial = self._settle(now, sets)
        moved = self._refined(now, sets, trial)
        vent_volume = self._conditions.into_vents(now, moved.w)
        stored = float((self.network.volume_m3 * (moved.saturation - state.saturation)).sum())
        present = float((self.network.volume_m3 * moved.saturation).sum())
        self._check_balance(moved.injected_m3, stored + float(vent_volume.sum()), present, step, time_s)
        return FrontStep(
            state=FrontState(
                saturation=moved.saturation,
                wet=sets.wet,
                stalled=sets.stalled,
                pressure_pa=moved.w / dtheta if self._conditions.give else None,
            ),
            links=self.network.links,
            pressure_time=moved.w,
            link_volume_m3=moved.flux_m3,
            vent_volume_m3=vent_volume,
            injected_m3=moved.injected_m3,
            flow_capped=sets.capped,
            air_rests=trial.air_rests,
        )

    def _settle(self, now: Conditions, sets: Sets) -> Trial:
        """The trial whose sets it agrees with."""
        for _ in range(_MOST_ROUNDS):
            trial = self._trial(now, sets)
            if not self._revise(now, sets, trial):
                return trial
        raise NotConvergedError(
            step=now.step,
            time_s=now.time_s,
            where="the set of wet nodes",
            residual=float(trial.saturation.max() - 1),
            remedy="shorter steps or a finer lattice",
        )

    def _trial(self, now: Conditions, sets: Sets) -> Trial:
        """Pressures if these sets were the true ones, and what they move over the front."""
        wet, manifold, n = sets.wet, self.network.manifold, self.network.node_count
        wet_a, wet_b = wet[self._a], wet[self._b]
        both = wet_a & wet_b
        front = self._front(now, sets, np.flatnonzero(wet_a ^ wet_b))
        diagonal, right = now.diagonal.copy(), -now.missing_m3
        if np.count_nonzero(front.stalled):
            shut_m3 = now.g[front.links[front.stalled]]
            diagonal -= added(front.start[front.stalled], shut_m3, n) + added(front.end[front.stalled], shut_m3, n)
        if not self._conditions.level:
            less = front.lift_m3 - now.g[front.links] * now.head[front.links]
            right -= now.pulled_m3 + (added(front.start, less, n) - added(front.end, less, n))
        off = np.where(both, -now.g, 0.0)
        if sets.capped:
            right[manifold] += now.most_m3
        elif self._feed_m3 is not None:
            diagonal[manifold] += self._feed_m3
            right[manifold] += self._feed_m3 * now.supply
        else:
            at = self._at_manifold
            right += added(self._beyond_manifold, both[at] * now.g[at] * now.supply, n)
            off[at] = 0.0
            diagonal[manifold], right[manifold] = 1.0, now.supply
        self._system.factor(diagonal, off, wet)
        w = self._solved(wet, right)
        air_w: FloatArray | float = 0.0
        air_rests: BoolArray | None = None
        if now.air is not None:
            held = not sets.capped and self._feed_m3 is None
            pressed = pressed_back(
                now.air,
                now,
                wet,
                front,
                w=w,
                solve=lambda b: self._solved(wet, b, but=manifold if held else None),
            )
            w, air_w, air_rests = pressed.w, pressed.air_w, pressed.rests
        flux_m3 = front.flux_m3(w)
        net_m3 = added(front.end, flux_m3, n) - added(front.start, flux_m3, n)
        return Trial(
            w=w,
            air_w=air_w,
            air_rests=air_rests,
            front=front,
            saturation=now.before.saturation + self._gain(net_m3),
            injected_m3=self._through_manifold(now, sets, both, w),
            diagonal=diagonal,
        )

    def _front(self, now: Conditions, sets: Sets, links: IntArray) -> Front:
        start, end, stalled = self._a[links], self._b[links], sets.stalled[links]
        open_m3 = np.where(stalled, 0.0, now.g[links])
        return Front(
            links=links,
            start=start,
            end=end,
            from_start=sets.wet[start],
            stalled=stalled,
            open_m3=open_m3,
            lift_m3=open_m3 * now.front_head[links],
        )

    def _through_manifold(self, now: Conditions, sets: Sets, both: BoolArray, w: FloatArray) -> float:
        """Volume that leaves it, by what its links let pass."""
        at = self._at_manifold
        fall = w[self._a[at]] - w[self._b[at]] + np.where(both[at], now.head[at], now.front_head[at])
        return float((self._from_manifold * np.where(sets.stalled[at], 0.0, now.g[at]) * fall).sum())

    def _gain(self, net_m3: FloatArray) -> FloatArray:
        """Of saturation; none where nothing is held."""
        volume_m3 = self.network.volume_m3
        if self._all_hold:
            return net_m3 / volume_m3
        return np.divide(net_m3, volume_m3, out=np.zeros(len(net_m3)), where=self._holds)

    def _solved(self, wet: BoolArray, right: FloatArray, but: int | None = None) -> FloatArray:
        """w of the wet nodes; but: a node whose w is given, so that nothing may be asked of it."""
        asked = np.where(wet, right, 0.0)
        if but is not None:
            asked[but] = 0.0
        return np.where(wet, self._system.solve(asked), 0.0)

    def _volumes(self, now: Conditions, sets: Sets, front: Front, w: FloatArray) -> Volumes:
        a, b, n = self._a, self._b, self.network.node_count
        flux = np.where(sets.wet[a] & sets.wet[b], now.g * (w[a] - w[b] + now.head), 0.0)
        flux[front.links] = front.flux_m3(w)
        net = added(b, flux, n) - added(a, flux, n)
        full: FloatArray | float = 1.0
        if self._conditions.give:
            full = np.divide(
                now.full_m3 + now.swell_m3 * w, self.network.volume_m3, out=np.ones(n), where=self._holds
            )
        return Volumes(
            w=w,
            flux_m3=flux,
            net_m3=net,
            saturation=np.where(sets.wet, full, now.before.saturation + self._gain(net)),
            injected_m3=-float(net[self.network.manifold]),
        )

    def _revise(self, now: Conditions, sets: Sets, trial: Trial) -> bool:
        """Correct the sets by what the trial shows; False when it agrees with them.

        A node that overflowed as dry stays wet while the supply works in the same way, so that each changes at most
        twice.
        """
        wet, w, slack_m3 = sets.wet, trial.w, self._slack_m3
        overfull = ~wet & (trial.saturation > 1.0 + _CARELESS)
        emptied = wet & ~now.before.wet & ~sets.overflowed & ((w - trial.air_w) * trial.diagonal < -slack_m3)
        front, stood = trial.front.links, trial.front.stalled
        a, b, from_a = trial.front.start, trial.front.end, trial.front.from_start
        fall = w[a] - w[b] + now.front_head[front]
        drives = np.where(from_a, fall, -fall)
        driven_m3 = np.abs(drives * now.g[front])
        small = driven_m3 < np.where(from_a, slack_m3[b], slack_m3[a])
        backwards = (drives < 0) & ~(small & ~stood)
        stands = backwards | (sets.changes[front] >= _MOST_CHANGES_OF_MIND)
        changed = stands != stood
        if any(map(np.count_nonzero, (overfull, emptied, changed))) and not self._settled(
            trial, overfull, emptied, front[changed], driven_m3[changed], bool((changed & stands).any())
        ):
            ahead = run_ahead(self._pipes, now, sets, trial, overfull)
            sets.changes[front] += changed
            sets.overflowed |= overfull
            sets.wet = (wet | overfull | ahead) & ~emptied
            sets.stalled = np.zeros_like(sets.stalled)
            sets.stalled[front] = stands & (sets.wet[a] ^ sets.wet[b])
            return True
        too_much = not sets.capped and trial.injected_m3 > now.most_m3 * (1 + 1e-9)
        lost = now.most_m3 / self._feed_m3 if self._feed_m3 else 0.0
        too_hard = sets.capped and w[self.network.manifold] > (now.supply - lost) * (1 + 1e-9)
        if too_much or too_hard:
            # what overflowed at another pressure need not overflow at this one
            sets.capped, sets.overflowed = too_much, np.zeros_like(sets.overflowed)
            return True
        if float(w.min()) < -self._deepest_pa * now.dtheta and sets.fresh_starts < _MOST_CHANGES_OF_MIND:
            # no column of resin pulls so hard: more was taken for wet than the supply can fill
            sets.overflowed, sets.fresh_starts = np.zeros_like(sets.overflowed), sets.fresh_starts + 1
            return True
        return False

    def _settled(
        self,
        trial: Trial,
        overfull: BoolArray,
        emptied: BoolArray,
        links: IntArray,
        passing_m3: FloatArray,
        stalls: bool,
    ) -> bool:
        """Whether what is still out of place is a little of a cell wherever it is, and of the step all together.

        Nothing is lost by it: what a cell holds too much it still holds in the next step. A link that would draw
        resin back from a dry cell is never let be. links: opened or stalled anew, with what each would let pass;
        stalls: whether one of them was stalled.
        """
        if stalls:
            return False
        volume = self.network.volume_m3
        excess = volume[overfull] * (trial.saturation[overfull] - 1.0)
        lacking = ((trial.air_w - trial.w) * trial.diagonal)[emptied]
        beside = np.minimum(volume[self._a[links]], volume[self._b[links]])
        return bool(
            np.all(excess <= _LITTLE_OF_CELL * volume[overfull])
            and np.all(lacking <= _LITTLE_OF_CELL * volume[emptied])
            and np.all(passing_m3 <= _LITTLE_OF_CELL * beside)
            and excess.sum() + lacking.sum() + passing_m3.sum() <= _LITTLE_OF_STEP * abs(trial.injected_m3)
        )

    def _refined(self, now: Conditions, sets: Sets, trial: Trial) -> Volumes:
        """What the trial moves, its w refined until the wet nodes keep their balance."""
        manifold, moved = self.network.manifold, self._volumes(now, sets, trial.front, trial.w)
        for _ in range(4):
            net = moved.net_m3 - (now.vent_diagonal + now.swell_m3) * moved.w
            residual = np.where(sets.wet, net - now.missing_m3, 0.0)
            given = (self._feed_m3 or 0.0) * (now.supply - float(moved.w[manifold]))
            free = sets.capped or self._feed_m3 is not None
            residual[manifold] = net[manifold] + (now.most_m3 if sets.capped else given) if free else 0.0
            if np.abs(self._system.by_row(residual)).sum() <= _BALANCE * abs(net[manifold]):
                break
            w = moved.w + np.where(sets.wet, self._system.solve(residual), 0.0)
            moved = self._volumes(now, sets, trial.front, w)
        return moved

    def _check_balance(self, injected_m3: float, found_m3: float, present_m3: float, step: int, time_s: float) -> None:
        """present_m3: all resin in the network after the step."""
        if abs(injected_m3 - found_m3) > _BALANCE_LIMIT * present_m3:
            raise NotConvergedError(
                step=step,
                time_s=time_s,
                where="volume balance of the step",
                residual=abs(injected_m3 - found_m3) / present_m3,
                remedy="check for conductances that differ by more than seven powers of ten",
            )
