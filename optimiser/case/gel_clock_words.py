"""The resin's age in a plan, in words."""

from __future__ import annotations

import math

from optimiser.case.gel_clock_document import GelClock
from optimiser.case.plan_document import PlanDocument
from optimiser.units import min_from_s

_MOST_ROWS = 8


def gel_clock_lines(plan: PlanDocument) -> list[str]:
    """Where gel is tightest and how thick the resin gets; none where the case does not follow its age."""
    clock = plan.gel_clock
    if clock is None:
        return []
    return [*_tightest(clock), *_thickens(clock)]


def _tightest(clock: GelClock) -> list[str]:
    if clock.least_margin_s is None or clock.age_there_s is None:
        return []
    whose = "the oldest resin" if clock.judged_by == "oldest_resin" else "resin at each place"
    age_min, limit_min = math.ceil(min_from_s(clock.age_there_s)), math.floor(min_from_s(clock.age_limit_there_s))
    return [
        f"Gel is judged by {whose}. Tightest at {clock.least_margin_at}: {age_min} min old when it is wet, limit "
        f"{limit_min} min."
    ]


def _thickens(clock: GelClock) -> list[str]:
    end_mpa_s = clock.viscosity_wet_out_mpa_s
    if end_mpa_s is None or math.isclose(end_mpa_s, clock.viscosity_first_tap_mpa_s, rel_tol=1e-6):
        return []
    return [
        f"The run counts with resin of {clock.viscosity_first_tap_mpa_s:.0f} mPa s at the first tap and "
        f"{end_mpa_s:.0f} mPa s at wet-out."
    ]


def temperatures_words(plan: PlanDocument) -> str | None:
    """Mould and resin over the shot; None: they stay. The last of many rows always stands."""
    rows = [] if plan.gel_clock is None else plan.gel_clock.temperatures
    if not rows:
        return None
    shown = rows if len(rows) <= _MOST_ROWS else [*rows[: _MOST_ROWS - 1], rows[-1]]
    return "; ".join(
        f"min {min_from_s(row.at_s):g}: {row.mould_temperature_c:g} / {row.resin_temperature_c:g} °C" for row in shown
    )
