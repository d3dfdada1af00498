"""Warns of laminate that holds resin up and is nowhere as wide as a cell."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely

from optimiser.network.mixed_areas import seen_areas
from optimiser.network.sheet_lattice import outline_shape
from optimiser.part.part import LaminateArea, Part
from optimiser.part.shot import Shot
from optimiser.units import mm_from_m

_SLOWER = 1 / 2
"""Of what the fastest laminate of the part passes; our choice. What is faster holds resin up by little."""
_CELLS_ACROSS = 2
_ROUND_OFF = 0.99


def narrow_area_warnings(shot: Shot) -> Iterator[str]:
    """A strip of slow laminate that lies aslant on cells wider than itself is got round from cell to cell: of 40 mm on
    100 mm cells, a quarter aslant, all was wet 16 % too soon, on 25 mm 2 %; laid along them 2 % on 100 mm.
    """
    part, cell_m = shot.part, shot.search.cell_m
    if not part.outlines:
        return
    fastest_m3 = max(_most_m3(area) for area in part.areas)
    for area, width_m in zip(part.areas, _widths_m(part), strict=True):
        if _most_m3(area) < _SLOWER * fastest_m3 and 0 < width_m < _ROUND_OFF * cell_m:
            yield (
                f"area {area.name} holds resin up and is at most {mm_from_m(width_m):.0f} mm wide, narrower than a "
                f"cell of {mm_from_m(cell_m):.0f} mm: where it lies aslant resin gets round it there, and all is wet "
                f"later than said; take cells of at most {max(1, math.floor(mm_from_m(width_m) / _CELLS_ACROSS))} mm"
            )


def _most_m3(area: LaminateArea) -> float:
    return float(np.linalg.eigvalsh(area.laminate.transmissibility_m3).max())


def _widths_m(part: Part) -> list[float]:
    """Of what is seen of each area: the widest circle that lies in it. 0: nothing is seen of it."""
    return [
        max((2 * shapely.maximum_inscribed_circle(one).length for one in shapely.get_parts(seen)), default=0.0)
        for seen in seen_areas(part, outline_shape(part))
    ]
