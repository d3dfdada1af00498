"""Minutes with one decimal, as a planner reads them: rounded to the side that can do no harm.

Wet-out goes up, limit and margin go down, so a time that is too late is never printed as one that is not. A difference
of two printed times may therefore be a tenth off the printed margin.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from optimiser.units import min_from_s


def wet_out_min(wet_out_s: float | None) -> float | None:
    return _tenths(wet_out_s, math.ceil)


def limit_min(gel_limit_s: float | None) -> float | None:
    return _tenths(gel_limit_s, math.floor)


def margin_min(margin_s: float | None) -> float | None:
    return _tenths(margin_s, math.floor)


def _tenths(time_s: float | None, rounded: Callable[[float], int]) -> float | None:
    """To six decimals first, so that the noise of floating point does not move a whole tenth."""
    return None if time_s is None else rounded(round(min_from_s(time_s) * 10, 6)) / 10
