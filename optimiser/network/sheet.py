"""The sheet of the part, cut into cells and links, before lines and vents are laid on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from optimiser.network.flow_network import FloatArray, IntArray, Links
from optimiser.part.part import Part


@dataclass(frozen=True, kw_only=True)
class Sheet:
    cell_size_m: float
    position_m: FloatArray
    """(n, 3): place on the developed sheet and zero, or place in space for a surface."""
    height_m: FloatArray
    area_m2: FloatArray
    area_of_cell: IntArray
    """Index of the laminate area in which most of the cell lies."""
    shares: FloatArray
    """(n, areas): share of the cell that lies in each area."""
    links: Links
    triangles: IntArray | None = None


def pore_volume_m3(part: Part, sheet: Sheet) -> FloatArray:
    depths = np.array([area.laminate.pore_depth_m for area in part.areas])
    return np.asarray(sheet.area_m2 * (sheet.shares @ depths))
