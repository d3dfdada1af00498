"""Quantiles of times that may be 'never'."""

from __future__ import annotations

import math
from collections.abc import Sequence

QUANTILES = (0.05, 0.5, 0.95)


def quantiles_of(times_s: Sequence[float]) -> tuple[float, ...]:
    """At the shares QUANTILES: the least time that at least this share of all times does not exceed.

    Definition 1 of Hyndman and Fan, The American Statistician 50(4):361-365, 1996 (from memory): always one of the
    times, so infinity (never) needs no rule of its own. One time or more, else ValueError.
    """
    ordered = sorted(times_s)
    if not ordered:
        raise ValueError("quantiles of no times at all")
    return tuple(ordered[max(0, math.ceil(share * len(ordered) - 1e-9) - 1)] for share in QUANTILES)
