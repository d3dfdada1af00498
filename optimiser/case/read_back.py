"""What was understood of a case, before anything is chosen."""

from __future__ import annotations

import numpy as np
from pydantic import BaseModel, ConfigDict

from optimiser.case.amounts_document import ResinQuantities
from optimiser.case.layout_warnings import layout_warnings
from optimiser.case.mesh_warnings import mesh_warnings
from optimiser.case.plan_document import Assumption
from optimiser.case.planned_mixes import too_large_a_mix
from optimiser.case.quantities import resin_quantities
from optimiser.case.read_case import Case
from optimiser.case.stated_words import stated_words
from optimiser.case.supply_words import supply_words
from optimiser.network.line_layout import LineLayout, line_layouts
from optimiser.network.reduce_part import reduce_part
from optimiser.network.zone_graph import build_zone_graph
from optimiser.network.zones import divide
from optimiser.part.laminate import Laminate
from optimiser.part.part import FeedLine
from optimiser.plan.resin_clock import clock_of_shot
from optimiser.plan.scenes import viscosity_of
from optimiser.units import mbar_from_pa, mm_from_m


class _Shown(BaseModel):
    model_config = ConfigDict(frozen=True, use_attribute_docstrings=True)


class AreaShown(_Shown):
    name: str
    laminate: str
    area_m2: float
    thickness_mm: float
    areal_weight_g_m2: float
    """Dry fibre."""
    porosity_percent: float
    """Of the whole stack."""
    permeability_along_m2: float
    """Of the whole stack, in its easiest direction."""
    permeability_across_m2: float
    easiest_direction_deg: float
    """From the x axis of the sheet."""
    resin_kg_per_m2: float


class LineShown(_Shown):
    label: str
    length_mm: float
    bore_mm: float
    hose_mm: float
    hose_bore_mm: float
    use: str
    beside: list[str]
    """On each side: the next line, or the edge, and how far resin runs to it."""
    far_end_percent: float
    """Pressure at the far end of the line, of that at its inlet."""


class VentShown(_Shown):
    label: str
    length_mm: float
    bore_mm: float
    hose_mm: float
    hose_bore_mm: float | None
    """None: not stated, so that the vent holds full vacuum all along."""
    catch_pot_litres: float


class ReadBack(_Shown):
    name: str
    case_digest: str
    stated: list[tuple[str, str]]
    """Of supply, resin, day and crew, in words."""
    areas: list[AreaShown]
    lines: list[LineShown]
    vents: list[VentShown]
    lowest_mm: float
    highest_mm: float
    """Heights of the part above the datum of the case."""
    supply: str
    driving_pressure_mbar: float
    """Supply less residual vacuum, at the level of the supply."""
    viscosity_mpa_s: float
    gel_time_min: float
    gel_limit_min: float
    gel_limit_counts_from: str
    viscosity_at_gel_limit_mpa_s: float
    """Of the oldest resin, as the run counts with it."""
    resin: ResinQuantities
    """Without what the vents will draw and what a bag that gives takes up, which only a run can tell."""
    cells: int
    zones: int
    warnings: list[str]
    assumptions: list[Assumption]


def read_back(case: Case) -> ReadBack:
    """Reduce the part and say what came of it; raises InputError as read_case does, and no other."""
    shot = case.shot
    network = reduce_part(
        shot.part,
        cell_m=shot.search.cell_m,
        manifold_height_m=shot.supply.height_m,
        manifold_volume_m3=shot.supply.manifold_volume_m3,
    )
    cells = slice(0, network.cell_count)
    covered = np.bincount(network.area_of_cell, network.area_m2[cells], minlength=len(shot.part.areas))
    layouts = line_layouts(network, shot.part)
    zones = divide(network, shot.part, most_zones=shot.search.most_zones)
    viscosity = viscosity_of(shot)
    driving = shot.supply.most_pressure_pa - shot.process.vacuum_pa
    graph = build_zone_graph(network, zones, pressure_pa=driving, viscosity_pa_s=viscosity)
    clock = clock_of_shot(shot)
    limit_s = clock.limit_s(shot.process.gel_fraction)
    resin = resin_quantities(shot, network, 0.0)
    return ReadBack(
        name=shot.name,
        case_digest=case.digest,
        stated=list(stated_words(case.document)),
        areas=[
            _area(area.name, area.laminate, float(m2), shot.resin.density_kg_m3)
            for area, m2 in zip(shot.part.areas, covered, strict=True)
        ],
        lines=[_line(line, layout) for line, layout in zip(shot.part.feed_lines, layouts, strict=True)],
        vents=[
            VentShown(
                label=vent.label,
                length_mm=mm_from_m(_length(vent.run_m)),
                bore_mm=mm_from_m(vent.bore_m),
                hose_mm=mm_from_m(vent.hose_length_m),
                hose_bore_mm=None if vent.hose_bore_m is None else mm_from_m(vent.hose_bore_m),
                catch_pot_litres=vent.catch_pot_m3 * 1e3,
            )
            for vent in shot.part.vents
        ],
        lowest_mm=mm_from_m(float(network.height_m[cells].min())),
        highest_mm=mm_from_m(float(network.height_m[cells].max())),
        supply=supply_words(shot.supply),
        driving_pressure_mbar=mbar_from_pa(driving),
        viscosity_mpa_s=viscosity * 1e3,
        gel_time_min=clock.gel_time_s / 60,
        gel_limit_min=limit_s / 60,
        gel_limit_counts_from="initiator in" if shot.process.age_at_first_tap_s is None else "the first tap",
        viscosity_at_gel_limit_mpa_s=clock.viscosity_at(limit_s) * 1e3,
        resin=resin,
        cells=network.cell_count,
        zones=zones.count,
        warnings=[
            *case.warnings,
            *layout_warnings(shot, network, layouts, graph),
            *mesh_warnings(shot, network),
            *too_large_a_mix(shot, resin),
        ],
        assumptions=list(case.assumptions),
    )


def _area(name: str, laminate: Laminate, area_m2: float, density_kg_m3: float) -> AreaShown:
    (across, along), directions = np.linalg.eigh(laminate.transmissibility_m3 / laminate.thickness_m)
    angle = np.degrees(np.arctan2(directions[1, 1], directions[0, 1])) % 180
    return AreaShown(
        name=name,
        laminate=laminate.name,
        area_m2=area_m2,
        thickness_mm=mm_from_m(laminate.thickness_m),
        areal_weight_g_m2=laminate.fibre_mass_kg_m2 * 1e3,
        porosity_percent=100 * laminate.pore_depth_m / laminate.thickness_m,
        permeability_along_m2=float(along),
        permeability_across_m2=float(across),
        easiest_direction_deg=float(angle),
        resin_kg_per_m2=laminate.pore_depth_m * density_kg_m3,
    )


def _line(line: FeedLine, layout: LineLayout) -> LineShown:
    return LineShown(
        label=line.label,
        length_mm=mm_from_m(layout.length_m),
        bore_mm=mm_from_m(line.bore_m),
        hose_mm=mm_from_m(line.hose_length_m),
        hose_bore_mm=mm_from_m(line.hose_bore_m),
        use=line.use.value,
        beside=[
            f"{f'line {side.neighbour}' if side.neighbour else 'edge'} {mm_from_m(side.run_m):.0f} mm"
            for side in layout.sides
        ],
        far_end_percent=100 * layout.far_end_share,
    )


def _length(run_m: tuple[tuple[float, ...], ...]) -> float:
    points = np.array(run_m)
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
