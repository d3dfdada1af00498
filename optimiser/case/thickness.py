"""Thickness and fibre volume content at the end of filling and after the hold, where the bag gives."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from optimiser.case.thickness_document import AreaThickness
from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FloatArray, FlowNetwork, IntArray
from optimiser.part.laminate import Laminate
from optimiser.part.shot import Shot
from optimiser.physics.fibre_arithmetic import fibre_fraction_when_thicker
from optimiser.units import mm_from_m


class ZoneThickness(NamedTuple):
    mm: float
    fibre_volume_percent: float


def swollen_m3(network: FlowNetwork, run: FillRun) -> float:
    """Resin in the part at the end of filling beyond what it holds under the full vacuum."""
    return float((grown_m(network, run) * network.area_m2[: network.cell_count]).sum())


def area_thicknesses(shot: Shot, network: FlowNetwork, run: FillRun) -> list[AreaThickness]:
    """One for each area whose plies give."""
    if network.give is None:
        return []
    grown, area_m2 = grown_m(network, run), network.area_m2[: network.cell_count]
    out = []
    for index, area in enumerate(shot.part.areas):
        cells = np.flatnonzero(network.area_of_cell == index)
        if area.laminate.compaction is None or not len(cells):
            continue
        here, laminate = grown[cells], area.laminate
        mean_m = float(np.average(here, weights=area_m2[cells]))
        out.append(
            AreaThickness(
                name=area.name,
                laminate=laminate.name,
                wet_mm=(_mm(laminate, float(here.min())), _mm(laminate, mean_m), _mm(laminate, float(here.max()))),
                wet_fibre_volume_percent=(
                    _percent(laminate, float(here.max())),
                    _percent(laminate, mean_m),
                    _percent(laminate, float(here.min())),
                ),
                held_mm=_mm(laminate, 0.0),
                held_fibre_volume_percent=_percent(laminate, 0.0),
                bleeds_kg=mean_m * float(area_m2[cells].sum()) * shot.resin.density_kg_m3,
            )
        )
    return out


def zone_thickness(shot: Shot, network: FlowNetwork, grown: FloatArray, cells: IntArray) -> ZoneThickness | None:
    """Mean over these cells, of one area, at the end of filling; None: they do not give. grown: what `grown_m` says."""
    laminate = shot.part.areas[int(network.area_of_cell[cells[0]])].laminate
    if network.give is None or laminate.compaction is None:
        return None
    mean_m = float(np.average(grown[cells], weights=network.area_m2[cells]))
    return ZoneThickness(mm=_mm(laminate, mean_m), fibre_volume_percent=_percent(laminate, mean_m))


def cell_thicknesses(shot: Shot, network: FlowNetwork, run: FillRun) -> list[ZoneThickness | None]:
    """One for each cell at the end of filling; None: it does not give, or is not wet. Empty where nothing gives."""
    if network.give is None:
        return []
    wet = np.isfinite(network.latest(run.arrival_s))
    laminates = [shot.part.areas[area].laminate for area in network.area_of_cell.tolist()]
    return [
        ZoneThickness(mm=_mm(laminate, grown), fibre_volume_percent=_percent(laminate, grown))
        if is_wet and laminate.compaction is not None
        else None
        for laminate, grown, is_wet in zip(laminates, grown_m(network, run).tolist(), wet.tolist(), strict=True)
    ]


def grown_m(network: FlowNetwork, run: FillRun) -> FloatArray:
    """(cells,): by how much each is thicker at the end than dry. Fibre stays, so that is the resin it took beyond its
    dry pores, all its layers together; what is not yet full has not grown."""
    cells = np.zeros(network.cell_count)
    if run.end_saturation is not None:
        sheet = slice(0, network.sheet_count)
        beyond_m3 = (network.volume_m3 * np.maximum(run.end_saturation - 1.0, 0.0))[sheet]
        np.add.at(cells, network.cell_of_node[sheet], beyond_m3)
    return np.asarray(cells / network.area_m2[: network.cell_count])


def _mm(laminate: Laminate, grown_m: float) -> float:
    return round(mm_from_m(laminate.thickness_m + grown_m), 3)


def _percent(laminate: Laminate, grown_m: float) -> float:
    """Of the plies: their fibre over their thickness."""
    plies = laminate.plies
    fraction = fibre_fraction_when_thicker(
        fibre_volume_fraction=plies.fibre_fraction, thickness_m=plies.thickness_m, grown_m=grown_m
    )
    return round(100.0 * fraction, 2)
