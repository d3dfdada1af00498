"""The hull side is what its script writes, and its girths and heights are those of the hull."""

from __future__ import annotations

import math

import pytest
from scipy.integrate import quad

from cases import demo_case_path
from cases.hull_side.hull_form import (
    BEAM_M,
    DRAUGHT_M,
    LENGTH_M,
    freeboard_m,
    girth_m,
    half_breadth_m,
    height_above_keel_m,
)
from cases.hull_side.make_case import case_text
from optimiser.case.read_case import read_case

STATIONS_M = [0.25, 2.0, 6.5, 11.0, 12.75]


def wigley_y_m(x_m: float, z_m: float) -> float:
    """Wigley's form as published (1926, 1934; from memory), x from the stern."""
    along = 2 * (x_m - LENGTH_M / 2) / LENGTH_M
    return BEAM_M / 2 * (1 - along**2) * (1 - (z_m / DRAUGHT_M) ** 2)


def arc_m(x_m: float, z_m: float) -> float:
    """Length of the section from the keel to z by numerical quadrature of its published form."""
    step_m = 1e-6

    def length(at_m: float) -> float:
        slope = (wigley_y_m(x_m, at_m + step_m) - wigley_y_m(x_m, at_m - step_m)) / (2 * step_m)
        return math.hypot(1, slope)

    return float(quad(length, -DRAUGHT_M, z_m)[0])


def test_the_case_is_what_its_script_writes() -> None:
    """So nobody edits the one and forgets the other."""
    assert demo_case_path("hull_side").read_text(encoding="utf-8") == case_text()


@pytest.mark.parametrize("x_m", STATIONS_M)
def test_the_waterline_is_wigleys(x_m: float) -> None:
    """Half the beam amidships, falling off as a parabola."""
    assert half_breadth_m(x_m) == pytest.approx(wigley_y_m(x_m, 0.0))


@pytest.mark.parametrize("x_m", STATIONS_M)
def test_the_girth_is_the_length_of_the_section(x_m: float) -> None:
    """Arc of the parabola by quadrature (scipy) plus the topside; differences of slope leave about 1e-9."""
    assert girth_m(x_m) == pytest.approx(arc_m(x_m, 0.0) + freeboard_m(x_m), rel=1e-7)


@pytest.mark.parametrize("x_m", STATIONS_M)
@pytest.mark.parametrize("fraction", [0.1, 0.3, 0.6, 0.9])
def test_heights_lie_at_their_share_of_the_girth(x_m: float, fraction: float) -> None:
    """Walking the section up to that height uses that share; heights are fine to 0.1 mm."""
    height_m = height_above_keel_m(x_m, fraction)
    below_m = arc_m(x_m, min(height_m - DRAUGHT_M, 0.0))
    walked_m = below_m + max(height_m - DRAUGHT_M, 0.0)
    assert walked_m == pytest.approx(fraction * girth_m(x_m), abs=1e-4)


def test_the_side_has_the_size_and_the_taps_it_promises() -> None:
    """2.2 m of girth amidships at least, five lines in three sections, two vents."""
    part = read_case(demo_case_path("hull_side")).shot.part
    assert girth_m(LENGTH_M / 2) >= 2.2
    labels = [line.label for line in part.feed_lines]
    assert labels == [f"{line}-{section}" for line in range(1, 6) for section in ("AFT", "MID", "FWD")]
    assert [vent.label for vent in part.vents] == ["V-KEEL", "V-SHEER"]


def test_the_sheer_is_two_metres_above_the_keel() -> None:
    """A column of resin that high takes between 15 and 30 % of the driving pressure of 925 mbar."""
    heights_m = [point.height_m for point in read_case(demo_case_path("hull_side")).shot.part.heights]
    rise_m = max(heights_m) - min(heights_m)
    assert 1.9 < rise_m < 2.3
    assert 0.15 < 1080 * 9.81 * rise_m / 92_500 < 0.3
