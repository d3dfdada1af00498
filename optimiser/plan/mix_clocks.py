"""When each mix must be made, is drawn from and is used up: every mix has a gel clock of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FloatArray
from optimiser.part.shot import Shot


@dataclass(frozen=True, kw_only=True)
class MixClock:
    kg: float
    """Drawn from it."""
    begun_s: float
    """Initiator in, at the latest."""
    wanted_s: float
    """The mix before it is used up."""
    used_up_s: float


def mix_clocks(*, time_s: FloatArray, drawn_kg: FloatArray, mix_kg: float, mix_s: float) -> tuple[MixClock, ...]:
    """Mixes of `mix_kg` drawn one after another, each made in `mix_s` by one crew, as late as can be.

    drawn_kg: out of the pot up to each time, never falling. From the last mix backwards, one begins `mix_s` before it
    is wanted and before the next one begins: ready_k = min(wanted_k, begun_k+1), begun_k = ready_k - mix_s.
    """
    total_kg = float(drawn_kg[-1])
    count = max(1, int(np.ceil(total_kg / mix_kg - 1e-9)))
    wanted = [_drawn_at(time_s, drawn_kg, k * mix_kg) for k in range(count)]
    wanted[0] = float(time_s[0])
    begun = [0.0] * count
    next_begins = np.inf
    for k in reversed(range(count)):
        begun[k] = next_begins = min(wanted[k], next_begins) - mix_s
    return tuple(
        MixClock(
            kg=min(mix_kg, total_kg - k * mix_kg),
            begun_s=begun[k],
            wanted_s=wanted[k],
            used_up_s=wanted[k + 1] if k + 1 < count else float(time_s[-1]),
        )
        for k in range(count)
    )


def mixes_of_run(shot: Shot, run: FillRun) -> tuple[MixClock, ...]:
    """Empty where the supply is not mixed in batches. Before the first tap the first mix fills the manifold."""
    supply, history, density = shot.supply, run.history, shot.resin.density_kg_m3
    if supply.mix_kg is None:
        return ()
    return mix_clocks(
        time_s=history.time_s,
        drawn_kg=(history.injected_m3 + supply.manifold_volume_m3) * density,
        mix_kg=supply.mix_kg,
        mix_s=supply.mix_s or 0.0,
    )


def mixes_in_time(shot: Shot, run: FillRun, limit_s: float) -> bool:
    """Whether the first mix is no older than the limit at wet-out, and every mix is used up before it is.

    Where the case says no minutes of a mix there is one clock, from the first tap, and this is always so.
    """
    if shot.supply.mix_s is None:
        return True
    clocks = mixes_of_run(shot, run)
    oldest_s = max(run.wet_out_s - clocks[0].begun_s, *(one.used_up_s - one.begun_s for one in clocks))
    return oldest_s <= limit_s


def _drawn_at(time_s: FloatArray, drawn_kg: FloatArray, kg: float) -> float:
    """When that much was first drawn, evenly between the rows."""
    after = int(np.searchsorted(drawn_kg, kg))
    if after == 0:
        return float(time_s[0])
    before = after - 1
    share = (kg - drawn_kg[before]) / (drawn_kg[after] - drawn_kg[before])
    return float(time_s[before] + share * (time_s[after] - time_s[before]))
