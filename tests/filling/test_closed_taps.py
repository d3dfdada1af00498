"""A tap that is closed lets nothing in; in a rigid bag the front then stands where it is, and goes on from there."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from optimiser.part.sequence import Action
from optimiser.physics.closed_form import linear_fill_time_s

LENGTH_M = 1.0
FILL_S = linear_fill_time_s(
    length_m=LENGTH_M, porosity=0.5, viscosity_pa_s=0.25, permeability_m2=1e-9, pressure_difference_pa=9e4
)
"""Darcy's law and volume balance along a strip."""
HOSE = 5e-3
"""Share by which filling the hose and steps of the run may move it."""


@pytest.fixture(scope="module")
def paused(mould: Any) -> Any:
    """Closed at a quarter of the fill time, opened again a whole fill time later."""
    part = mould.strip(LENGTH_M, 20, mould.laminate())
    shut, again = 0.25 * FILL_S, 1.25 * FILL_S
    steps = (mould.at_clock(Action.CLOSE, "0", shut), mould.at_clock(Action.OPEN, "0", again))
    return mould.fill(part, LENGTH_M / 20, *mould.open_at_start("0"), *steps)


def test_nothing_comes_in_while_it_is_closed(paused: Any) -> None:
    """What the line has drawn at the close is half of the strip, and no more until it is opened again."""
    history = paused.run.history
    shut = (history.time_s > 0.26 * FILL_S) & (history.time_s <= 1.25 * FILL_S)
    drawn_m3 = history.line_drawn_m3[:, 0]
    at_close_m3 = float(np.interp(0.25 * FILL_S, history.time_s, drawn_m3))
    assert np.all(np.abs(drawn_m3[shut] - at_close_m3) < 1e-9 * at_close_m3)
    assert history.wet_share[shut] == pytest.approx(0.5, rel=0.02)


def test_the_front_goes_on_from_where_it_stood(paused: Any) -> None:
    """Wet a whole pause later than the strip that was never closed."""
    assert paused.run.wet_out_s == pytest.approx(2 * FILL_S, rel=HOSE)


def test_a_closed_line_gives_a_capped_supply_to_another(mould: Any) -> None:
    """Lines at both ends of a strip, its vent between them, and a pump that gives less than either could take: with one
    closed from half of the time on, all that the pump gives goes through the other."""
    part = mould.strip(LENGTH_M, 20, mould.laminate(), lines_at_m=(0.0, 0.5))
    pores_m3 = LENGTH_M * (LENGTH_M / 20) * 5e-3 * 0.5
    flow_m3_s = pores_m3 / (20 * FILL_S)
    shut_s = 5 * FILL_S
    steps = (*mould.open_at_start("0", "1"), mould.at_clock(Action.CLOSE, "0", shut_s))
    run = mould.fill(part, LENGTH_M / 20, *steps, most_flow_m3_s=flow_m3_s, smallest_lock_m2=1.0).run
    drawn_m3, time_s = run.history.line_drawn_m3, run.history.time_s
    later = (time_s > 1.01 * shut_s) & (time_s < 1.5 * shut_s)
    through = np.diff(drawn_m3[later, 1]) / np.diff(time_s[later])
    assert through == pytest.approx(flow_m3_s, rel=1e-6)
