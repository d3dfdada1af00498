"""Feed lines as borders between cells: what lies beyond a line belongs to the cell beyond it."""

from __future__ import annotations

import numpy as np
from scipy import sparse

from optimiser.network.lay_lines import LaidRun
from optimiser.network.sheet import Sheet

_MOST_MOVED = 0.49
"""A line through the middle of a cell moves almost half of it to either side; a sliver stays to carry the links."""


def volume_beyond_lines(sheet: Sheet, runs: list[LaidRun]) -> sparse.csr_matrix:
    """Matrix (n, n) that moves volume between neighbours so that no cell lies across a line. Columns sum to one.

    Where a line crosses the link from cell i to cell j at share f < 1/2, it lies inside i, and the piece of i beyond
    it, (1/2 - f) of the cell, is filled from the other side: it goes to j. Without this a bay of N cells between
    lines fills too late by 1/N; with it by (f1^2 - f2^2)/N^2, f1 and f2 the shares at its two lines (derived: the
    sum of cell volumes times their distance from the line against half the square of the bay). For a slanting line
    the two directions of the lattice share the move by the squares of its normal. On a surface nothing is moved:
    lines there mostly run along corners, whose cells may fill from both sides.
    """
    count = len(sheet.area_m2)
    if sheet.triangles is not None:
        return sparse.identity(count, format="csr")
    starts, ends = sheet.links.start, sheet.links.end
    step = sheet.position_m[ends, :2] - sheet.position_m[starts, :2]
    reach = np.linalg.norm(step, axis=1)
    along_axis = np.isclose(np.abs(step).max(axis=1), reach)
    rows, columns, shares = [], [], []
    for run in runs:
        axis = along_axis[run.crossing_link]
        link, f = run.crossing_link[axis], run.crossing_share[axis]
        across = np.column_stack([-run.crossing_direction[axis, 1], run.crossing_direction[axis, 0]])
        weight = ((step[link] * across).sum(axis=1) / reach[link]) ** 2
        in_start = f < 0.5
        rows.append(np.where(in_start, ends[link], starts[link]))
        columns.append(np.where(in_start, starts[link], ends[link]))
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
