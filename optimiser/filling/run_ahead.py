"""A guess: which dry nodes further along a pipe what overflows at its front will fill in the same step."""

from __future__ import annotations

import numpy as np

from optimiser.filling.step_sets import Conditions, Sets, Trial
from optimiser.network.flow_network import BoolArray, FloatArray, IntArray

_MOST_AHEAD = 30
"""Pipe nodes that one round may add ahead of a front."""


def run_ahead(
    volume_m3: FloatArray,
    along_pipes: tuple[IntArray, IntArray],
    now: Conditions,
    sets: Sets,
    trial: Trial,
    overfull: BoolArray,
) -> BoolArray:
    """It saves a round for each node of a pipe that fills within one step. along_pipes: starts and ends of its links.

    How far resin gets into trapped air is not guessed.
    """
    ahead = np.zeros_like(overfull)
    surplus = np.where(overfull, (trial.saturation - 1.0) * volume_m3, 0.0)
    a, b = along_pipes
    for _ in range(_MOST_AHEAD):
        given = np.zeros_like(surplus)
        for giver, taker in ((a, b), (b, a)):
            gives = (surplus[giver] > 0) & ~sets.wet[taker] & ~overfull[taker] & ~ahead[taker]
            np.maximum.at(given, taker[gives], surplus[giver[gives]])
        surplus = given - volume_m3
        reached = surplus > 0
        if not reached.any():
            break
        ahead |= reached
    if now.air is not None:
        ahead &= now.air.piece < 0
    filling = overfull | ahead | (sets.wet & ~now.before.wet)
    if sets.capped and now.missing_m3[filling].sum() > now.most_m3:
        return np.zeros_like(overfull)  # more than the pump gives
    return ahead
