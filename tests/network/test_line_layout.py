"""What a line's far end gets, told before any run, against the fin law worked out here."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from optimiser.network.line_layout import line_layouts
from optimiser.part.part import LaminateArea, Part, TriangleSurface

LENGTH_M, WIDTH_M, THICKNESS_M, BORE_M = 10.0, 1.0, 5e-3, 0.012
SQUARE_M2, ALONG_M2 = 1e-9, 1e-10
LAID_FROM_ABOVE, LAID_FROM_BELOW = False, True


def share_by_fin_law(square_m2: float) -> float:
    """1 / cosh(m L) with m^2 = k / G, k = K h / x square to the line and G = pi d^4 / 128: a line along one edge, fed
    at its end (Incropera, Fundamentals of Heat and Mass Transfer, a fin with an insulated tip, from memory)."""
    loss_m2 = square_m2 * THICKNESS_M / WIDTH_M
    return 1.0 / math.cosh(LENGTH_M * math.sqrt(loss_m2 / (math.pi * BORE_M**4 / 128)))


def strip(mould: Any, laminate: Any, turned_rad: float = 0.0) -> Part:
    """A line along an edge of 10 m, all of it turned in the plane; fibres keep their angle to the axes."""

    def at(x_m: float, y_m: float) -> tuple[float, float]:
        cos, sin = math.cos(turned_rad), math.sin(turned_rad)
        return cos * x_m - sin * y_m, sin * x_m + cos * y_m

    border = (at(0, 0), at(LENGTH_M, 0), at(LENGTH_M, WIDTH_M), at(0, WIDTH_M))
    line = mould.feed_line("1", at(0, 0), at(LENGTH_M, 0), bore_m=BORE_M, inlet_share=0.0)
    part = mould.panel(LENGTH_M, WIDTH_M, laminate, (line,), (mould.vent("V", at(0, WIDTH_M), at(LENGTH_M, WIDTH_M)),))
    (outline,) = part.outlines
    return replace(part, outlines=(replace(outline, border_m=border),))


@pytest.mark.parametrize(("along_m2", "square_m2"), [(1e-9, 1e-9), (1e-10, 1e-9), (1e-9, 1e-10)])
def test_the_far_end_gets_what_the_fin_law_says_of_the_fabric_square_to_the_line(
    mould: Any, along_m2: float, square_m2: float
) -> None:
    """However fast or slow resin runs along the line."""
    part = strip(mould, mould.laminate(along_m2, across_m2=square_m2, thickness_m=THICKNESS_M))
    (layout,) = line_layouts(mould.reduce(part, 0.05), part)
    assert layout.far_end_share == pytest.approx(share_by_fin_law(square_m2), rel=0.02)


def test_a_line_that_lies_turned_feeds_the_same_strip(mould: Any) -> None:
    """Line and fibres turned together by 90 degrees: the same far end."""
    laminate = mould.laminate(ALONG_M2, across_m2=SQUARE_M2, angle_rad=math.pi / 2, thickness_m=THICKNESS_M)
    part = strip(mould, laminate, turned_rad=math.pi / 2)
    (layout,) = line_layouts(mould.reduce(part, 0.05), part)
    assert layout.far_end_share == pytest.approx(share_by_fin_law(SQUARE_M2), rel=0.02)


def test_a_line_along_a_border_that_cuts_through_cells_has_no_bay_behind_it(mould: Any) -> None:
    """Turned by 30 degrees slivers of cells lie behind the line: full at once, they draw nothing."""
    laminate = mould.laminate(SQUARE_M2, across_m2=SQUARE_M2, thickness_m=THICKNESS_M)
    part = strip(mould, laminate, turned_rad=math.radians(30))
    (layout,) = line_layouts(mould.reduce(part, 0.05), part)
    assert layout.far_end_share == pytest.approx(share_by_fin_law(SQUARE_M2), rel=0.05)


@pytest.mark.parametrize("upside_down", [LAID_FROM_ABOVE, LAID_FROM_BELOW])
def test_on_a_surface_fibres_count_from_the_x_axis_laid_onto_it(mould: Any, upside_down: bool) -> None:
    """A wall that stands upright, fibres at 30 degrees: square to a line along its foot K = K1 sin2 + K2 cos2."""
    count, rise = 40, 4
    corners = tuple((LENGTH_M * i / count, 0.0, WIDTH_M * j / rise) for i in range(count + 1) for j in range(rise + 1))
    triangles = []
    for i in range(count):
        for j in range(rise):
            a = i * (rise + 1) + j
            b = a + rise + 1
            triangles += [(a, b, b + 1), (a, b + 1, a + 1)]
    if upside_down:
        triangles = [(one, third, other) for one, other, third in triangles]
    angle_rad = math.radians(30)
    laminate = mould.laminate(ALONG_M2, across_m2=SQUARE_M2, angle_rad=angle_rad, thickness_m=THICKNESS_M)
    foot, top = ((0.0, 0.0, z_m) for z_m in (0.0, WIDTH_M))
    part = Part(
        surface=TriangleSurface(vertices_m=corners, triangles=tuple(triangles)),
        areas=(LaminateArea(name="all", laminate=laminate, border_m=None),),
        feed_lines=(mould.feed_line("1", foot, (LENGTH_M, 0.0, 0.0), bore_m=BORE_M, inlet_share=0.0),),
        vents=(mould.vent("V", top, (LENGTH_M, 0.0, WIDTH_M)),),
    )
    (layout,) = line_layouts(mould.reduce(part, 0.25), part)
    square_m2 = ALONG_M2 * math.sin(angle_rad) ** 2 + SQUARE_M2 * math.cos(angle_rad) ** 2
    assert layout.far_end_share == pytest.approx(share_by_fin_law(square_m2), rel=0.03)
