"""Exact times of a strip fed by parallel lines: what the order of opening gains, and what being late costs.

Lines at x = 0, s, 2 s ... of one even strip; the bay time is that of one run over the spacing s.
"""

from __future__ import annotations


def single_inlet_time_s(*, bays: int, bay_time_s: float) -> float:
    """Wet-out, s, from the first line alone: t = N^2 t_bay, t_bay, s, the time of one run over the spacing.

    Range: one bay or more, times above 0, lines that hold their full pressure, resin that does not thicken; not
    checked. Source: derived from the straight front, whose time grows with the square of its run.
    """
    return bays**2 * bay_time_s


def lines_in_turn_time_s(*, bays: int, bay_time_s: float) -> float:
    """Wet-out, s, with each line opened just as the front reaches it: t = N t_bay, t_bay, s, that of one bay.

    Both neighbours then stand at inlet pressure, nothing flows between them, and each bay is a fresh run. Range: one
    bay or more, times above 0, lines that hold their full pressure, resin that does not thicken; not checked. Source:
    derived from the straight front, whose time grows with the square of its run.
    """
    return bays * bay_time_s


def lines_late_time_s(*, bays: int, bay_time_s: float, spacing_m: float, late_m: float) -> float:
    """Wet-out, s, with each line opened when the front is d past it: t = t_bay [N + 2 (N - 1) d / s].

    t_bay in s, d = `late_m` and the spacing s in m. Range: exact for d from 0 to s; one bay or more, times above 0,
    lines that hold their full pressure, resin that does not thicken; not checked. Source: derived from the straight
    front, whose time grows with the square of its run.
    """
    return bay_time_s * (bays + 2 * (bays - 1) * late_m / spacing_m)


def fronts_meet_time_s(*, bay_time_s: float) -> float:
    """Two neighbours opened at once: their fronts meet midway at t = t_bay / 4, in s as the bay's own time.

    What lies between them is trapped there unless a vent does. Range: both fronts under one pressure, bay time above 0,
    resin that does not thicken; not checked. Source: derived from the straight front, whose time grows with the square
    of its run.
    """
    return bay_time_s / 4
