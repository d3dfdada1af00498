"""A network run as something to be carried elsewhere: what it is given, and who may carry it."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from typing import Protocol

from optimiser.filling.fill_run import FillRun
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.front_state import Drive
from optimiser.filling.simulate import FillLimits, simulate
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Sequence
from optimiser.part.shot import Crew


@dataclass(frozen=True, kw_only=True)
class Scene:
    """All of a run but its sequence."""

    network: FlowNetwork
    drive: Drive
    clock: FluidityClock
    crew: Crew


@dataclass(frozen=True, kw_only=True)
class Task:
    scene: int
    """Index of the scene among those the runner was made with."""
    sequence: Sequence
    limits: FillLimits


class RunCarrier(Protocol):
    """Has runs done somewhere. Where, and how often one is begun anew, changes nothing in what comes back."""

    def carry(self, scenes: tuple[Scene, ...], tasks: list[Task]) -> Generator[FillRun, None, None]:
        """One result for each task, in their order. Closing the generator gives up what is not done yet."""

    def close(self) -> None:
        """Let go of whatever carries."""


def run_scene(scene: Scene, sequence: Sequence, limits: FillLimits) -> FillRun:
    return simulate(scene.network, scene.drive, scene.clock, sequence, scene.crew, limits)
