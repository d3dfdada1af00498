"""Changes that take work at the mould: a vent where air is locked, mesh, wider bores."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from optimiser.case.laminate_document import FlowMeshLayer
from optimiser.case.remedies.free_names import free_names
from optimiser.case.remedies.proposal import Edit, Effort, Failing, Proposal
from optimiser.filling.fill_run import FillRun, Lock
from optimiser.network.flow_network import FlowNetwork
from optimiser.sequencing.by_hand import ALL_AT_ONCE
from optimiser.units import mm_from_m

_MOST_VENTS = 3
_SHORTEST_MM = 100.0
_WIDER_MM = 4.0
_MOST_BORE_MM = 100.0


def vents_at_locks(failing: Failing) -> Iterator[Proposal]:
    """At each of the largest locked places of the run that fails: along what fills last, else at its last point."""
    found = next((one for one in failing.runs if any(lock.fails for lock in one[1].locks)), None)
    if found is None:
        return
    network, run = found
    ends = [end for lock in _largest(run) if (end := _last_to_fill(network, run, lock)) is not None]
    if not ends:
        return
    if failing.result.scenes.full.triangles is None and any(_length_mm(one) >= _SHORTEST_MM for one in ends):
        yield _vents(failing, [one if _length_mm(one) >= _SHORTEST_MM else one[1:] for one in ends])
    yield _vents(failing, [one[1:] for one in ends])


def vents_where_all_at_once_locks(failing: Failing) -> Iterator[Proposal]:
    """Of an order that is late only, on a sheet laid flat: nothing is faster than all taps at once, and what that locks
    a vent along the whole of it may drain."""
    network = failing.result.scenes.full
    if failing.locks or not failing.late or network.triangles is not None:
        return
    at_once = next((one.run for one in failing.result.usual_rules if one.name == ALL_AT_ONCE), None)
    if at_once is not None and (locks := _largest(at_once)):
        yield _vents(failing, [_all_along(network, at_once, lock) for lock in locks])


def _largest(run: FillRun) -> list[Lock]:
    return sorted((lock for lock in run.locks if lock.fails), key=lambda lock: -lock.pore_m3)[:_MOST_VENTS]


def _all_along(network: FlowNetwork, run: FillRun, lock: Lock) -> list[list[float]]:
    """The straight line through what fills last in a lock, as far as the lock goes that way."""
    cells = network.cells_of(lock.nodes)
    place_m = np.column_stack([network.x_m, network.y_m])[cells]
    order = np.argsort(network.latest(run.arrival_s)[cells], kind="stable")
    late_m = place_m[order[-max(2, len(cells) // 10) :]]
    middle_m = late_m.mean(axis=0)
    along = np.linalg.svd(late_m - middle_m, full_matrices=False)[2][0]
    ways_m = (place_m - middle_m) @ along
    ends_m = [middle_m + way_m * along for way_m in (ways_m.min(), ways_m.max())]
    return sorted([[round(float(mm_from_m(value)), 1) for value in end_m] for end_m in ends_m])


def _vents(failing: Failing, runs: list[list[list[float]]]) -> Proposal:
    document = failing.document
    like = document.vents[0].model_dump(mode="json")
    named = list(zip(free_names(document, "V-NEW", len(runs)), runs, strict=True))
    return Proposal(
        effort=Effort.VENT,
        change="; ".join(f"a vent, {name}, {_place(run)}" for name, run in named),
        edits=tuple(
            Edit(keys=("vents", len(document.vents) + k), value={**like, "name": name, "run_mm": run})
            for k, (name, run) in enumerate(named)
        ),
    )


def _last_to_fill(network: FlowNetwork, run: FillRun, lock: Lock) -> list[list[float]] | None:
    """Two ends of the tenth of its cells that fill last, the very last of them at the second end."""
    cells = network.cells_of(lock.nodes)
    if len(cells) == 0:
        return None
    wet_s = network.latest(run.arrival_s)[cells]
    order = np.argsort(wet_s, kind="stable")
    late = cells[order[-max(1, len(cells) // 10) :]]
    place_m = np.column_stack([network.x_m, network.y_m])[late]
    away_m = np.hypot(*(place_m - place_m[-1]).T)
    corners = [int(late[int(np.argmax(away_m))]), int(late[-1])]
    return [_corner(network, cell) for cell in corners]


def _corner(network: FlowNetwork, cell: int) -> list[float]:
    """Of a run, on sheet or surface."""
    point = [network.x_m[cell], network.y_m[cell]]
    if network.triangles is not None:
        point.append(network.height_m[cell])
    return [round(float(mm_from_m(value)), 1) for value in point]


def _length_mm(run: list[list[float]]) -> float:
    return math.dist(run[0], run[-1])


def _place(run: list[list[float]]) -> str:
    ends = [f"x {corner[0] / 1e3:.2f} m, y {corner[1] / 1e3:.2f} m" for corner in run]
    return f"at {ends[0]}" if len(ends) == 1 else f"from {ends[0]} to {ends[1]}"


def mesh_where_late(failing: Failing) -> Iterator[Proposal]:
    """Each flow mesh of the case on the bag side of the area that is wet last, or stays dry, if it has none."""
    document = failing.document
    if not failing.late:
        return
    index = failing.result.scenes.full.area_of_cell[last_wet_cell(failing, failing.result.chosen.run)]
    area = document.areas[int(index)]
    laminate = document.laminates[area.laminate]
    if any(isinstance(layer, FlowMeshLayer) for layer in laminate.layers):
        return
    for mesh in document.flow_meshes:
        name = f"{area.laminate} + {mesh}"[:60].strip()
        layers = [*laminate.model_dump(mode="json")["layers"], {"flow_mesh": mesh}]
        value: dict[str, Any] = {**laminate.model_dump(mode="json"), "layers": layers}
        if name in document.laminates:
            continue
        yield Proposal(
            effort=Effort.MESH,
            change=f"flow mesh '{mesh}' on area '{area.name}'",
            edits=(
                Edit(keys=("laminates", name), value=value),
                Edit(keys=("areas", int(index), "laminate"), value=name),
            ),
        )


def last_wet_cell(failing: Failing, run: FillRun) -> int:
    """The middle one of those that stay dry, where there are any."""
    network = failing.result.scenes.full
    latest = network.latest(run.arrival_s)
    dry = np.flatnonzero(~np.isfinite(latest))
    if len(dry) == 0:
        return int(np.argmax(latest))
    x_m, y_m = network.x_m[dry], network.y_m[dry]
    return int(dry[int(np.argmin(np.hypot(x_m - np.median(x_m), y_m - np.median(y_m))))])


def wider_bores(failing: Failing) -> Iterator[Proposal]:
    """All lines and their hoses by 4 mm."""
    lines = failing.document.feed_lines
    if not failing.late or any(max(one.bore_mm, one.hose_bore_mm) + _WIDER_MM > _MOST_BORE_MM for one in lines):
        return
    edits = [
        Edit(keys=("feed_lines", k, field), value=getattr(line, field) + _WIDER_MM)
        for k, line in enumerate(lines)
        for field in ("bore_mm", "hose_bore_mm")
    ]
    yield Proposal(
        effort=Effort.BORE,
        change=f"lines and hoses with {_WIDER_MM:g} mm more bore, all of them",
        edits=tuple(edits),
    )
