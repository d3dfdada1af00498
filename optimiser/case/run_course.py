"""The run of a line, vent or gap as a shape in the plane."""

from __future__ import annotations

import shapely


def course_of(run: tuple[tuple[float, ...], ...]) -> shapely.Geometry:
    """run: corners in order, (x, y) or (x, y, z), in any unit; one alone is a point."""
    flat = [point[:2] for point in run]
    return shapely.LineString(flat) if len(flat) > 1 else shapely.Point(flat[0])
