"""What holds during a step of the front, which sets are tried in it, and what a trial shows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.filling.front_state import FrontState
from optimiser.filling.trapped_air import TrappedAir
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray


@dataclass(frozen=True, kw_only=True)
class Conditions:
    """What holds during one step, in integrals over it."""

    step: int
    time_s: float
    """When it begins."""
    before: FrontState
    air: TrappedAir | None
    tap_g: FloatArray
    """Link conductances of the dry sheet; zero where a tap is shut."""
    g: FloatArray
    """The same at the pressures of the step."""
    contact_g: FloatArray
    vent_diagonal: FloatArray
    diagonal: FloatArray
    """Of each node, were it wet and none of its links stalled."""
    dtheta: float
    head: FloatArray
    """rho g (z_start - z_end) dtheta of each link between wet nodes."""
    pulled_m3: FloatArray
    """What their weight takes from each node, were all nodes wet."""
    front_head: FloatArray
    """The same for links from wet to dry."""
    supply: float
    most_m3: float
    missing_m3: FloatArray
    """What each node lacks to be full; where the bag gives, at no pressure."""
    swell_m3: FloatArray
    """By which a full node grows for each unit of w; zero where the bag does not give."""
    full_m3: FloatArray
    """What a full node holds at no pressure."""
    pressure_pa: FloatArray
    """At which room and conductances were taken, where the bag gives."""


@dataclass
class Sets:
    """What is wet, which front links let nothing pass uphill, and whether the flow cap binds."""

    wet: BoolArray
    stalled: BoolArray
    capped: bool
    overflowed: BoolArray
    changes: IntArray
    """How often each link was opened or stalled."""
    fresh_starts: int = 0

    def begin_anew(self) -> None:
        """Keep the sets, forget how they came about."""
        self.overflowed, self.changes = np.zeros_like(self.overflowed), np.zeros_like(self.changes)
        self.fresh_starts = 0

    @staticmethod
    def expected(network: FlowNetwork, now: Conditions, guess: BoolArray, capped: bool) -> Sets:
        if now.air is not None:
            guess = guess & (now.air.piece < 0)  # how far air gives way is found, not guessed
        if capped and now.missing_m3[guess].sum() > now.most_m3:
            guess = np.zeros_like(guess)  # more than the pump gives
        wet = now.before.wet | guess
        at_front = wet[network.links.start] ^ wet[network.links.end]
        stalled = now.before.stalled
        return Sets(
            wet=wet,
            stalled=np.zeros(len(network.links), dtype=bool) if stalled is None else stalled & at_front,
            capped=capped,
            overflowed=np.zeros(network.node_count, dtype=bool),
            changes=np.zeros(len(network.links), dtype=np.int64),
        )


@dataclass(frozen=True, kw_only=True)
class Front:
    """Links between a wet and a dry node, and what each may let pass: nothing where it is stalled."""

    links: IntArray
    start: IntArray
    end: IntArray
    from_start: BoolArray
    """Whether the start is wet."""
    stalled: BoolArray
    open_m3: FloatArray
    lift_m3: FloatArray
    """By the weight of resin, from start to end."""

    def flux_m3(self, w: FloatArray) -> FloatArray:
        """Over each link, from start to end, at this w of all nodes."""
        return self.open_m3 * (w[self.start] - w[self.end]) + self.lift_m3


@dataclass(frozen=True, kw_only=True)
class Trial:
    """Pressures if the sets were the true ones, and what the front shows of them."""

    w: FloatArray
    air_w: FloatArray | float
    """That of the air which each node holds, or held when the step began; zero where none is."""
    air_rests: BoolArray | None
    """Regions of trapped air that hardly give way any more."""
    front: Front
    saturation: FloatArray
    """Of dry nodes."""
    injected_m3: float
    diagonal: FloatArray


@dataclass(frozen=True, kw_only=True)
class Volumes:
    """What a trial moves."""

    w: FloatArray
    flux_m3: FloatArray
    """Over each link, from start to end."""
    net_m3: FloatArray
    """Gained by each node over its links."""
    saturation: FloatArray
    injected_m3: float
