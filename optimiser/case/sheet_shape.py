"""The outlines of a document as shapes in the plane, in mm."""

from __future__ import annotations

import shapely

from optimiser.case.layout_document import OutlineDocument, OutlineSheet

TOUCH_MM = 1.0
"""Drawings are exact to a millimetre at best: what is this close touches, and lies on the sheet."""

_QUARTER_ARCS = 4
"""Round a corner the widened sheet is a fiftieth of the distance short; finer arcs make a perforated sheet slow."""


def shape_of_outline(outline: OutlineDocument) -> shapely.Polygon:
    return shapely.Polygon(outline.border_mm, outline.holes_mm)


def shape_of_sheet(sheet: OutlineSheet) -> shapely.Geometry:
    """All outlines less their holes; needs valid outlines."""
    return shapely.union_all([shape_of_outline(outline) for outline in sheet.outlines])


def widened(shape: shapely.Geometry) -> shapely.Geometry:
    """All that is on the shape or touches it, prepared for many questions."""
    near = shape.buffer(TOUCH_MM, quad_segs=_QUARTER_ARCS)
    shapely.prepare(near)
    return near
