"""The zone graph: flow times by the linear law, and the ways a person asks it for."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.network.zone_graph import (
    build_zone_graph,
    way_to_vent,
    zones_no_line_reaches,
    zones_without_vent,
)
from optimiser.network.zones import Zones, divide
from optimiser.part.part import LaminateArea, Outline, Part
from optimiser.physics import closed_form


def row_of_zones(mould: Any) -> tuple[Any, Zones]:
    """A strip of six square zones of 4 x 4 cells, 0.4 m each, a line at one end and a vent at the other."""
    line, end = mould.feed_line("0", (0.0, 0.0), (0.0, 0.4)), mould.vent("V", (2.4, 0.0), (2.4, 0.4))
    network = mould.reduce(mould.panel(2.4, 0.4, mould.laminate(), (line,), (end,)), 0.1)
    zone = np.floor(network.x_m[: network.cell_count] / 0.4).astype(np.int64)
    return network, Zones(names=tuple(f"zone {k}" for k in range(6)), zone_of_cell=zone)


def test_flow_time_over_an_edge_is_the_linear_law_from_middle_to_middle(mould: Any) -> None:
    """Between zones of 0.4 m: phi mu L^2 / (2 K p) with L = 0.4 m (closed_form.linear_fill_time_s)."""
    network, zones = row_of_zones(mould)
    graph = build_zone_graph(network, zones, pressure_pa=9e4, viscosity_pa_s=0.25)
    expected_s = closed_form.linear_fill_time_s(
        porosity=0.5, viscosity_pa_s=0.25, length_m=0.4, permeability_m2=1e-9, pressure_difference_pa=9e4
    )
    assert sorted(graph.edges) == [(k, k + 1) for k in range(5)]
    for _, _, data in graph.edges(data=True):
        assert data["flow_s"] == pytest.approx(expected_s, rel=1e-9)


def test_zones_know_their_size_lines_and_vents(mould: Any) -> None:
    """0.16 m2 and 0.4 l each; the line lies on the first, the vent on the last."""
    network, zones = row_of_zones(mould)
    graph = build_zone_graph(network, zones, pressure_pa=9e4, viscosity_pa_s=0.25)
    for _, data in graph.nodes(data=True):
        assert data["area_m2"] == pytest.approx(0.16)
        assert data["pore_m3"] == pytest.approx(0.4e-3)
    assert [sorted(graph.nodes[k]["lines"]) for k in range(6)] == [["0"], [], [], [], [], []]
    assert [sorted(graph.nodes[k]["vents"]) for k in range(6)] == [[], [], [], [], [], ["V"]]


def test_way_to_the_vent_leads_through_zones_each_wet_later(mould: Any) -> None:
    """From the second zone down the row to the vent; from a zone that is wet last, nowhere."""
    network, zones = row_of_zones(mould)
    graph = build_zone_graph(network, zones, pressure_pa=9e4, viscosity_pa_s=0.25)
    in_turn_s = {k: 100.0 * (k + 1) for k in range(6)}
    assert way_to_vent(graph, in_turn_s, 1) == ([1, 2, 3, 4, 5], "V")
    closed_in_s = in_turn_s | {2: 1000.0}
    assert way_to_vent(graph, closed_in_s, 1) == ([1], None)
    assert way_to_vent(graph, closed_in_s, 3) == ([3, 4, 5], "V")


def test_way_to_the_vent_is_strictly_later_at_every_zone_of_a_real_fill(mould: Any) -> None:
    """On a panel of three lines, with wet times of a network run, every way found goes forward in time."""
    lines = tuple(mould.feed_line(str(k), (x_m, 0.0), (x_m, 1.0)) for k, x_m in enumerate((0.5, 1.5, 2.5)))
    vents = (mould.vent("V", (0.0, 0.0), (0.0, 1.0)), mould.vent("W", (3.0, 0.0), (3.0, 1.0)))
    part = mould.panel(3.0, 1.0, mould.laminate(), lines, vents)
    filled = mould.fill(
        part, 0.1, *mould.open_at_start("1"), mould.open_on_reach("0"), mould.open_on_reach("2")
    )
    zones = divide(filled.network, part, most_zones=40)
    graph = build_zone_graph(filled.network, zones, pressure_pa=9e4, viscosity_pa_s=0.25)
    arrival_s = filled.run.arrival_s[: filled.network.cell_count]
    wet_s = {k: float(arrival_s[zones.zone_of_cell == k].max()) for k in range(zones.count)}
    found = 0
    for zone in graph:
        way, vent = way_to_vent(graph, wet_s, zone)
        times_s = [wet_s[k] for k in way]
        assert times_s == sorted(set(times_s))
        assert vent is None or vent in graph.nodes[way[-1]]["vents"]
        found += vent is not None
    assert found >= 0.9 * zones.count


def test_piece_apart_has_no_vent_and_no_line(mould: Any) -> None:
    """Two outlines with a gap: the second carries neither, and all its zones are named."""
    first = Outline(name="first", border_m=((0.0, 0.0), (1.0, 0.0), (1.0, 0.5), (0.0, 0.5)))
    second = Outline(name="second", border_m=((2.0, 0.0), (3.0, 0.0), (3.0, 0.5), (2.0, 0.5)))
    part = Part(
        outlines=(first, second),
        areas=(LaminateArea(name="all", laminate=mould.laminate(), border_m=None),),
        feed_lines=(mould.feed_line("0", (0.5, 0.0), (0.5, 0.5)),),
        vents=(mould.vent("V", (0.0, 0.0), (0.0, 0.5)), mould.vent("W", (1.0, 0.0), (1.0, 0.5))),
    )
    network = mould.reduce(part, 0.1)
    zones = divide(network, part, most_zones=20)
    graph = build_zone_graph(network, zones, pressure_pa=9e4, viscosity_pa_s=0.25)
    apart = sorted(set(zones.zone_of_cell[network.x_m[: network.cell_count] > 1.5].tolist()))
    assert apart
    assert zones_without_vent(graph) == apart
    assert zones_no_line_reaches(graph, {"0"}) == apart
    assert zones_no_line_reaches(graph, set()) == list(range(zones.count))
