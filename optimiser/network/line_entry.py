"""What cells do not show of the way from a line on the bag side into the depth of bare laminate beneath it.

Resin spreads from a line a finger wide through layers of cells a hand wide: what those lose less than the law says is
added to the run from the line into the uppermost layer.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import spsolve

from optimiser.network.tool_side import DEPTH_SHARES, Split, per_area_m
from optimiser.physics.line_entry import entry_run_m
from optimiser.physics.permeability import stretched_depth_m

_FEWEST_CELLS, _DEPTHS = 12, 4.0
"""The front stands upright well before so many depths."""


def hidden_entry_m(two: Split, *, bore_m: float, cell_m: float) -> float:
    """Run to be added between a line and the bag side of bare laminate; 0 under a mesh. As long in the mesh layer.

    The line lies on the laminate by its bore. Both ways count: half of it to either side.
    """
    if two.top_depth_m == 0.0:
        return 0.0
    thickness_m = two.bag_side.thickness_m + two.tool_side.thickness_m
    carried_m3 = [float(np.linalg.eigvalsh(one.transmissibility_m3).max()) for one in (two.bag_side, two.tool_side)]
    depth_m = stretched_depth_m(
        thickness_m=thickness_m, along_m2=sum(carried_m3) / thickness_m, through_m2=two.permeability_through_m2
    )
    along_m3 = (carried_m3[0], *(share * carried_m3[1] for share in DEPTH_SHARES))
    through_m = tuple(per_area_m(two, k) for k in range(len(DEPTH_SHARES)))
    shown_m = _shown_m(along_m3, through_m, cell_m, max(_FEWEST_CELLS, int(np.ceil(_DEPTHS * depth_m / cell_m))))
    share_on_top = along_m3[0] / sum(along_m3)
    return max(0.0, entry_run_m(depth_m=depth_m, half_width_m=bore_m / 2) - shown_m) * share_on_top


@lru_cache(maxsize=256)
def _shown_m(along_m3: tuple[float, ...], through_m: tuple[float, ...], cell_m: float, cells: int) -> float:
    """By how much a row of these columns is longer, fed half a cell before the middle of its first uppermost node.

    The far end lets resin out of all layers alike; unit pressure difference and width.
    """
    layers = len(along_m3)
    node = np.arange(cells * layers).reshape(cells, layers)
    along = np.tile(np.array(along_m3) / cell_m, (cells - 1, 1)).ravel()
    through = np.tile(np.array(through_m) * cell_m, (cells, 1)).ravel()
    a = np.concatenate([node[:-1].ravel(), node[:, :-1].ravel()])
    b = np.concatenate([node[1:].ravel(), node[:, 1:].ravel()])
    g = np.concatenate([along, through])
    diagonal = np.bincount(a, g, node.size) + np.bincount(b, g, node.size)
    diagonal[node[-1]] += 2 * np.array(along_m3) / cell_m
    fed = 2 * along_m3[0] / cell_m
    diagonal[node[0, 0]] += fed
    own = np.arange(node.size)
    rows, columns = np.concatenate([own, a, b]), np.concatenate([own, b, a])
    matrix = sparse.csc_array((np.concatenate([diagonal, -g, -g]), (rows, columns)), shape=(node.size, node.size))
    right = np.zeros(node.size)
    right[node[0, 0]] = fed
    flow = fed * (1.0 - float(spsolve(matrix, right)[node[0, 0]]))
    return sum(along_m3) / flow - cells * cell_m
