"""Developed outlines cut into a rectangular lattice of cells."""

from __future__ import annotations

import numpy as np
import shapely

from optimiser.network.flow_network import BoolArray, FloatArray, IntArray, Links
from optimiser.network.lattice_stencil import Offset, lattice_weights
from optimiser.network.mixed_areas import conductance_across_m3, mixed, seen_areas, shares_of_areas
from optimiser.network.sheet import Sheet
from optimiser.part.part import HeightPoint, Part

_LEAST_SHARE = 0.05
"""A border piece smaller than this share of a cell is given to its neighbour: a crumb is all stiffness and no resin."""


def outline_shape(part: Part) -> shapely.Geometry:
    """All outlines less their holes; pieces that touch become one."""
    pieces = [shapely.Polygon(outline.border_m, outline.holes_m) for outline in part.outlines]
    return shapely.unary_union(pieces)


def area_index_at(part: Part, points: FloatArray) -> IntArray:
    """Index of the last laminate area that covers each point; points: (n, 2) in the plane of the sheet."""
    index = np.zeros(len(points), dtype=np.int64)
    for k, area in enumerate(part.areas):
        if area.border_m is None:
            index[:] = k
        else:
            index[shapely.intersects_xy(shapely.Polygon(area.border_m), points[:, 0], points[:, 1])] = k
    return index


def height_at(heights: tuple[HeightPoint, ...], points: FloatArray) -> FloatArray:
    """Linear between the given points, nearest outside them; a plane where they lie on one line."""
    if not heights:
        return np.zeros(len(points))
    places = np.array([h.at_m for h in heights])
    values = np.array([h.height_m for h in heights])
    centred = places - places.mean(axis=0)
    if len(heights) < 3 or np.linalg.matrix_rank(centred, tol=1e-6) < 2:
        slope, *_ = np.linalg.lstsq(centred, values - values.mean(), rcond=None)
        return np.asarray(values.mean() + (points - places.mean(axis=0)) @ slope)
    from scipy.interpolate import LinearNDInterpolator, NearestNDInterpolator  # a third of a second to load

    inside = LinearNDInterpolator(places, values)(points)
    outside = NearestNDInterpolator(places, values)(points)
    return np.asarray(np.where(np.isnan(inside), outside, inside))


def cut_lattice(part: Part, cell_m: float) -> Sheet:
    """Cells of about `cell_m` that fill the outlines' bounding box a whole number of times."""
    shape = outline_shape(part)
    x0, y0, x1, y1 = shape.bounds
    nx, ny = max(1, round((x1 - x0) / cell_m)), max(1, round((y1 - y0) / cell_m))
    dx, dy = (x1 - x0) / nx, (y1 - y0) / ny
    edges_x, edges_y = x0 + dx * np.arange(nx + 1), y0 + dy * np.arange(ny + 1)
    box_x, box_y = np.meshgrid(edges_x[:-1], edges_y[:-1], indexing="ij")
    shapely.prepare(shape)
    boxes = shapely.box(box_x, box_y, box_x + dx, box_y + dy)
    whole = shapely.contains_properly(shape, boxes)
    pieces = np.where(whole, boxes, shapely.intersection(boxes, shape))
    piece_area = shapely.area(pieces)
    kept = piece_area > _LEAST_SHARE * dx * dy
    cell_of_box = np.full(kept.shape, -1, dtype=np.int64)
    cell_of_box[kept] = np.arange(np.count_nonzero(kept))
    area = piece_area[kept]
    _give_slivers_away(piece_area, kept, cell_of_box, area)
    centres = np.column_stack([(box_x + dx / 2)[kept], (box_y + dy / 2)[kept]])
    middle = shapely.get_coordinates(shapely.point_on_surface(pieces[kept]))
    middle = np.where(whole[kept][:, None], centres, middle)
    seen = seen_areas(part, shape)
    shares = shares_of_areas(pieces[kept], area_index_at(part, middle), seen)
    links = _lattice_links(
        part, shape, cell_of_box, shares, seen, np.where(whole, 1.0, piece_area / (dx * dy)), edges_x, edges_y
    )
    return Sheet(
        cell_size_m=float(np.sqrt(dx * dy)),
        position_m=np.column_stack([centres, np.zeros(len(centres))]),
        height_m=height_at(part.heights, centres),
        area_m2=area,
        area_of_cell=shares.argmax(axis=1),
        shares=shares,
        links=links,
    )


def _give_slivers_away(piece_area: FloatArray, kept: BoolArray, cell_of_box: IntArray, area: FloatArray) -> None:
    """Add the area of dropped border pieces to a kept neighbour, so that no laminate is lost."""
    kept_places = np.argwhere(kept)
    for i, j in np.argwhere(~kept & (piece_area > 0)):
        nearest = kept_places[np.argmin(((kept_places - (i, j)) ** 2).sum(axis=1))]
        area[cell_of_box[tuple(nearest)]] += piece_area[i, j]


def _lattice_links(
    part: Part,
    shape: shapely.Geometry,
    cell_of_box: IntArray,
    shares: FloatArray,
    seen: list[shapely.Geometry],
    share: FloatArray,
    edges_x: FloatArray,
    edges_y: FloatArray,
) -> Links:
    dx, dy = edges_x[1] - edges_x[0], edges_y[1] - edges_y[0]
    tensors = [area.laminate.transmissibility_m3 for area in part.areas]
    weights = [lattice_weights(tensor, dx, dy) for tensor in tensors]
    area_of_cell, unclear = shares.argmax(axis=1), mixed(shares)
    box = np.argwhere(cell_of_box >= 0)
    centres = np.column_stack([edges_x[box[:, 0]] + dx / 2, edges_y[box[:, 1]] + dy / 2])
    offsets = sorted({(1, 0), (0, 1)} | {offset for table in weights for offset in table})
    starts: list[IntArray] = [np.empty(0, np.int64)]
    ends: list[IntArray] = [np.empty(0, np.int64)]
    conductances: list[FloatArray] = [np.empty(0)]
    for offset in offsets:
        if offset[0] >= cell_of_box.shape[0] or abs(offset[1]) >= cell_of_box.shape[1]:
            continue
        a_box, b_box = _shifted(cell_of_box, offset)
        a_share, b_share = _shifted(share, offset)
        both = (a_box >= 0) & (b_box >= 0)
        a, b = a_box[both].astype(np.int64), b_box[both].astype(np.int64)
        inside = np.array([table.get(offset, 0.0) for table in weights]) * dx * dy
        g = inside[area_of_cell[a]]
        border = unclear[a] | unclear[b] | (area_of_cell[a] != area_of_cell[b])
        g[border] = _across_m3(offset, centres[a[border]], centres[b[border]], tensors, dx, dy, seen)
        g = g * _open_share(shape, offset, both, np.minimum(a_share, b_share), edges_x, edges_y)[both]
        some = (g > 0) | (offset in ((1, 0), (0, 1)))
        starts.append(a[some])
        ends.append(b[some])
        conductances.append(g[some])
    return Links(start=np.concatenate(starts), end=np.concatenate(ends), conductance_m3=np.concatenate(conductances))


def _shifted(grid: FloatArray | IntArray, offset: Offset) -> tuple[FloatArray | IntArray, FloatArray | IntArray]:
    """The grid at each box and at the box one offset away, over all pairs that exist."""
    i, j = offset
    nx, ny = grid.shape
    down, up = max(0, -j), ny - max(0, j)
    return grid[: nx - i, down:up], grid[i:, down + j : up + j]


def _across_m3(
    offset: Offset,
    start: FloatArray,
    end: FloatArray,
    tensors: list[FloatArray],
    dx: float,
    dy: float,
    seen: list[shapely.Geometry],
) -> FloatArray:
    """Of links through which a border of two laminates runs: what each piece passes straight along, one after the other
    and side by side. Slanting ones pass nothing there."""
    if offset not in ((1, 0), (0, 1)):
        return np.zeros(len(start))
    axis, width_m = (0, dy) if offset == (1, 0) else (1, dx)
    straight_m3 = np.array([tensor[axis, axis] for tensor in tensors])
    return conductance_across_m3(start, end, width_m, straight_m3, seen)


def _open_share(
    shape: shapely.Geometry,
    offset: Offset,
    both: BoolArray,
    least_share: FloatArray,
    edges_x: FloatArray,
    edges_y: FloatArray,
) -> FloatArray:
    """Share of a link that lies inside the outline: of the common face for the axes, 0 or the cells' share else."""
    open_share = np.where(least_share >= 1.0, 1.0, least_share)
    at_border = np.argwhere(both & (least_share < 1.0))
    if len(at_border) == 0:
        return open_share
    i, j = offset
    ii, jj = at_border[:, 0], at_border[:, 1] + max(0, -j)
    if offset == (1, 0):
        ends = [(edges_x[ii + 1], edges_y[jj]), (edges_x[ii + 1], edges_y[jj + 1])]
        full = edges_y[1] - edges_y[0]
    elif offset == (0, 1):
        ends = [(edges_x[ii], edges_y[jj + 1]), (edges_x[ii + 1], edges_y[jj + 1])]
        full = edges_x[1] - edges_x[0]
    else:
        half_x, half_y = (edges_x[1] - edges_x[0]) / 2, (edges_y[1] - edges_y[0]) / 2
        ends = [(edges_x[ii] + half_x, edges_y[jj] + half_y), (edges_x[ii + i] + half_x, edges_y[jj + j] + half_y)]
        full = float(np.hypot(i * half_x * 2, j * half_y * 2))
    segments = shapely.linestrings(np.stack([np.column_stack(end) for end in ends], axis=1))
    inside = shapely.length(shapely.intersection(segments, shape)) / full
    if offset not in ((1, 0), (0, 1)):
        inside = np.where(inside > 0.999, least_share[at_border[:, 0], at_border[:, 1]], 0.0)
    open_share[at_border[:, 0], at_border[:, 1]] = inside
    return open_share
