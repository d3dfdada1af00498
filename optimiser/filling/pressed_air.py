"""Trapped air presses back on the resin that closes in on it, by Boyle's law, within a step of the front."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from optimiser.errors import NotConvergedError
from optimiser.filling.step_sets import Conditions, Front
from optimiser.filling.trapped_air import LEAST_ROOM, TrappedAir
from optimiser.network.flow_network import BoolArray, FloatArray
from optimiser.physics.trapped_gas import gas_room_m3

_MOST_ITERATIONS, _SETTLED = 100, 1e-10
_STILL_TO_FILL = 0.05
"""Share of what resin can get of a region: air that is so near its rest is at rest to whoever watches the part."""


@dataclass(frozen=True, kw_only=True)
class Pressed:
    w: FloatArray
    """Of wet nodes, and of those that hold air."""
    air_w: FloatArray
    """Of the air of its region, at each node that held some when the step began; zero at all others."""
    rests: BoolArray
    """Regions whose air is at rest."""


def pressed_back(
    air: TrappedAir,
    now: Conditions,
    wet: BoolArray,
    front: Front,
    *,
    w: FloatArray,
    solve: Callable[[FloatArray], FloatArray],
) -> Pressed:
    """w of the wet nodes, corrected for the air that they meet.

    The wet region is linear in the pressures G of the regions: w = w_0 + sum_r u_r G_r, with u_r solved by the factors
    at hand. Each region then keeps its air, backward in time as all of the step:

        room - what its newly wet nodes lacked - inflow(G) = amount / (p_closed_in + G / dtheta).

    The left side rises and the right side falls as G grows, so there is one root; Newton's iteration with pressures
    kept above half of what they were finds it. solve: w on wet nodes for a right-hand side of all nodes.
    """
    count = len(air.room_m3)
    giver, taker = np.where(front.from_start, (front.start, front.end), (front.end, front.start))
    into = np.flatnonzero((air.piece[taker] >= 0) & (front.open_m3 > 0))
    giver, region, open_m3 = giver[into], air.piece[taker[into]], front.open_m3[into]
    weight_m3 = np.where(front.from_start, front.lift_m3, -front.lift_m3)[into]
    answers = np.zeros((count, len(w)))
    for k in np.unique(region):
        mine = region == k
        answers[k] = solve(np.bincount(giver[mine], open_m3[mine], len(w)).astype(np.float64, copy=False))
    inflow_m3 = np.bincount(region, open_m3 * w[giver] + weight_m3, count)
    by_pressure = np.zeros((count, count))
    for k in range(count):
        by_pressure[:, k] = np.bincount(region, open_m3 * (answers[k][giver] - (region == k)), count)
    filled = wet & (air.piece >= 0)
    taken_m3 = np.bincount(air.piece[filled], now.missing_m3[filled], count)
    room_m3 = np.maximum(air.room_m3 - taken_m3, LEAST_ROOM * air.room_m3)
    pressure_pa = _kept(air, room_m3 - inflow_m3, by_pressure * now.dtheta, now)
    beyond = (pressure_pa - air.closed_in_pa) * now.dtheta
    came_m3 = np.maximum(taken_m3 + inflow_m3 + by_pressure @ beyond, 0.0)
    air_w = np.where(air.piece >= 0, beyond[air.piece], 0.0)
    return Pressed(
        w=np.where(wet, w + beyond @ answers, air_w),
        air_w=air_w,
        rests=_rests(air, pressure_pa, came_m3, -np.diag(by_pressure) * now.dtheta),
    )


def _rests(air: TrappedAir, pressure_pa: FloatArray, came_m3: FloatArray, stops_m3_pa: FloatArray) -> BoolArray:
    """came_m3: into each region in this step; stops_m3_pa: by how much less for each pascal more in it."""
    open_m3_pa = np.maximum(stops_m3_pa, np.finfo(float).tiny)
    stop_pa = np.where(came_m3 > 0, pressure_pa + came_m3 / open_m3_pa, pressure_pa)
    closed_pa = np.full_like(pressure_pa, air.closed_in_pa)
    room, at_rest, at_first = (
        gas_room_m3(amount_pa_m3=air.amount_pa_m3, pressure_pa=each_pa) for each_pa in (pressure_pa, stop_pa, closed_pa)
    )
    return np.asarray(room - at_rest <= _STILL_TO_FILL * (at_first - at_rest))


def _kept(air: TrappedAir, room_m3: FloatArray, inflow_m3_pa: FloatArray, now: Conditions) -> FloatArray:
    """p with room - inflow by pressure (p - p_closed_in) = amount / p in each region.

    room_m3: left if the air stayed at the pressure at which it was closed in; may be less than none.
    """
    amount, closed_in_pa = air.amount_pa_m3, air.closed_in_pa
    p = air.pressure_pa.copy()
    for _ in range(_MOST_ITERATIONS):
        taken_m3 = gas_room_m3(amount_pa_m3=amount, pressure_pa=p)
        off_m3 = room_m3 - inflow_m3_pa @ (p - closed_in_pa) - taken_m3
        slope = np.diag(taken_m3 / p) - inflow_m3_pa
        wanted = p - np.linalg.solve(slope, off_m3)
        following = np.maximum(wanted, 0.5 * p)
        if np.all(np.abs(following - p) <= _SETTLED * p):
            return following
        p = following
    raise NotConvergedError(
        step=now.step,
        time_s=now.time_s,
        where="the pressure of trapped air",
        residual=float(np.abs(following / p - 1.0).max()),
        remedy="shorter steps",
    )
