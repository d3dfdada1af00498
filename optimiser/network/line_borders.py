"""Feed lines as borders between cells: what lies beyond a line belongs to the cell beyond it."""

from __future__ import annotations

import numpy as np
from scipy import sparse

from optimiser.network.flow_network import FloatArray, IntArray
from optimiser.network.lay_lines import LaidRun
from optimiser.network.sheet import Sheet

_MOST_MOVED = 0.49
"""Of a cell, at most this share goes to either side, so that it keeps what carries its links."""


def volume_beyond_lines(sheet: Sheet, runs: list[LaidRun]) -> sparse.csr_matrix:
    """Matrix (n, n) that moves volume between neighbours so that no cell lies across a line; columns sum to 1.

    Where a line crosses the link from cell i to cell j at share f < 1/2, it lies inside i, and the piece of i
    beyond it, (1/2 - f) of the cell, is filled from the other side: it goes to j. Without this a bay of N cells
    between lines fills too late by 1/N; with it by (f1^2 - f2^2)/N^2, f1 and f2 how far in cells its first cell
    lies from its first line and its last cell from its second (derived: the sum of cell volumes times their
    distance from the line against half the square of the bay).
    """
    count = len(sheet.area_m2)
    rows, columns, shares = [], [], []
    for run in runs:
        link, f = run.crossing_link, run.crossing_share
        near = np.where(f < 0.5, sheet.links.start[link], sheet.links.end[link])
        far = np.where(f < 0.5, sheet.links.end[link], sheet.links.start[link])
        rows.append(far)
        columns.append(near)
        on_lattice = sheet.triangles is None
        weight = _weights_on_lattice(sheet, run) if on_lattice else _weights_on_surface(sheet, run, near)
        shares.append(weight * np.clip(np.abs(0.5 - f), 0.0, _MOST_MOVED))
    if not rows:
        return sparse.identity(count, format="csr")
    row, column, share = np.concatenate(rows), np.concatenate(columns), np.concatenate(shares)
    leaving = np.bincount(column, weights=share, minlength=count)
    most = 2 * _MOST_MOVED
    share *= np.minimum(1.0, most / np.maximum(leaving, most))[column]
    leaving = np.minimum(leaving, most)
    moved = sparse.coo_matrix((share, (row, column)), shape=(count, count))
    return (moved + sparse.diags(1.0 - leaving)).tocsr()


def _weights_on_lattice(sheet: Sheet, run: LaidRun) -> FloatArray:
    """Squares of the line's normal along the axes; none for the slanting links of a tensor that has them."""
    links = sheet.links
    step = sheet.position_m[links.end[run.crossing_link]] - sheet.position_m[links.start[run.crossing_link]]
    reach = np.linalg.norm(step, axis=1)
    along_axis = np.isclose(np.abs(step).max(axis=1), reach)
    across = run.crossing_direction[:, 0] * step[:, 1] - run.crossing_direction[:, 1] * step[:, 0]
    return np.where(along_axis, (across / reach) ** 2, 0.0)


def _weights_on_surface(sheet: Sheet, run: LaidRun, near: IntArray) -> FloatArray:
    """To each corner beyond the line by the conductance of the edge that leads there."""
    conductance = sheet.links.conductance_m3[run.crossing_link]
    return np.asarray(conductance / np.bincount(near, conductance, len(sheet.area_m2))[near])
