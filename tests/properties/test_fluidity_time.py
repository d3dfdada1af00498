"""Fluidity time: one run's arrivals, put on another resin's clock, are that resin's own run.

Holds where viscosity is uniform, no flow cap binds and no hands take time: the path depends on the integral
of dt / viscosity alone (put it for time in Darcy's law). Then a stored plan is revalidated by table look-up.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from optimiser.filling.fluidity_time import FluidityClock
from optimiser.part.sequence import Step
from optimiser.part.shot import Crew
from optimiser.physics.closed_form import linear_fill_time_s, time_while_thickening_s

few = settings(max_examples=8, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate))
READ_OFF = 0.02
"""Steps of the two runs differ, and an arrival is read off within one: this share of the wet-out time."""
FIRST_PA_S = 0.2


def thickening_clock(growth_1_s: float, *, until_s: float = 4e4) -> FluidityClock:
    """Viscosity 0.2 exp(k t), tabled every 20 s: theta = (1 - exp(-k t)) / (0.2 k)."""
    time_s = np.arange(0.0, until_s, 20.0)
    theta = time_s if growth_1_s == 0 else -np.expm1(-growth_1_s * time_s) / growth_1_s
    return FluidityClock(time_s=time_s, theta_per_pa=theta / FIRST_PA_S)


@pytest.fixture(scope="module")
def network(mould: Any) -> Any:
    lines = tuple(mould.feed_line(str(k), (x_m, 0.0), (x_m, 0.5)) for k, x_m in enumerate((0.31, 1.01, 1.61)))
    vents = (mould.vent("V", (0.0, 0.0), (0.0, 0.5)), mould.vent("W", (2.0, 0.0), (2.0, 0.5)))
    return mould.reduce(mould.panel(2.0, 0.5, mould.laminate(), lines, vents), 0.1)


def by_fronts(mould: Any) -> tuple[Step, ...]:
    return (*mould.open_at_start("1"), mould.open_on_reach("0", share=0.7), mould.open_on_reach("2"))


@given(growth_per_hour=st.floats(0.0, 6.0))
@few
def test_arrivals_of_one_resin_give_those_of_another_by_their_clocks(
    mould: Any, network: Any, growth_per_hour: float
) -> None:
    """From a constant viscosity to one that grows up to e^6 an hour: t2 = time2(theta1(t1)) at every cell."""
    constant = FluidityClock.of_constant_viscosity(FIRST_PA_S)
    thickening = thickening_clock(growth_per_hour / 3600.0)
    one = mould.fill_network(network, *by_fronts(mould), clock=constant)
    two = mould.fill_network(network, *by_fronts(mould), clock=thickening)
    cells = slice(0, network.cell_count)
    mapped_s = np.array([thickening.time(constant.theta(at_s)) for at_s in one.arrival_s[cells]])
    assert two.arrival_s[cells] == pytest.approx(mapped_s, abs=READ_OFF * mapped_s.max())
    assert two.wet_out_s == pytest.approx(mapped_s.max(), rel=5e-3)
    opened_s = [thickening.time(constant.theta(step.done_s)) for step in one.steps]
    assert [step.done_s for step in two.steps] == pytest.approx(opened_s, rel=0.01)


def test_strip_of_thickening_resin_takes_the_exact_time(mould: Any) -> None:
    """t = -ln(1 - k tau) / k (closed_form.time_while_thickening_s, derived), k = 1 / 14400 s."""
    part = mould.strip(2.0, 40, mould.laminate())
    growth_1_s = 1 / 14400.0
    clock = thickening_clock(growth_1_s)
    filled = mould.fill(part, 0.05, *mould.open_at_start("0"), clock=clock)
    tau_s = linear_fill_time_s(
        porosity=0.5,
        viscosity_pa_s=FIRST_PA_S,
        length_m=2.0,
        permeability_m2=1e-9,
        pressure_difference_pa=9e4,
    )
    expected_s = time_while_thickening_s(constant_viscosity_time_s=tau_s, growth_1_s=growth_1_s)
    assert filled.run.wet_out_s == pytest.approx(expected_s, rel=5e-3)


@given(growth_per_hour=st.floats(0.1, 6.0), time_s=st.floats(0.0, 7200.0))
@few
def test_clock_is_the_integral_of_fluidity_and_runs_back(growth_per_hour: float, time_s: float) -> None:
    """Against SciPy's quadrature; there and back is the same moment.

    The table is straight over 20 s: h^2 k / (8 mu) at most, 0.5 / Pa at 6 / h, a tenth of a second.
    """
    growth_1_s = growth_per_hour / 3600.0
    clock = thickening_clock(growth_1_s)
    expected, _ = quad(lambda t: np.exp(-growth_1_s * t) / FIRST_PA_S, 0.0, time_s)
    assert clock.theta(time_s) == pytest.approx(expected, abs=0.5)
    assert clock.time(clock.theta(time_s)) == pytest.approx(time_s, abs=1e-6 * (1.0 + time_s))


def test_hands_that_take_seconds_break_the_shortcut(mould: Any, network: Any) -> None:
    """The reason why it is not used then: with a minute a tap, half the viscosity does not halve the time."""
    slow_hands = Crew(hands=1, action_s=60.0)
    thick, thin = (
        mould.fill_network(network, *by_fronts(mould), viscosity_pa_s=mu, crew=slow_hands).wet_out_s
        for mu in (0.2, 0.1)
    )
    assert thin > 1.05 * thick / 2
