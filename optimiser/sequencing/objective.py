"""What is better, in order: each level is settled before the next is looked at, and nothing is weighed."""

from __future__ import annotations

from dataclasses import dataclass

from ortools.sat.python import cp_model

from optimiser.sequencing.decisions import Decisions
from optimiser.sequencing.zone_problem import LevelName


@dataclass(frozen=True, kw_only=True)
class Level:
    name: LevelName
    value: cp_model.LinearExprT
    most: bool = False
    """More is better; else less is."""


def levels(decisions: Decisions) -> tuple[Level, ...]:
    """Those that there is nothing to settle at are left out."""
    vents, draws = decisions.vents, [until - since for since, until in decisions.drawing]
    return (
        Level(name=LevelName.WET_OUT, value=decisions.wet_out),
        Level(name=LevelName.MARGIN, value=decisions.margin, most=True),
        Level(name=LevelName.TAPS, value=sum((*decisions.used, *decisions.closed.values()))),
        *((Level(name=LevelName.VENTS, value=sum(vents)),) if vents else ()),
        *((Level(name=LevelName.DRAWN, value=sum(draws)),) if draws else ()),
        Level(name=LevelName.EARLY, value=sum(decisions.opens)),
    )
