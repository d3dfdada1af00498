"""What a run shows of resin that goes where nobody wants it, or does not go where it should: gaps and vents."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from optimiser.case.plan_document import Reason
from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FlowNetwork
from optimiser.network.sheet_lattice import outline_shape
from optimiser.part.shot import Shot
from optimiser.units import litres_from_m3

_AWAY_CELLS = 2.0
_FULL_SHARE = 0.95
_MUCH_DRAWN = 0.5
"""Of what the part holds, our choice: a vent that is clamped in time draws a few percent."""


def gap_warnings(shot: Shot, network: FlowNetwork, run: FillRun) -> Iterator[str]:
    yield from _dry_gaps(shot, network, run)
    yield from _through(network, run)


def air_in_joints(shot: Shot, network: FlowNetwork, run: FillRun) -> Iterator[Reason]:
    """Gaps away from the edges of a sheet that end as channels of air, of the area that fails a lock or more.

    At an edge such a channel lies beside the part, and is warned of; inside, as at a joint of the core, it is a void.
    """
    if network.triangles is not None:
        return
    edges, away_m = outline_shape(shot.part).boundary, _AWAY_CELLS * network.cell_size_m
    for gap, nodes in zip(shot.part.race_tracks, network.race_tracks, strict=True):
        place = shapely.points(network.x_m[nodes], network.y_m[nodes])
        dry = ~np.isfinite(run.arrival_s[nodes]) & (shapely.distance(place, edges) > away_m)
        air_m3, x_m, y_m = float(network.volume_m3[nodes][dry].sum()), network.x_m[nodes], network.y_m[nodes]
        if air_m3 / gap.depth_m >= shot.process.smallest_lock_m2:
            yield Reason(
                requirement="no gap inside the part stays a channel of air",
                where=f"gap {gap.name}, x {x_m[dry].mean():.2f} m, y {y_m[dry].mean():.2f} m",
                by_how_much=f"up to {litres_from_m3(air_m3):.2g} litres of it never stand full",
                remedy="let the gap end at a vent that is clamped after it has filled, or close the joint",
            )


def _dry_gaps(shot: Shot, network: FlowNetwork, run: FillRun) -> Iterator[str]:
    """A gap beyond a vent, or past its clamping, stays a channel of air beside a part that is wet."""
    for gap, nodes in zip(shot.part.race_tracks, network.race_tracks, strict=True):
        volume_m3 = network.volume_m3[nodes]
        filled = float(volume_m3[np.isfinite(run.arrival_s[nodes])].sum() / volume_m3.sum())
        if filled < _FULL_SHARE:
            litres = litres_from_m3(float(volume_m3.sum()))
            yield (
                f"gap {gap.name}, {litres:.2g} litres, stands full of resin along {100 * filled:.0f} % of it at the "
                "end: the rest stays a channel of air, though the cells beside it are wet"
            )


def _through(network: FlowNetwork, run: FillRun) -> Iterator[str]:
    """As where a gap leads from a line straight to a vent."""
    held_m3 = float(network.volume_m3[: network.sheet_count].sum())
    drawn_m3 = float(run.vent_drawn_m3.sum())
    if drawn_m3 > _MUCH_DRAWN * held_m3:
        yield (
            f"the vents draw {litres_from_m3(drawn_m3):.2g} litres of resin and the part holds "
            f"{litres_from_m3(held_m3):.2g}: does a gap or a line lead straight to a vent, or is one clamped too late?"
        )
