"""Zones: every cell in one, each in one piece and of one laminate, borders at the lines."""

from __future__ import annotations

from typing import Any

import networkx as nx
import numpy as np
import pytest

from optimiser.network.flow_network import FlowNetwork
from optimiser.network.zones import Zones, carried_over, divide, split
from optimiser.part.part import LaminateArea, Part


def stepped_part(mould: Any) -> Part:
    """Three lines across a panel of 3 x 1 m with a pad of another laminate and a hole beside it."""
    lines = tuple(mould.feed_line(str(k), (x_m, 0.0), (x_m, 1.0)) for k, x_m in enumerate((0.5, 1.5, 2.5)))
    pad_m = ((0.8, 0.2), (1.2, 0.2), (1.2, 0.6), (0.8, 0.6))
    hole_m = ((1.8, 0.3), (2.1, 0.3), (2.1, 0.7), (1.8, 0.7))
    return mould.panel(
        3.0,
        1.0,
        mould.laminate(),
        lines,
        (mould.vent("V", (0.0, 0.0), (0.0, 1.0)), mould.vent("W", (3.0, 0.0), (3.0, 1.0))),
        patches=(LaminateArea(name="pad", laminate=mould.laminate(2e-10, thickness_m=9e-3), border_m=pad_m),),
        holes_m=(hole_m,),
    )


def cell_graph(network: FlowNetwork) -> nx.Graph:
    """Cells joined by their own links, and across the lines that lie between them."""
    graph = nx.Graph(zip(network.links.start.tolist(), network.links.end.tolist(), strict=True))
    graph.remove_nodes_from([node for node in list(graph) if node >= network.cell_count])
    graph.add_nodes_from(range(network.cell_count))
    return graph


def check_zones(network: FlowNetwork, zones: Zones) -> None:
    assert len(zones.zone_of_cell) == network.cell_count
    assert np.unique(zones.zone_of_cell).tolist() == list(range(zones.count))
    assert len(set(zones.names)) == zones.count
    graph = cell_graph(network)
    for zone in range(zones.count):
        cells = np.flatnonzero(zones.zone_of_cell == zone)
        assert len(set(network.area_of_cell[cells].tolist())) == 1
        assert nx.is_connected(graph.subgraph(cells.tolist()))


@pytest.mark.parametrize("most_zones", [12, 40, 120])
def test_zones_cover_every_cell_once_each_in_one_piece_of_one_laminate(mould: Any, most_zones: int) -> None:
    """At any wanted number of zones; networkx says what hangs together."""
    part = stepped_part(mould)
    network = mould.reduce(part, 0.1)
    check_zones(network, divide(network, part, most_zones=most_zones))


def test_no_zone_reaches_across_a_line_or_across_the_middle_of_a_bay(mould: Any) -> None:
    """Lines at 0.5, 1.5 and 2.5 m: borders there and at 1 and 2 m, to within the cell they fall in."""
    part = stepped_part(mould)
    network = mould.reduce(part, 0.1)
    zones = divide(network, part, most_zones=40)
    x_m = network.x_m[: network.cell_count]
    strip = np.searchsorted([0.5, 1.0, 1.5, 2.0, 2.5], x_m)
    for zone in range(zones.count):
        cells = zones.zone_of_cell == zone
        away = np.abs(x_m[cells, None] - np.array([0.5, 1.0, 1.5, 2.0, 2.5])).min(axis=1) > 0.06
        assert len(set(strip[cells][away].tolist())) <= 1


def test_more_zones_are_asked_for_and_given(mould: Any) -> None:
    """Three times the number asked for gives more zones; none is as large as the largest before."""
    part = stepped_part(mould)
    network = mould.reduce(part, 0.05)
    few, many = (divide(network, part, most_zones=n) for n in (20, 60))
    largest = [
        np.bincount(zones.zone_of_cell, network.area_m2[: network.cell_count]).max() for zones in (few, many)
    ]
    assert few.count < many.count
    assert largest[1] < largest[0]


def test_splitting_off_a_lock_leaves_zones_that_are_still_zones(mould: Any) -> None:
    """The cut cells are zones of their own, in one piece each; all others keep theirs or its pieces, and no piece lies
    in two of the zones before."""
    part = stepped_part(mould)
    network = mould.reduce(part, 0.1)
    before = divide(network, part, most_zones=40)
    x_m, y_m = (place[: network.cell_count] for place in (network.x_m, network.y_m))
    cut = np.flatnonzero((np.abs(x_m - 2.0) < 0.12) & (np.abs(y_m - 0.85) < 0.12))
    after = split(before, network, cut)
    check_zones(network, after)
    mine = set(after.zone_of_cell[cut].tolist())
    assert not mine & set(np.delete(after.zone_of_cell, cut).tolist())
    assert len(set(before.zone_of_cell[cut].tolist())) > 1
    assert len(set(zip(after.zone_of_cell.tolist(), before.zone_of_cell.tolist(), strict=True))) == after.count


def test_zones_carry_over_to_a_finer_network(mould: Any) -> None:
    """Each cell of the finer network has the zone of the place it lies in."""
    part = stepped_part(mould)
    coarse, fine = mould.reduce(part, 0.1), mould.reduce(part, 0.05)
    zones = divide(coarse, part, most_zones=40)
    carried = carried_over(zones, coarse, fine)
    assert carried.names == zones.names
    for x_m, y_m in ((0.25, 0.25), (1.35, 0.85), (2.75, 0.55)):
        there, here = (
            int(np.argmin(np.hypot(net.x_m - x_m, net.y_m - y_m)[: net.cell_count])) for net in (fine, coarse)
        )
        assert carried.zone_of_cell[there] == zones.zone_of_cell[here]


def test_a_zone_that_no_cell_of_the_other_network_is_nearest_to_is_left_out(mould: Any) -> None:
    """A zone of one cell where the other network has cells four times as wide; all cells keep their zone's name."""
    part = stepped_part(mould)
    fine, coarse = mould.reduce(part, 0.05), mould.reduce(part, 0.2)
    lone = np.zeros(fine.cell_count, dtype=np.int64)
    lone[int(np.argmin(np.hypot(fine.x_m - 0.025, fine.y_m - 0.025)[: fine.cell_count]))] = 1
    last = np.where(lone == 1, 1, np.where(fine.x_m[: fine.cell_count] > 1.0, 2, 0))
    carried = carried_over(Zones(names=("aft", "lone", "fwd"), zone_of_cell=last), fine, coarse)
    assert carried.names == ("aft", "fwd")
    assert (carried.zone_of_cell == (coarse.x_m[: coarse.cell_count] > 1.0)).all()
