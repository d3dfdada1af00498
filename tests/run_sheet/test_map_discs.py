"""Numbers and names of taps on the map: each disc once, where its hose joins."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from optimiser.case.map_document import MapRun
from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.map_edges import steps_mm
from optimiser.run_sheet.map_pen import Pen, whole_name
from optimiser.run_sheet.map_pieces import Window, lay_out
from optimiser.run_sheet.map_runs import DISC_PT, draw_discs, draw_names, place_of
from optimiser.run_sheet.map_words import key_lines, vent_words
from optimiser.run_sheet.upside_down import reads_upside_down

PAGE = Window(x0=0.0, x1=10.7, y0=0.0, y1=6.0)
LONG = Window(x0=0.0, x1=24_000.0, y0=0.0, y1=2_300.0)


def line(label: str, order: int, inlet_mm: tuple[float, float] | None, y_mm: float = 1_000.0) -> MapRun:
    run_mm = [(1_000.0, y_mm), (23_000.0, y_mm)]
    return MapRun(label=label, kind="line", run_mm=run_mm, order=order, inlet_mm=inlet_mm)


def drawn(*runs: MapRun, numbered: bool = True) -> list[Axes]:
    """The runs on a part 24 m long, which is cut in two."""
    pieces = lay_out(LONG, PAGE)
    sheets = []
    for piece in pieces:
        axes = Figure().add_axes((0, 0, 1, 1))
        pen = Pen(axes, piece)
        discs = draw_discs(pen, list(runs), pieces, numbered=numbered)
        draw_names(pen, list(runs), pieces, discs, numbered=numbered)
        sheets.append(axes)
    return sheets


def discs(axes: Axes) -> list[tuple[float, float]]:
    found = [stroke.get_xydata() for stroke in axes.lines if stroke.get_markersize() == DISC_PT]
    return [(float(xy[0, 0]), float(xy[0, 1])) for xy in map(np.asarray, found)]


def texts(axes: Axes) -> list[str]:
    return [text.get_text() for text in axes.texts]


def test_a_disc_stands_once_and_exactly_where_the_hose_joins() -> None:
    """The other piece names the line and says where its tap is."""
    first, second = drawn(line("3-MID", 2, (20_000.0, 1_000.0)))
    assert discs(first) == []
    (spot,) = discs(second)
    assert spot == pytest.approx((20_000.0, 1_000.0))
    assert texts(first) == ["3-MID (tap on piece 2)"]
    assert sorted(texts(second)) == ["2", "3-MID"]


def test_a_spot_in_the_overlap_gets_one_disc() -> None:
    """Shown by both pieces, numbered in one."""
    assert sum(len(discs(axes)) for axes in drawn(line("1", 1, (12_000.0, 1_000.0)))) == 1


def test_a_vent_is_ringed_once() -> None:
    """Without an inlet the ring stands at the middle of the run."""
    vent = MapRun(label="V-SHEER", kind="vent", run_mm=[(9_000, 500), (23_000, 500)], order=7)
    first, second = drawn(vent)
    assert place_of(vent) == (16_000, 500)
    assert (texts(first), sorted(texts(second))) == (["V-SHEER (same vent)"], ["7", "V-SHEER"])


def test_discs_at_one_spot_stay_apart_and_on_their_own_lines() -> None:
    """Two hoses join at the joint of two sections: the second disc moves along its line, not onto another."""
    aft = MapRun(label="A", kind="line", run_mm=[(1_000, 900), (5_000, 900)], order=1, inlet_mm=(5_000, 900))
    mid = MapRun(label="B", kind="line", run_mm=[(5_000, 900), (9_000, 900)], order=2, inlet_mm=(5_000, 900))
    (one, other) = discs(drawn(aft, mid)[0])
    per_mm = lay_out(LONG, PAGE)[0].scale_in_per_mm * 72
    assert one == pytest.approx((5_000, 900))
    assert other[1] == pytest.approx(900)
    assert (other[0] - one[0]) * per_mm > DISC_PT


def test_a_name_of_figures_only_is_written_with_its_word() -> None:
    """An order in a disc and a tap called 2 cannot be taken for each other."""
    assert sorted(texts(drawn(line("2", 3, (3_000.0, 1_000.0)))[0])) == ["3", "TAP 2"]


def test_a_refused_plan_has_no_discs_and_no_key_to_them(failing_plan: PlanDocument) -> None:
    """Names stay, orders go."""
    assert texts(drawn(line("2", 3, (3_000.0, 1_000.0)), numbered=False)[0]) == ["TAP 2"]
    key = " ".join(key_lines(failing_plan))
    assert "disc" not in key
    assert "ring:" not in key
    assert "air locked" in key


def test_a_square_stands_where_the_hose_of_a_vent_joins(fields: dict[str, Any]) -> None:
    """At the very place, with the ring beside it, and in the key; neither where the case does not give that hose."""
    course = {"label": "V-SHEER", "kind": "vent", "run_mm": [(1_000, 500), (11_000, 500)], "order": 7}
    for outlet_mm in (None, (6_000.0, 500.0), (11_000.0, 500.0)):
        vent = MapRun.model_validate(course | {"outlet_mm": outlet_mm})
        first, _ = drawn(vent)
        squares = [stroke.get_xydata() for stroke in first.lines if stroke.get_marker() == "s"]
        assert [tuple(np.asarray(xy)[0].tolist()) for xy in squares] == ([] if outlet_mm is None else [outlet_mm])
        (ring,) = discs(first)
        assert ring != outlet_mm
        fields["map"]["runs"] = [vent.model_dump()]
        key = " ".join(key_lines(PlanDocument.model_validate(fields)))
        assert ("where a vent's hose joins" in key) == (outlet_mm is not None)
        on_other_maps = " ".join(vent_words([vent], numbered=False))
        assert ("where a vent's hose joins" in on_other_maps) == (outlet_mm is not None)


def test_the_key_explains_only_what_is_drawn(plan: PlanDocument) -> None:
    """No lock on this map, so no cross in its key; all of it gets wet, so nothing is crossed over."""
    key = " ".join(key_lines(plan))
    assert "air locked" not in key
    assert "Crossed" not in key
    assert "disc where its hose joins" in key


def test_long_names_go_on_in_a_new_line() -> None:
    """Nothing is cut off."""
    name, _ = whole_name("chainplate forward of the second bulkhead, port", 8.5)
    assert name.replace("\n", " ") == "chainplate forward of the second bulkhead, port"
    assert max(map(len, name.split("\n"))) <= 18


@pytest.mark.parametrize(
    ("length_mm", "steps"), [(13_000, (1_000, 2_000)), (4_800, (1_000, 1_000)), (600, (100, 100))]
)
def test_metres_stand_along_the_edge(length_mm: float, steps: tuple[float, float]) -> None:
    """A tick at every metre, and a number at every second one where the part is long."""
    assert steps_mm(length_mm) == steps


def test_numbers_that_turn_into_others_are_known() -> None:
    """Figures that stay figures when turned by half: 0, 1, 6, 8, 9 (a seven-segment display shows the same)."""
    turned = [n for n in range(1, 100) if reads_upside_down(str(n))]
    assert turned == [6, 9, 16, 18, 19, 61, 66, 68, 81, 86, 89, 91, 98, 99]
