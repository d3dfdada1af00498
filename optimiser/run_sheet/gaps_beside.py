"""What lies beside a vent: an edge, or gaps in which resin runs ahead; a full gap is not a full vent."""

from __future__ import annotations

import shapely

from optimiser.case.plan_document import PlanDocument

_BESIDE_MM = 100.0
"""About two cells of a usual network. Common practice, no source."""


def gaps_beside(plan: PlanDocument, vent: str) -> list[str]:
    """Names of the race tracks that come as near to the vent as this; on a surface as it lies unrolled on the map."""
    runs = [shapely.LineString(run.run_mm) for run in plan.map.runs if run.label == vent and len(run.run_mm) > 1]
    return [
        gap.name
        for gap in plan.map.race_tracks
        if any(run.distance(shapely.LineString(gap.run_mm)) <= _BESIDE_MM for run in runs)
    ]


def lies_at_an_edge(plan: PlanDocument, vent: str) -> bool:
    """Whether any of it comes as near to an edge of the part; so does a vent that the map does not show."""
    runs = [run.run_mm for run in plan.map.runs if run.label == vent]
    rings = [shapely.LinearRing(ring) for one in plan.map.outlines for ring in (one.border_mm, *one.holes_mm)]
    places = [shapely.LineString(run) if len(run) > 1 else shapely.Point(run[0]) for run in runs]
    return not places or any(ring.distance(place) <= _BESIDE_MM for ring in rings for place in places)
