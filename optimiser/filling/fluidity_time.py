"""Fluidity time: the clock on which the fill pattern is the same for every resin."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optimiser.network.flow_network import FloatArray
from optimiser.physics.thickening import fluidity_time_1_pa


@dataclass(frozen=True, kw_only=True)
class FluidityClock:
    """theta(t) = integral of dt / viscosity, straight between the table's points and beyond its last.

    Where viscosity is the same all over the part at any moment, the front's path depends on theta alone.
    """

    time_s: FloatArray
    theta_per_pa: FloatArray

    @staticmethod
    def of_constant_viscosity(viscosity_pa_s: float) -> FluidityClock:
        return FluidityClock(time_s=np.array([0.0, 1.0]), theta_per_pa=np.array([0.0, 1.0 / viscosity_pa_s]))

    @staticmethod
    def of_viscosities(time_s: FloatArray, viscosity_pa_s: FloatArray) -> FluidityClock:
        """From viscosities at moments in order, some of them before 0, one at 0; a jump stands twice.

        Fluidity in between by trapezoids.
        """
        theta = fluidity_time_1_pa(time_s=time_s, viscosity_pa_s=viscosity_pa_s)
        moments, first = np.unique(time_s, return_index=True)
        theta = theta[first] - theta[first][np.searchsorted(moments, 0.0)]
        of_shot = moments >= 0.0
        return FluidityClock(time_s=moments[of_shot], theta_per_pa=theta[of_shot])

    @property
    def constant(self) -> bool:
        """Two points: one viscosity for good."""
        return len(self.time_s) == 2

    def theta(self, time_s: float) -> float:
        return _straight(time_s, *self._table)

    def time(self, theta_per_pa: float) -> float:
        times_s, thetas_1_pa = self._table
        return _straight(theta_per_pa, thetas_1_pa, times_s)

    def as_fresh_s(self, from_s: float, for_s: float) -> float:
        """How long the front would take with the first viscosity for what it does from then on in that time."""
        if self.constant:
            return for_s
        return (self.theta(from_s + for_s) - self.theta(from_s)) * self._first_pa_s

    def lasting_s(self, from_s: float, as_fresh_s: float) -> float:
        """How long it takes from then on for what it does with the first viscosity in that time."""
        if self.constant:
            return as_fresh_s
        return self.time(self.theta(from_s) + as_fresh_s / self._first_pa_s) - from_s

    def fresh_s(self, moments_s: FloatArray) -> FloatArray:
        """Moments on a clock that runs as fast as the front: with it, fresh resin would be as far."""
        if self.constant:
            return moments_s
        last_1_pa_s = (self.theta_per_pa[-1] - self.theta_per_pa[-2]) / (self.time_s[-1] - self.time_s[-2])
        beyond = np.maximum(moments_s - self.time_s[-1], 0.0) * last_1_pa_s
        return np.asarray((np.interp(moments_s, self.time_s, self.theta_per_pa) + beyond) * self._first_pa_s)

    @cached_property
    def _table(self) -> tuple[list[float], list[float]]:
        """As plain numbers: a run looks things up one at a time, and often."""
        return self.time_s.tolist(), self.theta_per_pa.tolist()

    @property
    def _first_pa_s(self) -> float:
        return float((self.time_s[1] - self.time_s[0]) / (self.theta_per_pa[1] - self.theta_per_pa[0]))


def _straight(x: float, xs: list[float], ys: list[float]) -> float:
    k = min(max(bisect_right(xs, x) - 1, 0), len(xs) - 2)
    return float(ys[k] + (x - xs[k]) * (ys[k + 1] - ys[k]) / (xs[k + 1] - xs[k]))
