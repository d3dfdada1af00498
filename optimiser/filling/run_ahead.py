"""A guess: which dry nodes further along a pipe what overflows at its front will fill in the same step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.filling.step_sets import Conditions, Sets, Trial
from optimiser.network.flow_network import BoolArray, FloatArray, FlowNetwork, IntArray

_MOST_AHEAD = 30
"""Pipe nodes that one round may add ahead of a front."""


@dataclass(frozen=True, kw_only=True)
class Pipes:
    """Links along pipes, those of taps left out: the last nodes of a network, counted from the first of them."""

    first: int
    giver: IntArray
    """Of each link, both ways."""
    taker: IntArray
    volume_m3: FloatArray

    @staticmethod
    def of(network: FlowNetwork) -> Pipes:
        first, links = network.sheet_count, network.links
        along = (links.start >= first) & (links.end >= first)
        along[network.tap_links] = False
        start, end = links.start[along] - first, links.end[along] - first
        return Pipes(
            first=first,
            giver=np.concatenate([start, end]),
            taker=np.concatenate([end, start]),
            volume_m3=network.volume_m3[first:],
        )


def run_ahead(pipes: Pipes, now: Conditions, sets: Sets, trial: Trial, overfull: BoolArray) -> BoolArray:
    """It saves a round for each node of a pipe that fills within one step.

    How far resin gets into trapped air is not guessed.
    """
    ahead = np.zeros_like(overfull)
    ahead[pipes.first :] = _along(pipes, sets.wet[pipes.first :], overfull[pipes.first :], trial.saturation)
    if now.air is not None:
        ahead &= now.air.piece < 0
    if sets.capped:
        filling = overfull | ahead | (sets.wet & ~now.before.wet)
        if now.missing_m3[filling].sum() > now.most_m3:
            return np.zeros_like(overfull)  # more than the pump gives
    return ahead


def _along(pipes: Pipes, wet: BoolArray, overfull: BoolArray, saturation: FloatArray) -> BoolArray:
    ahead = np.zeros_like(overfull)
    surplus = np.where(overfull, (saturation[pipes.first :] - 1.0) * pipes.volume_m3, 0.0)
    takes = ~wet & ~overfull
    for _ in range(_MOST_AHEAD):
        gives = np.flatnonzero((surplus > 0)[pipes.giver] & takes[pipes.taker])
        if len(gives) == 0:
            break
        given = np.zeros_like(surplus)
        np.maximum.at(given, pipes.taker[gives], surplus[pipes.giver[gives]])
        surplus = given - pipes.volume_m3
        reached = surplus > 0
        ahead |= reached
        takes &= ~reached
    return ahead
