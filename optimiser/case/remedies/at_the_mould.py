"""Changes that take work at the mould: a vent where air is locked, mesh, wider bores."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from optimiser.case.laminate_document import FlowMeshLayer
from optimiser.case.remedies.proposal import Edit, Effort, Failing, Proposal
from optimiser.filling.fill_run import FillRun, Lock
from optimiser.units import mm_from_m

_MOST_VENTS = 3
_WIDER_MM = 4.0
_MOST_BORE_MM = 100.0


def vents_at_locks(failing: Failing) -> Iterator[Proposal]:
    """One at each of the largest locked places of the run that fails."""
    chosen = failing.result.chosen
    run = next((one for one in (chosen.run, *chosen.spread_runs) if any(lock.fails for lock in one.locks)), None)
    if run is None:
        return
    locks = sorted((lock for lock in run.locks if lock.fails), key=lambda lock: -lock.pore_m3)[:_MOST_VENTS]
    points = [point for lock in locks if (point := _middle(failing, lock)) is not None]
    if not points:
        return
    first, document = failing.document.vents[0], failing.document
    names = _free_names(failing, len(points))
    yield Proposal(
        effort=Effort.VENT,
        change="a vent at " + " and at ".join(_place(point) for point in points),
        edits=tuple(
            Edit(
                keys=("vents", len(document.vents) + k),
                value={**first.model_dump(mode="json"), "name": name, "run_mm": [point]},
            )
            for k, (name, point) in enumerate(zip(names, points, strict=True))
        ),
    )


def _middle(failing: Failing, lock: Lock) -> list[float] | None:
    """The locked cell nearest to the middle of the region, as a corner of a run."""
    network = failing.result.scenes.full
    cells = network.cells_of(lock.nodes)
    if len(cells) == 0:
        return None
    x_m, y_m = network.x_m[cells], network.y_m[cells]
    cell = int(cells[int(np.argmin(np.hypot(x_m - lock.x_m, y_m - lock.y_m)))])
    point = [network.x_m[cell], network.y_m[cell]]
    if network.triangles is not None:
        point.append(network.height_m[cell])
    return [round(float(mm_from_m(value)), 1) for value in point]


def _place(point: list[float]) -> str:
    return f"x {point[0] / 1e3:.2f} m, y {point[1] / 1e3:.2f} m"


def _free_names(failing: Failing, count: int) -> list[str]:
    document = failing.document
    taken = {vent.name for vent in document.vents}
    taken |= {line.label_of(section) for line in document.feed_lines for section in line.sections}
    return [name for name in (f"V-NEW{k}" for k in range(1, count + len(taken) + 1)) if name not in taken][:count]


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
