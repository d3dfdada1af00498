"""What a person should know about a layout before anything is poured."""

from __future__ import annotations

import math
from collections.abc import Iterator

import networkx as nx
import shapely

from optimiser.case.feed_warnings import feed_warnings
from optimiser.case.narrow_areas import narrow_area_warnings
from optimiser.case.run_course import course_of
from optimiser.network.flow_network import FlowNetwork
from optimiser.network.line_layout import LineLayout, narrowest_bay_m
from optimiser.network.sheet_lattice import outline_shape
from optimiser.network.zone_graph import zones_no_line_reaches, zones_without_vent
from optimiser.part.part import LineUse, Part
from optimiser.part.shot import Shot
from optimiser.physics.darcy import head_pa, highest_rise_m
from optimiser.plan.finer_cells import finer_cells
from optimiser.units import mbar_from_pa, mm_from_m

_FEWEST_CELLS = 6
"""Warn when fewer cells than this, of the finest that are played, lie between neighbouring lines: panels of ours hid a
lock at two, three and four, where lines end a cell short of the edge; five and six showed it."""

_ON_THE_EDGE_M = 2e-3
"""A vent nearer to the edge than this lies on it."""

_WIDE_GAP_M = 0.025
"""Wider is more likely a slip than a fabric cut short. Common practice, no source."""

_FAR_M = 3.0
"""A container further above or below all of the part is more likely measured from another datum. Common practice, no
source."""

_ROUND_OFF_PA = 1.0


def layout_warnings(
    shot: Shot, network: FlowNetwork, layouts: tuple[LineLayout, ...], graph: nx.Graph
) -> list[str]:
    usable = {line.label for line in shot.part.feed_lines if line.use is not LineUse.FORBIDDEN}
    return [
        *_long_runs(shot, layouts),
        *_coarse(shot, network, layouts),
        *narrow_area_warnings(shot),
        *_vents_off_the_edge(shot),
        *_starved(layouts, shot.process.least_line_end_fraction),
        *_lifts_the_bag(shot),
        *_beyond_lift(shot, network),
        *_far_supply(shot),
        *_wide_gaps(shot),
        *feed_warnings(shot, network, layouts),
        *_named(graph, zones_no_line_reaches(graph, usable), "no usable feed line reaches"),
        *_named(graph, zones_without_vent(graph), "no vent drains"),
    ]


def _long_runs(shot: Shot, layouts: tuple[LineLayout, ...]) -> Iterator[str]:
    longest = shot.process.longest_run_m
    seen = set()
    for layout in layouts:
        for side in layout.sides:
            pair = frozenset((layout.label, side.neighbour or "the edge"))
            if side.run_m > 1.02 * longest and pair not in seen:
                seen.add(pair)
                to = f"line {side.neighbour}" if side.neighbour else "the edge of the part"
                yield (
                    f"from line {layout.label} to {to} resin runs {mm_from_m(side.run_m):.0f} mm, further than the "
                    f"{mm_from_m(longest):.0f} mm set as the longest run"
                )


def _coarse(shot: Shot, network: FlowNetwork, layouts: tuple[LineLayout, ...]) -> Iterator[str]:
    """Between two lines a lattice of a few cells cannot show where resin closes round air; half the size may."""
    narrowest_m, finer = narrowest_bay_m(layouts), finer_cells(shot, network.cell_count, layouts)
    finest_m = finer.cell_m if finer.played else shot.search.cell_m
    if narrowest_m is not None and narrowest_m < _FEWEST_CELLS * finest_m:
        cell_mm, apart_mm = mm_from_m(shot.search.cell_m), mm_from_m(narrowest_m)
        most_mm = apart_mm / _FEWEST_CELLS * shot.search.cell_m / finest_m
        also = ", and half the size," if finer.played else ""
        yield (
            f"cells of {cell_mm:.0f} mm{also} are coarse for lines {apart_mm:.0f} mm apart: a locked region may not "
            f"show; take cells of at most {math.floor(most_mm)} mm"
        )
    if not finer.played:
        yield (
            f"not played on cells of half the size, {mm_from_m(finer.cell_m):.0f} mm: these would be about "
            f"{finer.cells}, more than {finer.most_cells}; what shows there only may still be locked"
        )


def _vents_off_the_edge(shot: Shot) -> Iterator[str]:
    """Beside a vent that stands full, or is clamped, what lies between it and the edge has no way out."""
    if not shot.part.outlines:
        return
    edge = outline_shape(shot.part).boundary
    cell_m = shot.search.cell_m
    for vent in shot.part.vents:
        if vent.hose_bore_m is None or vent.on_line is not None:
            continue
        places = shapely.points(shapely.get_coordinates(shapely.segmentize(course_of(vent.run_m), cell_m)))
        off_m = shapely.distance(edge, places)
        hidden_m = off_m[(off_m > _ON_THE_EDGE_M) & (off_m < cell_m)]
        if 2 * len(hidden_m) > len(off_m):  # else it only runs up to an edge
            yield (
                f"vent {vent.label} runs {mm_from_m(float(hidden_m.max())):.0f} mm inside the edge, less than a cell: "
                "when it stands full or is clamped the strip beyond it has no way out, and cells of "
                f"{mm_from_m(cell_m):.0f} mm do not show that; lay it on the edge, or take cells of at most "
                f"{mm_from_m(float(hidden_m.min())) / 2:.0f} mm. Laid so: is that strip dry "
                "when its clamp is due, CALL before it is clamped"
            )


def _starved(layouts: tuple[LineLayout, ...], least: float) -> Iterator[str]:
    for layout in layouts:
        if layout.far_end_share < least:
            yield (
                f"line {layout.label} is long for its bore: its far end gets about {layout.far_end_share:.0%} of the "
                "pressure at its inlet; take a larger bore, a second hose, or feed it in the middle"
            )


def above_lowest_m(shot: Shot) -> float:
    """Of the supply, above the lowest place of the part."""
    return shot.supply.height_m - min(_heights_m(shot.part), default=0.0)


def over_the_air_pa(shot: Shot) -> float:
    """By how much resin that stands still presses harder than the air at the lowest place; below 0: it does not."""
    head = head_pa(density_kg_m3=shot.resin.density_kg_m3, rise_m=above_lowest_m(shot))
    return shot.supply.most_pressure_pa + head - shot.process.ambient_pa


def _lifts_the_bag(shot: Shot) -> Iterator[str]:
    """Once resin stands still, the head of a supply above the part's lowest place comes on top of its pressure."""
    above_m, over_pa = above_lowest_m(shot), over_the_air_pa(shot)
    if over_pa > _ROUND_OFF_PA:
        yield (
            f"the supply lies {mm_from_m(above_m):.0f} mm above the lowest place of the part: once resin stands still "
            f"it presses there up to {mbar_from_pa(over_pa):.0f} mbar harder than the air and lifts the bag; "
            "set it lower, or lower the pressure cap"
        )


def _beyond_lift(shot: Shot, network: FlowNetwork) -> Iterator[str]:
    """A line fills in a run as if it lay level, and has its head only once it is full."""
    supply = shot.supply
    lifts_m = highest_rise_m(
        density_kg_m3=shot.resin.density_kg_m3,
        pressure_difference_pa=supply.most_pressure_pa - shot.process.vacuum_pa,
    )
    for line, nodes in zip(shot.part.feed_lines, network.lines, strict=True):
        rises_m = float(network.height_m[nodes.nodes].max()) - supply.height_m
        if line.use is not LineUse.FORBIDDEN and rises_m > lifts_m:
            yield (
                f"line {line.label} rises {rises_m:.2f} m above the supply, and the pressure lifts resin "
                f"{lifts_m:.2f} m: resin does not come over that place, though the run fills the line; lead it lower, "
                "or set the supply higher, never so high that resin presses harder than the air"
            )


def _far_supply(shot: Shot) -> Iterator[str]:
    heights_m = _heights_m(shot.part) or [0.0]
    above_m, below_m = shot.supply.height_m - max(heights_m), min(heights_m) - shot.supply.height_m
    if max(above_m, below_m) > _FAR_M:
        where = f"{above_m:.1f} m above" if above_m > below_m else f"{below_m:.1f} m below"
        yield (
            f"the supply lies {where} all of the part: is its height taken from the same datum as the heights of the "
            "sheet, and in millimetres?"
        )


def _wide_gaps(shot: Shot) -> Iterator[str]:
    thickest_m = max(area.laminate.thickness_m for area in shot.part.areas)
    for gap in shot.part.race_tracks:
        if gap.width_m > _WIDE_GAP_M:
            yield (
                f"the gap {gap.name} is {mm_from_m(gap.width_m):g} mm wide, which is a channel rather than a gap at an "
                f"edge: is it {mm_from_m(gap.width_m) / 10:g} mm?"
            )
        if gap.depth_m > 2 * thickest_m:
            yield (
                f"the gap {gap.name} is {mm_from_m(gap.depth_m):g} mm deep, and the thickest laminate "
                f"{mm_from_m(thickest_m):.1f} mm: are width and depth exchanged?"
            )


def _heights_m(part: Part) -> list[float]:
    if part.surface is not None:
        return [z_m for _, _, z_m in part.surface.vertices_m]
    return [point.height_m for point in part.heights]


def _named(graph: nx.Graph, zones: list[int], what: str) -> Iterator[str]:
    if zones:
        names = ", ".join(graph.nodes[zone]["name"] for zone in zones[:5])
        more = f" and {len(zones) - 5} more" if len(zones) > 5 else ""
        yield f"{what} these zones: {names}{more}"
