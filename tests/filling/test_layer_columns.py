"""Layers far behind the front share one pressure: the same fill, for a quarter of the work."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from optimiser.filling.layer_columns import columns_of
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.laminate import Laminate, Layer, LayerKind

NEVER_M = 3.0
"""A levelling length beyond the part: no layers ever share."""


def layer(kind: LayerKind, h: float, phi: float, along_m2: float, through_m2: float | None = None) -> Layer:
    return Layer(
        name=kind.value,
        kind=kind,
        thickness_m=h,
        porosity=phi,
        permeability_along_m2=along_m2,
        permeability_across_m2=along_m2,
        angle_rad=0.0,
        permeability_through_m2=through_m2,
    )


MESHED = Laminate(
    name="meshed",
    layers=(
        layer(LayerKind.REINFORCEMENT, 6e-3, 0.5, 1e-10, 2e-12),
        layer(LayerKind.FLOW_MESH, 1.2e-3, 0.85, 3e-9),
    ),
)


@pytest.fixture(scope="module")
def network(mould: Any) -> FlowNetwork:
    lines = (mould.feed_line("1", (0.1, 0.4), (1.5, 0.4)), mould.feed_line("2", (0.1, 0.9), (1.5, 0.9)))
    vents = (mould.vent("V", (0.0, 1.2), (1.6, 1.2)),)
    made: FlowNetwork = mould.reduce(mould.panel(1.6, 1.2, MESHED, lines, vents), 0.05)
    return made


def test_layers_that_share_fill_as_those_that_do_not(mould: Any, network: FlowNetwork) -> None:
    """Each node within a percent of wet-out: what passes between layers behind the front is next to nothing."""
    steps = (*mould.open_at_start("1"), mould.open_on_reach("2"))
    shared, apart = (
        mould.fill_network(each, *steps) for each in (network, replace(network, levelling_m=NEVER_M))
    )
    sheet = slice(0, network.sheet_count)
    assert shared.wet_out_s == pytest.approx(apart.wet_out_s, rel=0.01)
    assert np.abs(shared.arrival_s[sheet] - apart.arrival_s[sheet]).max() < 0.01 * apart.wet_out_s
    locked_m2 = [sum(lock.area_m2 for lock in run.locks) for run in (shared, apart)]
    assert locked_m2[0] == pytest.approx(locked_m2[1], rel=0.02)


def test_levelling_length_is_that_of_two_joined_layers(network: FlowNetwork) -> None:
    """sqrt(T1 T2 / (T1 + T2) d / K): 3.6e-12 and 6e-13 m3, 3 mm from the mesh to the middle of the plies."""
    assert network.levelling_m == pytest.approx(np.sqrt(3.6e-12 * 6e-13 / 4.2e-12 * 3e-3 / 2e-12))


def test_only_columns_wet_through_and_left_behind_are_settled(network: FlowNetwork) -> None:
    """A dry node beneath a cell keeps its column and those round it apart; a network without such nodes has none."""
    columns = columns_of(network)
    assert columns is not None
    wet = np.ones(network.node_count, dtype=bool)
    assert columns.settled(wet, network.links).all()
    dry = network.sheet_count - 1
    wet[dry] = False
    settled = columns.settled(wet, network.links)
    away = np.hypot(network.x_m - network.x_m[dry], network.y_m - network.y_m[dry])
    assert not settled[away < 1.5 * network.cell_size_m].any()
    assert settled[away > (columns.links_behind + 3) * network.cell_size_m].all()
    bare = replace(network, under_cell=np.empty(0, dtype=np.int64))
    assert columns_of(bare) is None
