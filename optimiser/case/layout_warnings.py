"""What a person should know about a layout before anything is poured."""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from optimiser.network.line_layout import LineLayout
from optimiser.network.zone_graph import zones_no_line_reaches, zones_without_vent
from optimiser.part.part import LineUse
from optimiser.part.shot import Shot
from optimiser.units import mm_from_m

_FEWEST_CELLS = 4
"""Warn when fewer cells than this lie between neighbouring lines (a panel of ours hid a lock at three)."""
_STARVED_SHARE = 0.9
"""Warn when the far end of a line gets less than this share of the pressure at its inlet (our choice)."""


def layout_warnings(shot: Shot, layouts: tuple[LineLayout, ...], graph: nx.Graph) -> list[str]:
    usable = {line.label for line in shot.part.feed_lines if line.use is not LineUse.FORBIDDEN}
    return [
        *_long_runs(shot, layouts),
        *_coarse(shot, layouts),
        *_starved(layouts),
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


def _coarse(shot: Shot, layouts: tuple[LineLayout, ...]) -> Iterator[str]:
    """Between two lines a lattice of a few cells cannot show where resin closes round air."""
    narrowest = min((side.run_m for layout in layouts for side in layout.sides if side.neighbour), default=None)
    if shot.part.surface is None and narrowest is not None and narrowest < _FEWEST_CELLS * shot.search.cell_m:
        cell_mm, apart_mm = mm_from_m(shot.search.cell_m), mm_from_m(narrowest)
        yield (
            f"cells of {cell_mm:.0f} mm are coarse for lines {apart_mm:.0f} mm apart: a locked region may not show; "
            f"take cells of at most {apart_mm / _FEWEST_CELLS:.0f} mm"
        )


def _starved(layouts: tuple[LineLayout, ...]) -> Iterator[str]:
    for layout in layouts:
        if layout.far_end_share < _STARVED_SHARE:
            yield (
                f"line {layout.label} is long for its bore: its far end gets about {layout.far_end_share:.0%} of the "
                "pressure at its inlet; take a larger bore, a second hose, or feed it in the middle"
            )


def _named(graph: nx.Graph, zones: list[int], what: str) -> Iterator[str]:
    if zones:
        names = ", ".join(graph.nodes[zone]["name"] for zone in zones[:5])
        more = f" and {len(zones) - 5} more" if len(zones) > 5 else ""
        yield f"{what} these zones: {names}{more}"
