"""Feed lines between the cells: exact in place, empty pipes in the bag, and no volume across them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Step
from optimiser.physics import closed_form


def conductance_between(network: FlowNetwork, a: int, b: int, through: int | None = None) -> float:
    """Of the link between two nodes, or of the two links in series through a third."""

    def link(i: int, j: int) -> float:
        links = network.links
        found = ((links.start == i) & (links.end == j)) | ((links.start == j) & (links.end == i))
        return float(links.conductance_m3[found].sum())

    if through is None:
        return link(a, b)
    return 1.0 / (1.0 / link(a, through) + 1.0 / link(through, b))


@pytest.mark.parametrize("at_m", [0.42, 0.47])
def test_line_splits_the_link_it_crosses_and_in_series_the_halves_are_the_link_again(
    mould: Any, at_m: float
) -> None:
    """Between cells at 0.35 and 0.45 m of a strip of 0.1 m cells (or the next pair): K h dy / dx in all."""
    network = mould.reduce(mould.strip(1.0, 10, mould.laminate(), lines_at_m=(at_m,)), 0.1)
    (node,) = network.lines[0].nodes
    before = int(np.flatnonzero(network.x_m[:10] <= at_m - 1e-9)[-1])
    assert conductance_between(network, before, before + 1) == 0.0
    in_series_m3 = conductance_between(network, before, before + 1, through=int(node))
    assert in_series_m3 == pytest.approx(1e-9 * 5e-3, rel=1e-9, abs=0)


def test_two_lines_between_the_same_cells_stand_one_behind_the_other(mould: Any) -> None:
    """At 0.37 and 0.42 m both cross the link from 0.35 to 0.45 m: cell, line, line, cell."""
    network = mould.reduce(mould.strip(1.0, 10, mould.laminate(), lines_at_m=(0.37, 0.42)), 0.1)
    first, second = (int(line.nodes[0]) for line in network.lines)
    whole_m3 = 1e-9 * 5e-3
    between = [conductance_between(network, *pair) for pair in ((3, first), (first, second), (second, 4))]
    assert between == pytest.approx([whole_m3 / 0.2, whole_m3 / 0.5, whole_m3 / 0.3], rel=1e-9, abs=0)


def test_run_that_crosses_a_link_there_and_back_does_not_tie_itself_in_a_knot(mould: Any) -> None:
    """A run with a hairpin between two cells crosses their link twice from one node: that is one crossing."""
    hairpin = mould.feed_line("0", (0.5, 0.3), (0.51, 0.56), (0.52, 0.3), hose_length_m=0.5)
    part = mould.panel(1.0, 1.0, mould.laminate(), (hairpin,), (mould.vent("V", (1.0, 0.0), (1.0, 1.0)),))
    network = mould.reduce(part, 0.2)
    assert (network.links.start != network.links.end).all()
    assert mould.fill_network(network, *mould.open_at_start("0")).wet_out_s < np.inf


@pytest.mark.parametrize("cells", [10, 20, 40, 80])
def test_bay_between_lines_off_the_lattice_errs_with_the_square_of_the_cell(mould: Any, cells: int) -> None:
    """Lines at 0.27 and 0.71 m: the bay is off by (f1^2 - f2^2) / n^2 of its time, never more than 1 / n^2.

    n is the number of cells in the bay, f1 the distance in cells from its first line to the next cell,
    f2 that from its last cell to its second line (derived: sum of cell volumes times their distance from the
    line, against half the square of the bay). Cells left as they are cut would be off by 1 / n, 23 % on the
    coarsest grid. 2.5e-3: hose and bore 5e-4, the trigger 3e-4, the rest the step on four cells a bay.
    """
    first_m, second_m = 0.27, 0.71
    part = mould.strip(1.0, cells, mould.laminate(), lines_at_m=(first_m, second_m))
    filled = mould.fill(part, 1.0 / cells, *mould.open_at_start("0"), mould.open_on_reach("1"))
    called_s = filled.run.steps[1].called_s
    exact_s = closed_form.linear_fill_time_s(
        porosity=0.5,
        viscosity_pa_s=0.25,
        length_m=second_m - first_m,
        permeability_m2=1e-9,
        pressure_difference_pa=9e4,
    )
    in_bay = (second_m - first_m) * cells
    after_first, before_second = 1 - (first_m * cells - 0.5) % 1, (second_m * cells - 0.5) % 1
    expected = (after_first**2 - before_second**2) / in_bay**2
    assert called_s / exact_s - 1 == pytest.approx(expected, abs=2.5e-3)


def test_shut_line_is_a_channel_that_resin_runs_along(mould: Any) -> None:
    """Resin that meets one end of a shut line stands at its other end, 1.8 m on, before the laminate does.

    The line lies along the flow. Without it the far quarter of the panel is wet later by more than a fifth.
    """
    feed, vent = mould.feed_line("0", (0.0, 0.0), (0.0, 0.5)), mould.vent("V", (2.0, 0.0), (2.0, 0.5))
    channel = mould.feed_line("1", (0.1, 0.25), (1.9, 0.25))
    steps: tuple[Step, ...] = mould.open_at_start("0")
    bare = mould.fill(mould.panel(2.0, 0.5, mould.laminate(), (feed,), (vent,)), 0.05, *steps)
    laid = mould.fill(mould.panel(2.0, 0.5, mould.laminate(), (feed, channel), (vent,)), 0.05, *steps)
    far = laid.network.x_m[: laid.network.cell_count] > 1.5
    bare_s, laid_s = (filled.run.arrival_s[: len(far)][far].mean() for filled in (bare, laid))
    assert laid_s < 0.8 * bare_s
    along_s = laid.run.arrival_s[laid.network.lines[1].nodes]
    assert along_s[-1] < 0.25 * bare.run.wet_out_s
    assert (np.diff(along_s) >= 0).all()


@pytest.mark.parametrize("cells", [12, 20, 40, 41])
def test_a_line_beside_an_edge_feeds_every_cell_that_it_lies_on(mould: Any, cells: int) -> None:
    """Fibres away from the line, hardly any way across them: each row is a strip of its own, wet after
    phi mu L^2 / (2 K dP), wherever in the outermost cells the line lies and however its pieces and the rows divide."""
    laminate = mould.laminate(1e-10, across_m2=1e-13)
    line = mould.feed_line("1", (0.01, 0.01), (0.01, 0.29), bore_m=0.02)
    part = mould.panel(1.0, 0.3, laminate, (line,), (mould.vent("V", (0.99, 0.01), (0.99, 0.29)),))
    filled = mould.fill(part, 1.0 / cells, *mould.open_at_start("1"), viscosity_pa_s=0.1, pressure_pa=9e4)
    arrival_s = filled.run.arrival_s[: filled.network.cell_count]
    last = filled.network.x_m[: filled.network.cell_count] > 0.9
    strip_s = 0.5 * 0.1 * 0.99**2 / (2 * 1e-10 * 9e4)
    assert arrival_s[last].max() == pytest.approx(strip_s, rel=0.1)
