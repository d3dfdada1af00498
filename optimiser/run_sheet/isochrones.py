"""Values of the cells of the map as a field over triangles, to draw lines of equal value on: minutes, millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from matplotlib.tri import Triangulation
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from optimiser.case.map_document import MapData
from optimiser.run_sheet.during import even_step_s

MOST_LEVELS = 8
LONGEST_EDGE_CELLS = 2.5
"""Triangles with a longer edge bridge a gap between cells and are left out."""
BORDER_REACH_CELLS = 1.5
"""How far a cell lends its value to the edge of the part."""

Columns = tuple[NDArray[np.float64], NDArray[np.float64]]
"""Positions (n, 2) in mm and values (n,), nan where there is none."""


@dataclass(frozen=True, kw_only=True)
class CellField:
    """Values on triangles; cells without a value take no part."""

    triangulation: Triangulation
    values: NDArray[np.float64]
    """At each corner; nan where there is none."""

    @property
    def finite(self) -> NDArray[np.float64]:
        """The same with zero for nan: corners of masked triangles must be finite to be drawn."""
        return np.nan_to_num(self.values)


def wet_field(data: MapData) -> CellField | None:
    """Minutes until each cell is wet; those that stay dry have no value."""
    return cell_field(data, [None if t is None else t / 60.0 for t in data.wet_s])


def cell_field(data: MapData, of_cells: Sequence[float | None]) -> CellField | None:
    """The field to contour; None where the cells with a value span no triangle."""
    at_mm = np.column_stack([data.x_mm, data.y_mm]).astype(float).reshape(-1, 2)
    values = np.array([np.nan if value is None else value for value in of_cells], dtype=float)
    if data.triangles is not None:
        triangles = np.array(data.triangles, dtype=np.int64).reshape(-1, 3)
        return _field(at_mm, values, triangles, np.ones(len(triangles), dtype=bool))
    if len(at_mm) < 3 or np.ptp(at_mm, axis=0).min() < 0.5 * data.cell_mm:
        return None  # a single row of cells has no triangles
    part = _part(data)
    if part is not None:
        at_mm, values = _out_to_the_border(part, data.cell_mm, (at_mm, values))
    triangles = np.asarray(Triangulation(at_mm[:, 0], at_mm[:, 1]).triangles, dtype=np.int64)
    return _field(at_mm, values, triangles, _on_the_part(part, data.cell_mm, at_mm[triangles]))


def levels_min(field: CellField) -> list[float]:
    """Handy minutes from the start to the last wet cell or just past it."""
    last = float(np.nanmax(field.values))
    step = even_step_s(max(last, 0.5) * 60.0, MOST_LEVELS) / 60.0
    return [step * i for i in range(max(int(np.ceil(last / step - 1e-9)), 1) + 1)]


def _field(
    at_mm: NDArray[np.float64],
    values: NDArray[np.float64],
    triangles: NDArray[np.int64],
    usable: NDArray[np.bool_],
) -> CellField | None:
    usable = usable & np.isfinite(values)[triangles].all(axis=1)
    if not usable.any():
        return None
    return CellField(triangulation=Triangulation(at_mm[:, 0], at_mm[:, 1], triangles, mask=~usable), values=values)


def _part(data: MapData) -> shapely.Geometry | None:
    if not data.outlines:
        return None
    outlines = [shapely.make_valid(shapely.Polygon(o.border_mm, o.holes_mm)) for o in data.outlines]
    return shapely.union_all(outlines)


def _out_to_the_border(part: shapely.Geometry, cell_mm: float, columns: Columns) -> Columns:
    """The columns with points along the edge added, each with the value of its nearest cell.

    Middles of cells stop half a cell short of the edge.
    """
    at_mm, values = columns
    edge = shapely.get_coordinates(shapely.segmentize(part.boundary, cell_mm))
    away, nearest = cKDTree(at_mm).query(edge)
    near = away <= BORDER_REACH_CELLS * cell_mm
    both = np.vstack([at_mm, edge[near]])
    _, once = np.unique(both.round(3), axis=0, return_index=True)
    once.sort()
    return both[once], np.concatenate([values, values[nearest[near]]])[once]


def _on_the_part(part: shapely.Geometry | None, cell_mm: float, corners_mm: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Triangles whose middle lies inside an outline and whose edges join neighbouring cells."""
    edges = np.linalg.norm(corners_mm - np.roll(corners_mm, 1, axis=1), axis=2).max(axis=1)
    near: NDArray[np.bool_] = edges <= LONGEST_EDGE_CELLS * cell_mm
    if part is None:
        return near
    middle = corners_mm.mean(axis=1)
    shapely.prepare(part)
    inside: NDArray[np.bool_] = shapely.contains_xy(part, middle[:, 0], middle[:, 1])
    return near & inside
