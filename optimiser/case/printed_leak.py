"""A leak rate in plain figures."""

from __future__ import annotations

import math

_FIGURES = 2


def printed_leak(mbar_litres_per_s: float) -> str:
    """Two figures where it is below ten, whole numbers above, never a power of ten: 0.42, 8.3, 167."""
    if mbar_litres_per_s <= 0:
        return "0"
    decimals = _FIGURES - 1 - math.floor(math.log10(mbar_litres_per_s))
    return f"{mbar_litres_per_s:.{max(0, decimals)}f}"
