"""Judge a stored plan by look-up in its fluidity time, and only where that is what its runs would find.

With viscosity mu the same all over the part, the front's path depends on theta = integral dt / mu alone, so at a
constant viscosity every time of it goes with mu (put theta for time in Darcy's law). That breaks where something goes
by another clock: a flow cap, a trigger by the clock or with a delay, the hands of the crew; or where gravity, which
goes with density, shifts against the driving pressure.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from optimiser.case.change_document import ChangeDocument
from optimiser.case.printed_minutes import wet_out_min
from optimiser.part.sequence import TriggerKind
from optimiser.plan.scenes import LONGEST_OVER_GEL
from optimiser.revalidation.answer import Answer, CannotJudge, CannotLookUp, Found, Way, answer_of, has_moved
from optimiser.revalidation.clocks import Clocks, clocks_of_change
from optimiser.revalidation.facts import Facts, StepFact
from optimiser.revalidation.resin_now import ResinNow, resin_now
from optimiser.revalidation.sheet_times import changed_conditions, changed_quantities
from optimiser.units import mbar_from_pa, pa_from_mbar

LITTLE: Final = 1e-3
"""Share of wet-out by which a look-up in fluidity time may be off, far more than rounding: nearer to the gel limit
than this, the runs decide."""
_MOST_NAMED: Final = 4
_SAME: Final = 1e-9
"""Relative: only rounding lies between."""


def look_up(facts: Facts, change: ChangeDocument) -> Answer | CannotLookUp | CannotJudge:
    """The answer that the runs would give, wet-out to 0.1 %, or why they have to be played."""
    now = resin_now(
        facts.resin,
        change,
        _first(change.mould_temperature_c, facts.mould_temperature_c),
        _first(change.resin_temperature_c, facts.resin_temperature_c),
    )
    if isinstance(now, CannotJudge):
        return now
    if facts.wet_out_s is None or None in facts.spread_wet_out_s:
        return CannotLookUp(reason="in the stored runs some of the part stays dry, and when runs end goes with gel")
    if facts.mixes_timed:
        return CannotLookUp(reason="each mix has a gel clock of its own, and when it begins goes with the run")
    clocks = clocks_of_change(facts, change)
    if isinstance(clocks, CannotLookUp):
        return clocks
    stretch = _steady_stretch(facts, now) if clocks is None else _stretch_of(clocks)
    why = _other_pattern(facts, change, now) or ("" if stretch.same else _other_clock(facts, stretch))
    fraction = facts.gel_fraction if change.gel_fraction_percent is None else change.gel_fraction_percent / 100.0
    gel_time_s = now.gel_time_s if clocks is None else clocks.now.gel_time_s
    found = Found(
        wet_out_s=stretch.time_s(facts.wet_out_s),
        gel_time_s=gel_time_s,
        gel_limit_s=gel_time_s * fraction if clocks is None else clocks.now.limit_s(fraction),
        gel_fraction=fraction,
        other_failure=facts.other_failure,
        moved=(*changed_conditions(facts, change), *_moved(facts, now, stretch)),
    )
    why = why or _late_on_finer(facts, found, stretch)
    why = why or _runs_end_otherwise(facts, found, stretch) or ("" if stretch.same else _near_the_limit(found))
    return CannotLookUp(reason=why) if why else answer_of(facts, found, Way.LOOK_UP)


@dataclass(frozen=True, kw_only=True)
class _Stretch:
    """What a change of viscosity makes of the front's times."""

    same: bool
    time_s: Callable[[float], float]
    says: str


def _steady_stretch(facts: Facts, now: ResinNow) -> _Stretch:
    """Viscosity stays as it is over the shot: all times go with it."""
    ratio = now.viscosity_pa_s / facts.viscosity_pa_s
    same = math.isclose(ratio, 1.0, rel_tol=_SAME)
    ratio = 1.0 if same else ratio
    return _Stretch(same=same, time_s=lambda at_s: ratio * at_s, says=f"the viscosity changes by {ratio - 1:+.1%}")


def _stretch_of(clocks: Clocks) -> _Stretch:
    """The front is as far as it was when the same fluidity time has passed."""
    if clocks.same:
        return _Stretch(same=True, time_s=lambda at_s: at_s, says="")
    return _Stretch(same=False, time_s=clocks.time_now_s, says="the viscosity takes another course over the shot")


def _other_pattern(facts: Facts, change: ChangeDocument, now: ResinNow) -> str:
    """Why the front may take another path, '' if it does not."""
    ambient = _first(change.ambient_mbar_abs, facts.ambient_mbar_abs)
    cap = facts.pressure_cap_mbar_abs
    if cap is not None and cap > ambient:
        return f"the machine's pressure cap, {cap:g} mbar absolute, is above ambient, {ambient:g} mbar"
    driving_pa = pa_from_mbar((ambient if cap is None else cap) - _first(change.vacuum_mbar_abs, facts.vacuum_mbar_abs))
    if not math.isclose(driving_pa, facts.driving_pa, rel_tol=_SAME):
        before, after = mbar_from_pa(facts.driving_pa), mbar_from_pa(driving_pa)
        return f"the driving pressure goes from {before:.1f} to {after:.1f} mbar"
    compaction_mbar = ambient - _first(change.vacuum_mbar_abs, facts.vacuum_mbar_abs)
    before_mbar = facts.ambient_mbar_abs - facts.vacuum_mbar_abs
    if facts.bag_gives and not math.isclose(compaction_mbar, before_mbar, rel_tol=_SAME):
        return f"the bag gives, and what presses on it goes from {before_mbar:.1f} to {compaction_mbar:.1f} mbar"
    density = facts.resin.density_kg_m3
    if math.isclose(now.density_kg_m3, density, rel_tol=_SAME):
        return ""
    changed = f"the density goes from {density:g} to {now.density_kg_m3:g} kg/m3"
    if facts.flow_capped:
        return f"{changed}, and the flow cap is by weight"
    if facts.heights_matter:
        return f"{changed}, and part and supply do not lie at one height"
    return f"{changed}, and a core takes up resin by weight" if facts.uptake_by_weight else ""


def _other_clock(facts: Facts, stretch: _Stretch) -> str:
    """Why times may not go with viscosity, '' if they do."""
    if facts.flow_capped:
        return f"{stretch.says}, and the supply has a flow cap"
    for step in facts.steps:
        if step.trigger == TriggerKind.CLOCK:
            return f"{stretch.says}, and {step.label} goes by the clock"
        if step.delay_s > 0:
            return f"{stretch.says}, and {step.label} waits {step.delay_s:g} s by the clock"
    return _hands(facts, stretch)


def _hands(facts: Facts, stretch: _Stretch) -> str:
    """Whether any tap is turned while the part fills: hands take as long with any resin.

    A bound would be no help: n actions put wet-out off by no more than n action_s |1 - ratio|, but two taps may change
    places in the queue, and the runs themselves read triggers off to half a per cent or so on coarse cells.
    """
    if facts.crew_walks:
        return f"{stretch.says}, and the crew walks between manifolds as long with any resin"
    by_hand = [step.label for step in facts.steps if _may_count(facts, step, stretch)]
    if not by_hand:
        return ""
    named = ", ".join(by_hand[:_MOST_NAMED])
    return f"{stretch.says}, and hands take {facts.action_s:g} s a tap with any resin: {named}"


def _may_count(facts: Facts, step: StepFact, stretch: _Stretch) -> bool:
    """Whether, before or after the change, a run may have done the step before all is wet; the start costs no time."""
    if step.trigger == TriggerKind.START or step.earliest_s is None:
        return step.trigger != TriggerKind.START
    latest_s, called_s = _latest_s(facts), step.earliest_s - facts.action_s
    left_s = max(latest_s - called_s, stretch.time_s(latest_s) - stretch.time_s(called_s))
    return facts.action_s <= left_s


def _latest_s(facts: Facts) -> float:
    return max(facts.wet_out_s or 0.0, facts.spread_wet_out_s[1] or 0.0)


def _runs_end_otherwise(facts: Facts, found: Found, stretch: _Stretch) -> str:
    if stretch.time_s(_latest_s(facts)) < LONGEST_OVER_GEL * found.gel_time_s:
        return ""
    return f"a run is given up after {LONGEST_OVER_GEL:g} gel times, and one of these would take longer"


def _late_on_finer(facts: Facts, found: Found, stretch: _Stretch) -> str:
    """Whether the run there is late before or after the change, and the one that is stored by its time is not."""
    finer_s = facts.finer_wet_out_s
    if finer_s is None or (finer_s <= facts.gel_limit_s and stretch.time_s(finer_s) <= found.gel_limit_s):
        return ""
    if facts.other_failure is None and found.wet_out_s > found.gel_limit_s:
        return ""  # late on the full network says it all
    return "on cells of half the size the last place is wet only about the gel limit"


def _near_the_limit(found: Found) -> str:
    if abs(found.gel_limit_s - found.wet_out_s) > LITTLE * found.wet_out_s:
        return ""
    return f"wet-out, minute {wet_out_min(found.wet_out_s):.1f}, is within 0.1 % of the gel limit"


def _moved(facts: Facts, now: ResinNow, stretch: _Stretch) -> tuple[str, ...]:
    wet_s = facts.wet_out_s or 0.0
    moves = not stretch.same and any(has_moved(before_s, after_s) for before_s, after_s in _times(facts, stretch))
    front = [f"the front takes {stretch.time_s(wet_s) / wet_s - 1:+.0%} of time"] if moves else []
    return (*front, *changed_quantities(facts, now.density_kg_m3, now.initiator_percent))


def _times(facts: Facts, stretch: _Stretch) -> Iterator[tuple[float, float]]:
    """Each time of the front on the sheet, before and after."""
    for wet_s in (facts.wet_out_s, *facts.spread_wet_out_s):
        yield wet_s or 0.0, stretch.time_s(wet_s or 0.0)
    for step in facts.steps:
        hand_s = 0.0 if step.trigger == TriggerKind.START else facts.action_s
        for time_s in (step.expected_at_s, step.earliest_s, step.latest_s):
            if time_s is not None:
                yield time_s, stretch.time_s(time_s - hand_s) + hand_s


def _first(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value
