"""What was understood of a case, before anything is chosen."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from pydantic import BaseModel, ConfigDict

from optimiser.case.layout_document import OutlineSheet, PlaceOnRun, SheetDocument, VentDocument
from optimiser.case.layout_warnings import layout_warnings
from optimiser.case.leak import loose_drop_test
from optimiser.case.mesh_warnings import mesh_warnings
from optimiser.case.plan_document import Assumption
from optimiser.case.planned_mixes import too_large_a_mix
from optimiser.case.quantities import resin_quantities
from optimiser.case.read_case import Case
from optimiser.case.rule_warnings import latest_after_gel
from optimiser.case.stated_words import stated_words
from optimiser.case.supply_words import supply_words
from optimiser.network.line_layout import LineLayout, line_layouts
from optimiser.network.reduce_part import reduce_part
from optimiser.network.zone_graph import build_zone_graph
from optimiser.network.zones import divide
from optimiser.part.laminate import Laminate
from optimiser.part.part import FeedLine
from optimiser.part.shot import Shot
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
    hose_joins: str
    """Where along the line, as entered: a word, or a percentage of the length."""
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
    """Of the hose to the pot. None: not stated, so that the vent holds full vacuum all along."""
    hose_joins: str | None
    """Where along the vent line, as entered. None: not stated."""
    catch_pot_litres: float
    use: str
    """Open until resin reaches it, may stay clamped, or on which line it draws."""


class ResinShown(_Shown):
    """Kilograms by use, as far as they are known before a run.

    What vents draw, what runs on into pots, what a bag that gives takes up and what is bled before taps is left out.
    """

    laminate_kg: float
    core_kg: float
    flow_mesh_kg: float
    feed_lines_kg: float
    hoses_and_manifold_kg: float
    race_tracks_kg: float
    reserve_kg: float
    """The stated share of these, and what fills the last of several mixes up to a quarter of a full one."""
    total_kg: float
    """Of these with their reserve: less than what to buy."""
    initiator_kg: float
    """For that total."""
    mixes: int | None
    drums: int | None
    """At least so many, for that total; None: the case does not say what one holds."""
    only_a_run_tells: list[str]
    """What comes on top of the total."""


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
    """Heights entered, above the datum of the case; 0 where the case enters none."""
    supply: str
    driving_pressure_mbar: float
    """Supply less residual vacuum, at the level of the supply."""
    viscosity_mpa_s: float
    gel_time_min: float
    gel_limit_min: float
    gel_limit_counts_from: str
    viscosity_at_gel_limit_mpa_s: float
    """Of the oldest resin, as the run counts with it."""
    resin: ResinShown
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
    layouts = line_layouts(network, shot.part)
    zones = divide(network, shot.part, most_zones=shot.search.most_zones)
    viscosity = viscosity_of(shot)
    driving = shot.supply.most_pressure_pa - shot.process.vacuum_pa
    graph = build_zone_graph(network, zones, pressure_pa=driving, viscosity_pa_s=viscosity)
    clock = clock_of_shot(shot)
    limit_s = clock.limit_s(shot.process.gel_fraction)
    resin = resin_quantities(shot, network, 0.0)
    document, heights_mm = case.document, _heights_mm(case.document.sheet)
    inlets = [section.inlet for line in document.feed_lines for section in line.sections]
    return ReadBack(
        name=shot.name,
        case_digest=case.digest,
        stated=list(stated_words(document)),
        areas=[
            _area(area.name, area.laminate, float(m2), shot.resin.density_kg_m3)
            for area, m2 in zip(shot.part.areas, network.covered_m2, strict=True)
        ],
        lines=[
            _line(line, layout, inlet)
            for line, layout, inlet in zip(shot.part.feed_lines, layouts, inlets, strict=True)
        ],
        vents=[
            VentShown(
                label=vent.label,
                length_mm=mm_from_m(_length(vent.run_m)),
                bore_mm=mm_from_m(vent.bore_m),
                hose_mm=mm_from_m(vent.hose_length_m),
                hose_bore_mm=None if vent.hose_bore_m is None else mm_from_m(vent.hose_bore_m),
                hose_joins=None if entered.outlet is None else _place(entered.outlet),
                catch_pot_litres=vent.catch_pot_m3 * 1e3,
                use=_vent_use(entered),
            )
            for vent, entered in zip(shot.part.vents, document.vents, strict=True)
        ],
        lowest_mm=min(heights_mm),
        highest_mm=max(heights_mm),
        supply=supply_words(shot.supply),
        driving_pressure_mbar=mbar_from_pa(driving),
        viscosity_mpa_s=viscosity * 1e3,
        gel_time_min=clock.gel_time_s / 60,
        gel_limit_min=limit_s / 60,
        gel_limit_counts_from="initiator in" if shot.process.age_at_first_tap_s is None else "the first tap",
        viscosity_at_gel_limit_mpa_s=clock.viscosity_at(limit_s) * 1e3,
        resin=ResinShown(
            laminate_kg=resin.laminate_kg,
            core_kg=resin.core_kg,
            flow_mesh_kg=resin.flow_mesh_kg,
            feed_lines_kg=resin.feed_lines_kg,
            hoses_and_manifold_kg=resin.hoses_and_manifold_kg,
            race_tracks_kg=resin.race_tracks_kg,
            reserve_kg=resin.reserve_kg,
            total_kg=resin.total_kg,
            initiator_kg=resin.initiator_kg,
            mixes=resin.mixes,
            drums=resin.drums,
            only_a_run_tells=list(_only_a_run_tells(shot, gives=network.give is not None)),
        ),
        cells=network.cell_count,
        zones=zones.count,
        warnings=[
            *case.warnings,
            *layout_warnings(shot, network, layouts, graph),
            *mesh_warnings(shot, network),
            *loose_drop_test(case.drop_test, shot.process, limit_s),
            *too_large_a_mix(shot, resin),
            *latest_after_gel(shot, limit_s),
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


def _only_a_run_tells(shot: Shot, *, gives: bool) -> Iterator[str]:
    yield "what the vents draw"
    if gives:
        yield "what the bag that gives takes up"
    if shot.supply.bled_before_each_tap:
        yield "what is bled before later taps"


def _heights_mm(sheet: SheetDocument) -> list[float]:
    if isinstance(sheet, OutlineSheet):
        return [point.height_mm for point in sheet.heights] or [0.0]
    return [z_mm for _, _, z_mm in sheet.surface.vertices_mm]


def _place(place: PlaceOnRun) -> str:
    return place if isinstance(place, str) else f"{place:g} %"


def _vent_use(vent: VentDocument) -> str:
    if vent.on_line is not None:
        return f"on line {vent.on_line}, until resin reaches it"
    return "may stay clamped" if vent.may_stay_clamped else "open until resin reaches it"


def _line(line: FeedLine, layout: LineLayout, inlet: PlaceOnRun) -> LineShown:
    return LineShown(
        label=line.label,
        length_mm=mm_from_m(layout.length_m),
        bore_mm=mm_from_m(line.bore_m),
        hose_mm=mm_from_m(line.hose_length_m),
        hose_bore_mm=mm_from_m(line.hose_bore_m),
        hose_joins=_place(inlet),
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
