"""What Darcy's law promises of every fill: scalings with viscosity, pressure and length, and mirror symmetry.

Examples are drawn with hypothesis: panels of some 20 x 10 cells with two to four lines and a patch of another
laminate, lines opened as they are reached. No height, no flow cap, no seconds for hands.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from optimiser.filling.fill_run import FillRun
from optimiser.part.part import LaminateArea, Part

few = settings(max_examples=8, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate))
STEP = 0.02
"""Steps fill 1 to 2 % of the sheet each and do not scale, the first being a second long in any resin: an
arrival is read off within one of them. Measured 1.4 % of the wet-out time."""
WET_OUT = 0.01
"""The last arrival ends a step and would be exact, but taps turned at arrivals hand their error on to it."""


@dataclass(frozen=True)
class Drawn:
    """A panel in shares of its length: one metre by half a metre unless scaled."""

    lines_at: tuple[float, ...]
    patch_at: float
    patch_permeability_m2: float
    angle_rad: float
    first: int


@st.composite
def drawn_panels(draw: st.DrawFn) -> Drawn:
    count = draw(st.integers(2, 4))
    # clear of the middles of cells, since there a mirror would count a line to the other side
    places = draw(st.lists(st.integers(1, 18), min_size=count, max_size=count, unique=True))
    return Drawn(
        lines_at=tuple(sorted(0.05 * place + 0.01 for place in places)),
        patch_at=draw(st.sampled_from([0.1, 0.35, 0.6])),
        patch_permeability_m2=draw(st.sampled_from([2e-10, 5e-10, 4e-9])),
        angle_rad=draw(st.sampled_from([0.0, 0.5, 1.2])),
        first=draw(st.integers(0, count - 1)),
    )


def part_of(
    mould: Any, drawn: Drawn, *, length_m: float = 1.0, bore_m: float = 0.01, mirrored: bool = False
) -> Part:
    """The drawn panel; mirrored about its middle across the length, fibres and all."""

    def x_m(share: float) -> float:
        return length_m * (1 - share if mirrored else share)

    turn = -1 if mirrored else 1
    half_m = length_m / 2
    lines = tuple(
        mould.feed_line(
            str(k),
            (x_m(share), 0.1 * half_m),
            (x_m(share), 0.9 * half_m),
            bore_m=bore_m,
            hose_length_m=0.1 * length_m,
        )
        for k, share in enumerate(drawn.lines_at)
    )
    left, right = sorted((x_m(drawn.patch_at), x_m(drawn.patch_at + 0.2)))
    patch = LaminateArea(
        name="patch",
        laminate=mould.laminate(drawn.patch_permeability_m2),
        border_m=((left, 0.2 * half_m), (right, 0.2 * half_m), (right, 0.6 * half_m), (left, 0.6 * half_m)),
    )
    vents = (mould.vent("V", (0.0, 0.0), (0.0, half_m)), mould.vent("W", (length_m, 0.0), (length_m, half_m)))
    laminate = mould.laminate(1e-9, across_m2=4e-10, angle_rad=turn * drawn.angle_rad)
    return mould.panel(length_m, half_m, laminate, lines, vents, patches=(patch,))


def played(mould: Any, part: Part, drawn: Drawn, cell_m: float, **how: float) -> tuple[Any, FillRun]:
    labels = [str(k) for k in range(len(drawn.lines_at))]
    rest = [mould.open_on_reach(label) for label in labels if label != str(drawn.first)]
    filled = mould.fill(part, cell_m, *mould.open_at_start(str(drawn.first)), *rest, **how)
    return filled.network, filled.run


def cells_s(network: Any, run: FillRun) -> np.ndarray:
    return run.arrival_s[: network.cell_count]


def check_times(expected_s: np.ndarray, found_s: np.ndarray) -> None:
    assert np.isfinite(expected_s).all()
    assert found_s.max() == pytest.approx(expected_s.max(), rel=WET_OUT)
    assert found_s == pytest.approx(expected_s, abs=STEP * expected_s.max())


@given(drawn=drawn_panels(), factor=st.sampled_from([0.5, 2.0, 3.7]))
@few
def test_time_goes_with_viscosity_and_the_pattern_stays(mould: Any, drawn: Drawn, factor: float) -> None:
    """Twice the viscosity, twice every arrival, and the lines opened in the same order."""
    part = part_of(mould, drawn)
    network, thin = played(mould, part, drawn, 0.05, viscosity_pa_s=0.2)
    _, thick = played(mould, part, drawn, 0.05, viscosity_pa_s=0.2 * factor)
    check_times(factor * cells_s(network, thin), cells_s(network, thick))
    assert [one.step.label for one in thick.steps] == [one.step.label for one in thin.steps]


@given(drawn=drawn_panels(), factor=st.sampled_from([0.25, 0.5, 1.1]))
@few
def test_time_goes_against_pressure(mould: Any, drawn: Drawn, factor: float) -> None:
    """Half the pressure, twice every arrival."""
    part = part_of(mould, drawn)
    network, full = played(mould, part, drawn, 0.05, pressure_pa=9e4)
    _, less = played(mould, part, drawn, 0.05, pressure_pa=9e4 * factor)
    check_times(cells_s(network, full) / factor, cells_s(network, less))


@given(drawn=drawn_panels(), factor=st.sampled_from([0.5, 2.0, 3.0]))
@few
def test_time_goes_with_the_square_of_length(mould: Any, drawn: Drawn, factor: float) -> None:
    """Twice all lengths in the plane, as many cells: four times every arrival.

    A pipe conducts as bore^4 / length where the sheet conducts the same at any size, and holds bore^2 length
    where the sheet holds length^2. No one bore keeps both: bores go with the root of length, which keeps the
    volumes, and are wide enough, 16 mm for a metre, that nothing is lost along them.
    """
    network, small = played(mould, part_of(mould, drawn, bore_m=0.016), drawn, 0.05)
    large_part = part_of(mould, drawn, length_m=factor, bore_m=0.016 * factor**0.5)
    _, large = played(mould, large_part, drawn, 0.05 * factor)
    check_times(factor**2 * cells_s(network, small), cells_s(network, large))


@given(drawn=drawn_panels())
@few
def test_mirrored_panel_fills_in_the_mirror(mould: Any, drawn: Drawn) -> None:
    """Cell for cell the same arrivals, and as much locked on the way."""
    network, one = played(mould, part_of(mould, drawn), drawn, 0.05)
    other_network, other = played(mould, part_of(mould, drawn, mirrored=True), drawn, 0.05)
    order = np.lexsort(
        (network.y_m[: network.cell_count].round(6), network.x_m[: network.cell_count].round(6))
    )
    opposite_m = (1.0 - other_network.x_m[: other_network.cell_count]).round(6)
    other_order = np.lexsort((other_network.y_m[: other_network.cell_count].round(6), opposite_m))
    check_times(cells_s(network, one)[order], cells_s(other_network, other)[other_order])
    assert sum(lock.area_m2 for lock in one.locks) == pytest.approx(
        sum(lock.area_m2 for lock in other.locks), abs=0.01
    )
