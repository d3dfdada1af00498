"""Exact times of a strip fed by parallel lines: what the order of opening gains, and what being late costs.

Lines at x = 0, s, 2 s ... of one even strip; the bay time is that of one run over the spacing s.
Derived from the straight front of `closed_form`: its time grows with the square of its run. Range, all of them, not
checked: one bay or more, times and spacing above 0, lines that hold their full pressure, resin that does not thicken.
"""

from __future__ import annotations


def single_inlet_time_s(*, bays: int, bay_time_s: float) -> float:
    """Wet-out from the first line alone: N^2 bay times, since the time of one run grows with its square.

    Range: that of the file.
    """
    return bays**2 * bay_time_s


def lines_in_turn_time_s(*, bays: int, bay_time_s: float) -> float:
    """Wet-out with each line opened just as the front reaches it: N bay times.

    Both neighbours then stand at inlet pressure, nothing flows between them, and each bay is a fresh run. Range: that
    of the file.
    """
    return bays * bay_time_s


def lines_late_time_s(*, bays: int, bay_time_s: float, spacing_m: float, late_m: float) -> float:
    """Wet-out with each line opened when the front is `late_m` past it: t_bay [N + 2 (N - 1) d / s].

    Range: that of the file; exact for d from 0 to s.
    """
    return bay_time_s * (bays + 2 * (bays - 1) * late_m / spacing_m)


def fronts_meet_time_s(*, bay_time_s: float) -> float:
    """Two neighbours opened at once: their fronts meet midway at a quarter of the bay time.

    What lies between them is trapped there unless a vent does. Range: that of the file, fronts under one pressure.
    """
    return bay_time_s / 4
