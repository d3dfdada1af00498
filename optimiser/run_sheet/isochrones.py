"""Lines of equal wetting time over the cells of the map."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from matplotlib.tri import Triangulation
from numpy.typing import NDArray

from optimiser.case.plan_document import MapData
from optimiser.run_sheet.during import even_step_s

MOST_LEVELS = 8
LONGEST_EDGE_CELLS = 2.5
"""Triangles with a longer edge bridge a gap between cells and are left out."""


@dataclass(frozen=True, kw_only=True)
class WetField:
    """Wetting times on triangles; cells that stay dry take no part."""

    triangulation: Triangulation
    wet_min: NDArray[np.float64]
    """Minutes, one per cell; nan where dry."""


def wet_field(data: MapData) -> WetField | None:
    """The field to contour; None where the wet cells span no triangle."""
    wet_min = np.array([np.nan if t is None else t / 60.0 for t in data.wet_s])
    triangles = _triangles(data)
    if triangles is None:
        return None
    usable = np.isfinite(wet_min)[triangles].all(axis=1)
    if data.triangles is None:
        usable &= _on_the_part(data, triangles)
    if not usable.any():
        return None
    x, y = np.asarray(data.x_mm), np.asarray(data.y_mm)
    return WetField(triangulation=Triangulation(x, y, triangles, mask=~usable), wet_min=wet_min)


def levels_min(field: WetField) -> list[float]:
    """Handy minutes from the first to past the last wet cell."""
    last = float(np.nanmax(field.wet_min))
    step = even_step_s(max(last, 0.5) * 60.0, MOST_LEVELS) / 60.0
    return [step * i for i in range(int(np.ceil(last / step - 1e-9)) + 1)]


def _triangles(data: MapData) -> NDArray[np.int64] | None:
    if data.triangles is not None:
        return np.array(data.triangles, dtype=np.int64).reshape(-1, 3) if data.triangles else None
    x, y = np.asarray(data.x_mm), np.asarray(data.y_mm)
    if len(x) < 3 or min(np.ptp(x), np.ptp(y)) < 0.5 * data.cell_mm:
        return None  # a single row of cells has no triangles
    return np.asarray(Triangulation(x, y).triangles, dtype=np.int64)


def _on_the_part(data: MapData, triangles: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Triangles whose middle lies inside an outline and whose edges join neighbouring cells."""
    corners = np.column_stack([data.x_mm, data.y_mm])[triangles]
    edges = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).max(axis=1)
    near: NDArray[np.bool_] = edges <= LONGEST_EDGE_CELLS * data.cell_mm
    if not data.outlines:
        return near
    middle = corners.mean(axis=1)
    part = shapely.union_all([
        shapely.make_valid(shapely.Polygon(outline.border_mm, outline.holes_mm)) for outline in data.outlines
    ])
    shapely.prepare(part)
    inside: NDArray[np.bool_] = shapely.contains_xy(part, middle[:, 0], middle[:, 1])
    return near & inside
