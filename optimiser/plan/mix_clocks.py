"""When each mix must be made, is drawn from and is used up: every mix has a gel clock of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.network.flow_network import FloatArray


@dataclass(frozen=True, kw_only=True)
class MixClock:
    kg: float
    """Drawn from it."""
    begun_s: float
    """Initiator in, at the latest."""
    begun_at_kg: float | None
    """What is drawn by then; None: it is begun before the first tap."""
    poured_by_kg: float
    """What is drawn when it must be in the container."""
    wanted_s: float
    """The mix before it is used up."""
    used_up_s: float
    leaves_s: float
    """The first of it comes out of the manifold; infinity: never."""


def mix_clocks(
    *,
    time_s: FloatArray,
    drawn_kg: FloatArray,
    mix_kg: float,
    mix_s: float,
    fastest: float = 1.0,
    manifold_kg: float = 0.0,
    left_share: float = 0.0,
) -> tuple[MixClock, ...]:
    """Mixes of `mix_kg` drawn one after another, each made in `mix_s` by one crew, as late as can be.

    drawn_kg: out of the pot up to each time, never falling. From the last mix backwards, one begins `mix_s` before it
    is wanted and before the next one begins: ready_k = min(wanted_k, begun_k+1), begun_k = ready_k - mix_s.
    fastest: the same may be drawn so many times as fast, at least 1. Then a mix is wanted at wanted_k / fastest, and
    begins by what is drawn, which in this run is `fastest` times as late: so it is ready in the one and in the other.
    manifold_kg: what comes out of the manifold was drawn so much before, or less. left_share: of a mix, what must be
    left in the container when the next is poured in.
    """
    total_kg = float(drawn_kg[-1])
    count = max(1, int(np.ceil(total_kg / mix_kg - 1e-9)))
    wanted = [_drawn_at(time_s, drawn_kg, k * mix_kg) for k in range(count)]
    poured_kg = [max(0.0, (k - left_share) * mix_kg) for k in range(count)]
    poured_s = [_drawn_at(time_s, drawn_kg, kg) for kg in poured_kg]
    begun = [0.0] * count
    next_begins = np.inf
    for k in reversed(range(count)):
        begun[k] = next_begins = min(poured_s[k] / fastest, next_begins) - mix_s
    begun = [each_s * fastest if each_s > 0.0 else each_s for each_s in begun]
    return tuple(
        MixClock(
            kg=min(mix_kg, total_kg - k * mix_kg),
            begun_s=begun[k],
            begun_at_kg=float(np.interp(begun[k], time_s, drawn_kg)) if begun[k] > 0.0 else None,
            poured_by_kg=poured_kg[k],
            wanted_s=wanted[k],
            used_up_s=wanted[k + 1] if k + 1 < count else float(time_s[-1]),
            leaves_s=_drawn_at(time_s, drawn_kg, k * mix_kg + manifold_kg),
        )
        for k in range(count)
    )


def _drawn_at(time_s: FloatArray, drawn_kg: FloatArray, kg: float) -> float:
    """When that much was first drawn, evenly between the rows; infinity: never."""
    after = int(np.searchsorted(drawn_kg, kg))
    if after == len(drawn_kg):
        return np.inf
    if after == 0:
        return float(time_s[0])
    before = after - 1
    share = (kg - drawn_kg[before]) / (drawn_kg[after] - drawn_kg[before])
    return float(time_s[before] + share * (time_s[after] - time_s[before]))
