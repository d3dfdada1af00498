"""When a sequence is played once more, as planned, on cells of half the size.

Two fronts that meet on a border of cells fill the last cells at one moment, and what they close in does not show. Half
the size moves the borders; what shows there was hidden by the lattice.
"""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.network.line_layout import LineLayout, narrowest_bay_m
from optimiser.part.shot import Shot

MOST_CELLS = 20_000
"""Of half the size. Up to so many a run there takes three to six times one on the cells asked for; 45 000 took ten
times, and would have made the plan of the hull side half as long again."""
FEWEST_BETWEEN_LINES = 8
"""With fewer cells than this between two lines it is played on more cells too: panels of ours whose lines end a cell
short of the edge hid a lock at two, four and seven cells; eight to twenty showed it."""
MOST_CELLS_WHERE_CLOSE = 250_000
"""As many as a case may ask for."""
_CELLS_FOR_ONE = 4


@dataclass(frozen=True, kw_only=True)
class FinerCells:
    cell_m: float
    cells: int
    """About: four for each, of a surface fewer where its own triangles are smaller."""
    most_cells: int
    """That are played."""

    @property
    def played(self) -> bool:
        return self.cells <= self.most_cells


def finer_cells(shot: Shot, cells: int, layouts: tuple[LineLayout, ...]) -> FinerCells:
    """cells, layouts: of the network on cells of the size that the case asks for."""
    narrowest_m = narrowest_bay_m(layouts)
    close = narrowest_m is not None and narrowest_m < FEWEST_BETWEEN_LINES * shot.search.cell_m
    return FinerCells(
        cell_m=shot.search.cell_m / 2,
        cells=_CELLS_FOR_ONE * cells,
        most_cells=MOST_CELLS_WHERE_CLOSE if close else MOST_CELLS,
    )
