"""The warning that one of the runs with changed permeability is wet only after the gel limit."""

from __future__ import annotations

import math

from optimiser.units import min_from_s


def late_spread(wet_out_s: float, latest_s: float, limit_s: float) -> str | None:
    """None where the latest of these runs is in time, or the plan itself is late. Infinity: never all wet."""
    if latest_s <= limit_s or wet_out_s > limit_s:
        return None
    when = f"at minute {min_from_s(latest_s):.0f}" if math.isfinite(latest_s) else "not at all"
    return (
        f"with the stated spread of permeability the last place may be wet only {when}, "
        f"after the gel limit of minute {min_from_s(limit_s):.0f}"
    )
