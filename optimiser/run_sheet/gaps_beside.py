"""Gaps of the case that lie beside a vent: resin runs ahead in them, and a full gap is not a full vent."""

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
