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


def margin_as_printed_min(wet_out_s: float | None, gel_limit_s: float | None) -> float | None:
    """Printed limit less printed wet-out, so that a line adds up: up to two tenths below the margin.

    Never below 0 for what is in time: there a line may be two tenths off.
    """
    wet_out, limit = wet_out_min(wet_out_s), limit_min(gel_limit_s)
    if wet_out_s is None or gel_limit_s is None or wet_out is None or limit is None:
        return None
    margin = round(limit - wet_out, 1)
    return max(margin, 0.0) if wet_out_s <= gel_limit_s else margin


def _tenths(time_s: float | None, rounded: Callable[[float], int]) -> float | None:
    """To six decimals first, so that the noise of floating point does not move a whole tenth."""
    return None if time_s is None else rounded(round(min_from_s(time_s) * 10, 6)) / 10
