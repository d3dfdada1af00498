"""Minutes with one decimal, as a planner reads them: rounded to the side that can do no harm, in one place for all.

Wet-out goes up, the limit goes down, so a time that is too late is never printed as one that is not. The margin is the
difference of both as they are printed, so that every line adds up.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from optimiser.units import min_from_s


def wet_out_min(wet_out_s: float | None) -> float | None:
    """Infinity, never all wet, stays so."""
    return _tenths(wet_out_s, math.ceil)


def limit_min(gel_limit_s: float | None) -> float | None:
    return _tenths(gel_limit_s, math.floor)


def margin_min(gel_limit_s: float | None, wet_out_s: float | None) -> float | None:
    """Limit less wet-out; negative: too late."""
    limit, wet_out = limit_min(gel_limit_s), wet_out_min(wet_out_s)
    return None if limit is None or wet_out is None else round(limit - wet_out, 1)


def minutes_up(time_s: float) -> str:
    """Whole minutes of something that takes that long, or is not sooner: what is printed is never less."""
    return _whole(time_s, math.ceil)


def minutes_down(time_s: float) -> str:
    """Whole minutes of a limit: what is printed never allows more."""
    return _whole(time_s, math.floor)


def _whole(time_s: float, rounded: Callable[[float], int]) -> str:
    return f"{rounded(round(min_from_s(time_s), 6))}" if math.isfinite(time_s) else "never"


def _tenths(time_s: float | None, rounded: Callable[[float], int]) -> float | None:
    """To six decimals first, so that the noise of floating point does not move a whole tenth."""
    if time_s is None or math.isinf(time_s):
        return time_s
    return rounded(round(min_from_s(time_s) * 10, 6)) / 10
