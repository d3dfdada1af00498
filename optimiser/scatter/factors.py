"""The quantities of a shot that scatter, each with its law; what does not scatter is not among them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from optimiser.part.scatter import Scatter
from optimiser.part.shot import Shot
from optimiser.scatter.law import Chance, Even, Law, Lognormal


class FactorKind(StrEnum):
    PERMEABILITY = "permeability"
    """Of one laminate wherever it lies: a factor."""
    TEMPERATURE = "temperature"
    """Of resin and mould together: kelvin added."""
    GEL_TIME = "gel_time"
    """A factor, beside what temperature does to it."""
    VACUUM = "vacuum"
    """Residual pressure under the bag: pascal added."""
    LATE_CREW = "late_crew"
    """Seconds added to each action."""
    GAP_WIDTH = "gap_width"
    """Of one race track: a factor."""
    GAP_THERE = "gap_there"
    """Whether a gap that may be there is: 1 or 0."""


@dataclass(frozen=True, kw_only=True)
class Factor:
    kind: FactorKind
    name: str
    """Of the laminate or gap; empty for what belongs to the whole shot."""
    law: Law


def factors_of(shot: Shot, scatter: Scatter) -> tuple[Factor, ...]:
    """Every quantity of this shot that is spread at all, in a fixed order."""
    spread = shot.process.permeability_spread_fraction
    laminates = list(dict.fromkeys(area.laminate.name for area in shot.part.areas))
    spreads = {name: scatter.permeability_variation.get(name, spread) for name in laminates}
    found = [
        _of(FactorKind.PERMEABILITY, Lognormal(variation=own), name) for name, own in spreads.items() if own > 0
    ]
    if scatter.temperature_k > 0:
        found.append(_of(FactorKind.TEMPERATURE, Even(low=-scatter.temperature_k, high=scatter.temperature_k)))
    if scatter.gel_time_variation > 0:
        found.append(_of(FactorKind.GEL_TIME, Lognormal(variation=scatter.gel_time_variation)))
    if scatter.vacuum_pa > 0:
        found.append(_of(FactorKind.VACUUM, Even(low=-scatter.vacuum_pa, high=scatter.vacuum_pa)))
    if scatter.late_s > 0:
        found.append(_of(FactorKind.LATE_CREW, Even(low=0.0, high=scatter.late_s)))
    gaps = [track.name for track in shot.part.race_tracks] + [one.track.name for one in scatter.may_race]
    if scatter.track_width_variation > 0:
        width = Lognormal(variation=scatter.track_width_variation)
        found += [_of(FactorKind.GAP_WIDTH, width, name) for name in gaps]
    found += [_of(FactorKind.GAP_THERE, Chance(of=one.chance), one.track.name) for one in scatter.may_race]
    return tuple(found)


def _of(kind: FactorKind, law: Law, name: str = "") -> Factor:
    return Factor(kind=kind, name=name, law=law)
