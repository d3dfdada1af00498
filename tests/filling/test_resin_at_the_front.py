"""How old the resin is that wets a place: first in stays first at the front."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from optimiser.part.sequence import Action

few = settings(max_examples=6, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate))
CELLS = 40
LATE_S = 100.0


def test_in_plug_flow_the_age_at_arrival_is_the_time_of_arrival(mould: Any) -> None:
    """One line, open from the start: what wets a cell came in at 0 (plug flow, derived)."""
    filled = mould.fill(mould.strip(2.0, CELLS, mould.laminate()), 2.0 / CELLS, *mould.open_at_start("0"))
    cells = slice(0, filled.network.cell_count)
    ages_s = filled.run.arrival_s[cells] - filled.run.entered_s[cells]
    assert ages_s == pytest.approx(filled.run.arrival_s[cells])
    assert np.isfinite(ages_s).all()


def test_a_line_opened_ahead_of_the_front_begins_with_its_own_resin(mould: Any) -> None:
    """With a dry bay between: from the second line on, all counts from its opening; behind it, from the first."""
    strip = mould.strip(2.0, CELLS, mould.laminate(), lines_at_m=(0.0, 1.0))
    steps = (*mould.open_at_start("0"), mould.at_clock(Action.OPEN, "1", LATE_S))
    filled = mould.fill(strip, 2.0 / CELLS, *steps)
    network, run = filled.network, filled.run
    x_m = network.x_m[: network.cell_count]
    front_s = run.arrival_s[: network.cell_count][x_m < 0.9]
    assert front_s[np.argmax(x_m[x_m < 0.9])] > LATE_S
    entered_s = run.entered_s[: network.cell_count]
    assert entered_s[x_m > 1.05] == pytest.approx(LATE_S, abs=0.1)
    first = (x_m < 0.9) & (run.source[: network.cell_count] == 0)
    assert first.any()
    assert entered_s[first] == pytest.approx(0.0)


def test_a_line_opened_behind_the_front_makes_the_front_no_younger(mould: Any) -> None:
    """The resin of the first line is pushed on ahead of its own."""
    strip = mould.strip(2.0, CELLS, mould.laminate(), lines_at_m=(0.0, 1.0))
    filled = mould.fill(strip, 2.0 / CELLS, *mould.open_at_start("0"), mould.open_on_reach("1", delay_s=30.0))
    assert [step.done_s for step in filled.run.steps][1] > LATE_S
    cells = slice(0, filled.network.cell_count)
    assert filled.run.entered_s[cells] == pytest.approx(0.0)


@given(opens_s=st.lists(st.floats(0.0, 400.0), min_size=2, max_size=2))
@few
def test_no_resin_at_the_front_came_in_at_another_time_than_a_tap_was_opened(
    mould: Any, opens_s: list[float]
) -> None:
    """And never after it came to the place, whatever is opened when, in two dimensions with a middle line first."""
    lines = tuple(mould.feed_line(str(k), (x_m, 0.1), (x_m, 0.5)) for k, x_m in enumerate((0.31, 1.01, 1.61)))
    vents = (mould.vent("V", (0.0, 0.0), (0.0, 0.6)), mould.vent("W", (2.0, 0.0), (2.0, 0.6)))
    part = mould.panel(2.0, 0.6, mould.laminate(), lines, vents)
    steps = [mould.at_clock(Action.OPEN, label, at_s) for label, at_s in zip("02", opens_s, strict=True)]
    run = mould.fill(part, 0.1, *mould.open_at_start("1"), *steps).run
    wet = np.isfinite(run.arrival_s)
    assert (run.entered_s[wet] <= run.arrival_s[wet]).all()
    opened_s = np.array([0.0, *opens_s])
    away_s = np.abs(run.entered_s[wet][:, None] - opened_s).min(axis=1)
    assert away_s.max() < 1e-2
    assert run.entered_s[wet].min() == 0.0
