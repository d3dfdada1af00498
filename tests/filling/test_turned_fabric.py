"""A straight front in fabric that is turned to it, against Darcy's law along the normal.

Far from the ends of a long line pressure falls square to it, and resin that turns along the fibres comes from as far on
the one side as it goes to on the other: the front runs as in K = K1 sin^2 a + K2 cos^2 a, a the angle to the line.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from optimiser.part.part import LaminateArea
from optimiser.physics.closed_form import linear_fill_time_s

LENGTH_M, WIDTH_M = 2.0, 0.4


def last_row_s(mould: Any, along_m2: float, across_m2: float, angles_deg: tuple[float, ...], cell_m: float) -> float:
    """When the last row of cells is wet midway; of two angles the first lies up to the middle of the width."""
    turned = [
        mould.laminate(along_m2, across_m2=across_m2, angle_rad=math.radians(angle_deg)) for angle_deg in angles_deg
    ]
    half = ((0.0, WIDTH_M / 2), (LENGTH_M, WIDTH_M / 2), (LENGTH_M, WIDTH_M), (0.0, WIDTH_M))
    patches = tuple(LaminateArea(name="patch", laminate=one, border_m=half) for one in turned[1:])
    line = mould.feed_line("A", (0.0, 0.0), (LENGTH_M, 0.0), bore_m=0.03)
    vent = mould.vent("V", (0.0, WIDTH_M), (LENGTH_M, WIDTH_M))
    filled = mould.fill(
        mould.panel(LENGTH_M, WIDTH_M, turned[0], (line,), (vent,), patches=patches),
        cell_m,
        *mould.open_at_start("A"),
        longest_s=1e5,
    )
    cells = slice(0, filled.network.cell_count)
    x_m, y_m = filled.network.x_m[cells], filled.network.y_m[cells]
    midway = (np.abs(x_m - LENGTH_M / 2) < 0.2) & (y_m > WIDTH_M - cell_m)
    return float(np.median(filled.run.arrival_s[cells][midway]))


def by_hand_s(along_m2: float, across_m2: float, angle_deg: float) -> float:
    angle = math.radians(angle_deg)
    return linear_fill_time_s(
        porosity=0.5,
        viscosity_pa_s=0.25,
        length_m=WIDTH_M,
        permeability_m2=along_m2 * math.sin(angle) ** 2 + across_m2 * math.cos(angle) ** 2,
        pressure_difference_pa=9e4,
    )


@pytest.mark.parametrize(
    ("along_m2", "across_m2", "angle_deg", "cell_m", "off"),
    [
        (5e-10, 1e-10, 45.0, 0.05, 0.002),
        (8e-10, 4e-11, 45.0, 0.05, 0.002),
        (8e-10, 4e-11, -45.0, 0.05, 0.002),
        (8e-10, 4e-11, 30.0, 0.025, 0.01),
        (8e-10, 4e-11, 60.0, 0.025, 0.08),
    ],
)
def test_a_front_square_to_a_line_along_the_edge(
    mould: Any, along_m2: float, across_m2: float, angle_deg: float, cell_m: float, off: float
) -> None:
    """At 60 degrees neighbours two rows away carry a part, which a line at the edge gives to the first row alone: late
    by 7 % with 16 cells across, less with more."""
    found_s = last_row_s(mould, along_m2, across_m2, (angle_deg,), cell_m)
    assert found_s == pytest.approx(by_hand_s(along_m2, across_m2, angle_deg), rel=off)


@pytest.mark.parametrize(("along_m2", "across_m2"), [(5e-10, 1e-10), (8e-10, 4e-11)])
def test_a_front_that_meets_the_same_fabric_turned_the_other_way(mould: Any, along_m2: float, across_m2: float) -> None:
    """Both pass as much square to the border between them, so it holds nothing up."""
    found_s = last_row_s(mould, along_m2, across_m2, (45.0, -45.0), 0.05)
    assert found_s == pytest.approx(by_hand_s(along_m2, across_m2, 45.0), rel=0.002)
