"""The run of a line or vent as a shape."""

from __future__ import annotations

import shapely


def course_of(run_m: tuple[tuple[float, ...], ...]) -> shapely.Geometry:
    """run_m: corners in order, (x, y) or (x, y, z); one alone is a point."""
    return shapely.LineString(run_m) if len(run_m) > 1 else shapely.Point(run_m[0])
