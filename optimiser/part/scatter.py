"""How far what a case states may be off on the day, and how often that is played."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from optimiser.part.part import RaceTrack


@dataclass(frozen=True, kw_only=True)
class MayRace:
    """A gap that is there in some shots only: at an edge, at a joint that did not close."""

    track: RaceTrack
    chance: float
    """Share of the shots in which it is there."""


@dataclass(frozen=True, kw_only=True)
class Scatter:
    """Spread of permeability stands in the process, for the five changed runs use it too."""

    scenarios: int
    """How many variations each leading sequence is played in."""
    near_fraction: float
    """Sequences slower than the fastest by up to this share compete on how many variations they stay clean in."""
    permeability_variation: Mapping[str, float]
    """Of laminates by name, where it is not the spread of the process."""
    temperature_k: float
    """Resin and mould together, evenly up to this much colder or warmer."""
    gel_time_variation: float
    """Coefficient of variation of the gel time, lognormal, its mean kept."""
    vacuum_pa: float
    """Residual pressure under the bag, evenly up to this much lower or higher."""
    late_s: float
    """Each action of the crew takes evenly up to this much longer."""
    track_width_variation: float
    """Coefficient of variation of the width of each gap, lognormal, its mean kept."""
    may_race: tuple[MayRace, ...] = ()
