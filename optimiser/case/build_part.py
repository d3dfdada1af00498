"""From sheet, areas, lines and vents of a document to the part in SI."""

from __future__ import annotations

from typing import Final

from optimiser.case.build_laminate import laminates_of
from optimiser.case.case_document import CaseDocument
from optimiser.case.layout_document import (
    FeedLineDocument,
    OutlineSheet,
    PlaceOnRun,
    RaceTrackDocument,
    SectionDocument,
    SurfaceDocument,
    SurfaceSheet,
    VentDocument,
)
from optimiser.case.plan_document import Assumption
from optimiser.case.pointer import pointer
from optimiser.part.part import (
    FeedLine,
    HeightPoint,
    LaminateArea,
    LineUse,
    Outline,
    Part,
    Point2,
    RaceTrack,
    TriangleSurface,
    Vent,
)
from optimiser.units import fraction_from_percent, m3_from_litres, m_from_mm

_OUTLET: Final = "end"
_SHARE_OF_RUN = {"start": 0.0, "middle": 0.5, "end": 1.0}


def part_of(document: CaseDocument) -> Part:
    sheet, laminates = document.sheet, laminates_of(document)
    return Part(
        outlines=_outlines(sheet) if isinstance(sheet, OutlineSheet) else (),
        heights=_heights(sheet) if isinstance(sheet, OutlineSheet) else (),
        surface=_surface(sheet.surface) if isinstance(sheet, SurfaceSheet) else None,
        areas=tuple(
            LaminateArea(
                name=area.name,
                laminate=laminates[area.laminate],
                border_m=None if area.border_mm is None else _ring(area.border_mm),
            )
            for area in document.areas
        ),
        feed_lines=tuple(
            _feed_line(line, section) for line in document.feed_lines for section in line.sections
        ),
        vents=tuple(_vent(vent) for vent in document.vents),
        race_tracks=tuple(race_track_of(track) for track in document.race_tracks),
    )


def assumed_outlets(document: CaseDocument) -> tuple[Assumption, ...]:
    """Where the hose of a vent that is a pipe joins it, if the document does not say: listed, but not filled in."""
    return tuple(
        Assumption(
            path=pointer("vents", place, "outlet"),
            value=_OUTLET,
            why="the hose joins the last corner of the run; the far end of a flooded vent drains nothing",
        )
        for place, vent in enumerate(document.vents)
        if vent.pot_hose_bore_mm is not None and vent.outlet is None
    )


def _outlines(sheet: OutlineSheet) -> tuple[Outline, ...]:
    return tuple(
        Outline(
            name=outline.name,
            border_m=_ring(outline.border_mm),
            holes_m=tuple(_ring(hole) for hole in outline.holes_mm),
        )
        for outline in sheet.outlines
    )


def _heights(sheet: OutlineSheet) -> tuple[HeightPoint, ...]:
    return tuple(
        HeightPoint(at_m=_point(point.at_mm), height_m=m_from_mm(point.height_mm)) for point in sheet.heights
    )


def _surface(surface: SurfaceDocument) -> TriangleSurface:
    return TriangleSurface(
        vertices_m=tuple((m_from_mm(x), m_from_mm(y), m_from_mm(z)) for x, y, z in surface.vertices_mm),
        triangles=surface.triangles,
    )


def _point(point_mm: tuple[float, float]) -> Point2:
    return m_from_mm(point_mm[0]), m_from_mm(point_mm[1])


def _ring(corners_mm: tuple[tuple[float, float], ...]) -> tuple[Point2, ...]:
    """Corners without the repeated first one that some drawings end with."""
    closed = corners_mm[0] == corners_mm[-1]
    return tuple(_point(corner) for corner in (corners_mm[:-1] if closed else corners_mm))


def _run(run_mm: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(m_from_mm(value) for value in point) for point in run_mm)


def _feed_line(line: FeedLineDocument, section: SectionDocument) -> FeedLine:
    return FeedLine(
        label=line.label_of(section),
        line=line.name,
        run_m=_run(section.run_mm),
        bore_m=m_from_mm(line.bore_mm),
        inlet_share=_share_of_run(section.inlet),
        hose_bore_m=m_from_mm(line.hose_bore_mm),
        hose_length_m=m_from_mm(section.hose_length_mm),
        use=LineUse(line.use),
    )


def _share_of_run(place: PlaceOnRun) -> float:
    return _SHARE_OF_RUN[place] if isinstance(place, str) else fraction_from_percent(place)


def _hose_bore_m(vent: VentDocument) -> float | None:
    """The hose of a vent on a line is followed as a pipe in any case: the line itself is one."""
    if vent.pot_hose_bore_mm is not None:
        return m_from_mm(vent.pot_hose_bore_mm)
    return None if vent.on_line is None else m_from_mm(vent.bore_mm)


def _vent(vent: VentDocument) -> Vent:
    return Vent(
        label=vent.name,
        run_m=_run(vent.run_mm),
        bore_m=m_from_mm(vent.bore_mm),
        hose_length_m=m_from_mm(vent.hose_length_mm),
        catch_pot_m3=m3_from_litres(vent.catch_pot_litres),
        hose_bore_m=_hose_bore_m(vent),
        on_line=vent.on_line,
        outlet_share=_share_of_run(_OUTLET if vent.outlet is None else vent.outlet),
        may_stay_clamped=bool(vent.may_stay_clamped),
    )


def race_track_of(track: RaceTrackDocument) -> RaceTrack:
    """In SI."""
    return RaceTrack(
        name=track.name,
        run_m=_run(track.run_mm),
        width_m=m_from_mm(track.width_mm),
        depth_m=m_from_mm(track.depth_mm),
    )
