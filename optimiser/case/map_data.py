"""What the wet-out map is drawn from."""

from __future__ import annotations

import math

import numpy as np

from optimiser.case.map_document import MapArea, MapData, MapOutline, MapRaceTrack, MapRun
from optimiser.case.thickness import cell_thicknesses
from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.part import Vent
from optimiser.part.shot import Shot
from optimiser.units import mm_from_m

_BORDER_DIGITS = 1


def map_data(shot: Shot, network: FlowNetwork, run: FillRun, order: dict[str, int]) -> MapData:
    part = shot.part
    cells = network.cell_count
    thicknesses = cell_thicknesses(shot, network, run)
    return MapData(
        outlines=[
            MapOutline(border_mm=_ring(outline.border_m), holes_mm=[_ring(hole) for hole in outline.holes_m])
            for outline in part.outlines
        ],
        areas=[
            MapArea(name=area.name, laminate=area.laminate.name, border_mm=_ring(area.border_m))
            for area in part.areas
            if area.border_m is not None
        ],
        runs=[
            *(
                MapRun(
                    label=line.label,
                    kind="line",
                    run_mm=_ring(line.run_m),
                    order=order.get(line.label),
                    inlet_mm=_ring((point_along(line.run_m, line.inlet_share),))[0],
                )
                for line in part.feed_lines
            ),
            *(
                MapRun(
                    label=vent.label,
                    kind="vent",
                    run_mm=_ring(vent.run_m),
                    order=order.get(vent.label),
                    outlet_mm=outlet_mm(vent),
                )
                for vent in part.vents
            ),
        ],
        race_tracks=[MapRaceTrack(name=track.name, run_mm=_ring(track.run_m)) for track in part.race_tracks],
        cell_mm=round(mm_from_m(network.cell_size_m), _BORDER_DIGITS),
        x_mm=np.round(mm_from_m(1) * network.x_m[:cells], _BORDER_DIGITS).tolist(),
        y_mm=np.round(mm_from_m(1) * network.y_m[:cells], _BORDER_DIGITS).tolist(),
        wet_s=[round(time, 1) if math.isfinite(time) else None for time in network.latest(run.arrival_s).tolist()],
        wet_thickness_mm=[None if each is None else round(each.mm, 2) for each in thicknesses] or None,
        wet_fibre_volume_percent=[None if each is None else round(each.fibre_volume_percent, 1) for each in thicknesses]
        or None,
        triangles=None if network.triangles is None else [tuple(corner) for corner in network.triangles.tolist()],
    )


def outlet_mm(vent: Vent) -> tuple[float, float] | None:
    """Only where its place plays a part in the run."""
    if vent.hose_bore_m is None or len(vent.run_m) < 2:
        return None
    return _ring((point_along(vent.run_m, vent.outlet_share),))[0]


def point_along(run_m: tuple[tuple[float, ...], ...], share: float) -> tuple[float, ...]:
    """The point at this share of the length of a polyline, 0 at its first point."""
    corners = np.array(run_m, dtype=float)
    reach_m = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
    return tuple(float(np.interp(share * reach_m[-1], reach_m, column)) for column in corners.T)


def _ring(points_m: tuple[tuple[float, ...], ...]) -> list[tuple[float, float]]:
    return [
        (round(mm_from_m(point[0]), _BORDER_DIGITS), round(mm_from_m(point[1]), _BORDER_DIGITS)) for point in points_m
    ]
