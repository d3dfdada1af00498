"""One front against one gel clock: what comes of the sequence at a setting."""

from __future__ import annotations

import math

from optimiser.case.printed_minutes import margin_min, wet_out_min
from optimiser.revalidation.resin_now import ResinNow
from optimiser.sweep.fronts import Front
from optimiser.sweep.settings import Setting
from optimiser.sweep.sweep_document import CellState, SweepCell


def cell_of(setting: Setting, now: ResinNow, front: Front, gel_fraction: float, *, own: bool) -> SweepCell:
    limit_s = now.gel_limit_s if front.gel_limit_s is None else front.gel_limit_s
    if limit_s is None:
        limit_s = now.gel_time_s * gel_fraction
    state, reason = _weighed(front, limit_s)
    return SweepCell(
        mould_temperature_c=setting.mould_temperature_c,
        resin_temperature_c=setting.resin_temperature_c,
        initiator_percent=setting.initiator_percent,
        own=own,
        state=state,
        way=front.way,
        reason=reason,
        viscosity_mpa_s=1e3 * now.viscosity_pa_s,
        wet_out_s=_finite(front.wet_out_s),
        latest_wet_out_s=_finite(front.latest_wet_out_s),
        gel_time_s=now.gel_time_s,
        gel_limit_s=limit_s,
        gel_margin_s=_finite(limit_s - front.wet_out_s),
        resin_kg=front.resin_kg,
        initiator_kg=front.resin_kg * setting.initiator_percent / 100.0,
    )


def cell_without(setting: Setting, reason: str, *, own: bool) -> SweepCell:
    """Nothing is said of this setting but why."""
    return SweepCell(
        mould_temperature_c=setting.mould_temperature_c,
        resin_temperature_c=setting.resin_temperature_c,
        initiator_percent=setting.initiator_percent,
        own=own,
        state=CellState.NOT_JUDGED,
        way=None,
        reason=reason,
    )


def _weighed(front: Front, limit_s: float) -> tuple[CellState, str]:
    if front.failure is not None:
        return CellState.FAILS, front.failure
    if front.wet_out_s > limit_s:
        margin = margin_min(limit_s, _finite(front.wet_out_s))
        return CellState.LATE, "never wet" if margin is None else f"wet {-margin:.1f} min after the gel limit"
    latest_s = front.latest_wet_out_s
    if latest_s is None or latest_s <= limit_s:
        return CellState.HOLDS, ""
    when = f"only at minute {wet_out_min(latest_s):.1f}" if math.isfinite(latest_s) else "never"
    return CellState.TIGHT, f"with the stated spread of permeability the last place may be wet {when}"


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
