"""The part: outlines or a surface, which laminate lies where, its feed lines and its vents."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from optimiser.part.laminate import Laminate

Point2 = tuple[float, float]
Point3 = tuple[float, float, float]


class LineUse(StrEnum):
    CANDIDATE = "candidate"
    REQUIRED = "required"
    FORBIDDEN = "forbidden"
    """Lies in the bag but its tap stays shut: still an empty channel."""


@dataclass(frozen=True, kw_only=True)
class Outline:
    """One developed piece of the part in the plane of the sheet. Pieces that touch are one sheet."""

    name: str
    border_m: tuple[Point2, ...]
    """Corners in order, not closed."""
    holes_m: tuple[tuple[Point2, ...], ...] = ()


@dataclass(frozen=True, kw_only=True)
class HeightPoint:
    """Height above the manifold's datum at one place on the developed sheet."""

    at_m: Point2
    height_m: float


@dataclass(frozen=True, kw_only=True)
class TriangleSurface:
    """The part as a triangle mesh in space; heights are its z."""

    vertices_m: tuple[Point3, ...]
    triangles: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True, kw_only=True)
class LaminateArea:
    """Where a laminate lies. Later areas lie over earlier ones."""

    name: str
    laminate: Laminate
    border_m: tuple[Point2, ...] | None
    """Corners in the plane of the sheet (x, y of the mesh for a surface); None: the whole part."""


@dataclass(frozen=True, kw_only=True)
class FeedLine:
    """One length of feed line behind one tap. Lines in sections are several of these with one `line` name."""

    label: str
    """The name on the tap, unique over lines and vents."""
    line: str
    run_m: tuple[tuple[float, ...], ...]
    """Polyline on the sheet, (x, y) or (x, y, z) for a surface."""
    bore_m: float
    inlet_share: float
    """Where along the run the hose joins, 0 at its first point, 1 at its last."""
    hose_bore_m: float
    hose_length_m: float
    use: LineUse = LineUse.CANDIDATE


@dataclass(frozen=True, kw_only=True)
class Vent:
    """A vent line or vent point with its catch pot; open until clamped, from the start unless it is not used."""

    label: str
    run_m: tuple[tuple[float, ...], ...]
    """Polyline, or a single point."""
    bore_m: float
    hose_length_m: float
    catch_pot_m3: float
    hose_bore_m: float | None = None
    """None: line and hose take nothing of the vacuum and hold up no resin."""
    outlet_share: float = 1.0
    """Where along the run the hose joins, 0 at its first point, 1 at its last."""
    may_stay_clamped: bool = False
    """It may be clamped from the start; else it is open until resin reaches it."""
    on_line: str | None = None
    """Label of the feed line that this vent draws through until resin reaches it, after which that may feed. The run is
    then the point at which the hose joins that line."""


@dataclass(frozen=True, kw_only=True)
class RaceTrack:
    """A gap in which resin runs ahead: at an edge, in a core joint, along a fold. It has no tap."""

    name: str
    run_m: tuple[tuple[float, ...], ...]
    width_m: float
    depth_m: float
    """Through the thickness."""


@dataclass(frozen=True, kw_only=True)
class Part:
    """All that lies under the bag. Either outlines or a surface."""

    outlines: tuple[Outline, ...] = ()
    heights: tuple[HeightPoint, ...] = ()
    """Empty: the sheet is level."""
    surface: TriangleSurface | None = None
    areas: tuple[LaminateArea, ...]
    feed_lines: tuple[FeedLine, ...]
    vents: tuple[Vent, ...]
    race_tracks: tuple[RaceTrack, ...] = ()
