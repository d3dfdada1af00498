"""Judge a stored plan by look-up in its fluidity time, and only where that is what its runs would find.

With viscosity mu the same all over the part, the front's path depends on theta = integral dt / mu alone, so at a
constant viscosity every time of it goes with mu (put theta for time in Darcy's law). That breaks where something goes
by another clock: a flow cap, a trigger by the clock or with a delay, the hands of the crew; or where gravity, which
goes with density, shifts against the driving pressure.
"""

from __future__ import annotations

import math
from typing import Final

from optimiser.case.change_document import ChangeDocument
from optimiser.part.sequence import Action, TriggerKind
from optimiser.plan.scenes import LONGEST_OVER_GEL
from optimiser.revalidation.answer import Answer, CannotJudge, CannotLookUp, Found, Way, answer_of, has_moved, minute
from optimiser.revalidation.facts import Facts, StepFact
from optimiser.revalidation.resin_now import ResinNow, resin_now
from optimiser.revalidation.sheet_times import changed_quantities
from optimiser.units import mbar_from_pa, pa_from_mbar

LITTLE: Final = 1e-3
"""Share of wet-out that a look-up may be off by. Nearer to the gel limit than this, the runs decide."""
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
    ratio = now.viscosity_pa_s / facts.viscosity_pa_s
    same = math.isclose(ratio, 1.0, rel_tol=_SAME)
    ratio = 1.0 if same else ratio
    why = _other_pattern(facts, change, now) or ("" if same else _other_clock(facts, ratio))
    fraction = facts.gel_fraction if change.gel_fraction_percent is None else change.gel_fraction_percent / 100.0
    found = Found(
        wet_out_s=ratio * facts.wet_out_s,
        gel_time_s=now.gel_time_s,
        gel_fraction=fraction,
        other_failure=facts.other_failure,
        moved=_moved(facts, now, ratio),
    )
    why = why or _runs_end_otherwise(facts, found, ratio) or ("" if same else _near_the_limit(found))
    return CannotLookUp(reason=why) if why else answer_of(facts, found, Way.LOOK_UP)


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
    density = facts.resin.density_kg_m3
    if math.isclose(now.density_kg_m3, density, rel_tol=_SAME):
        return ""
    changed = f"the density goes from {density:g} to {now.density_kg_m3:g} kg/m3"
    if facts.flow_capped:
        return f"{changed}, and the flow cap is by weight"
    if facts.heights_matter:
        return f"{changed}, and part and supply do not lie at one height"
    return f"{changed}, and a core takes up resin by weight" if facts.uptake_by_weight else ""


def _other_clock(facts: Facts, ratio: float) -> str:
    """Why times may not go with viscosity, '' if they do."""
    changed = f"the viscosity changes by {ratio - 1:+.1%}"
    if facts.flow_capped:
        return f"{changed}, and the supply has a flow cap"
    for step in facts.steps:
        if step.trigger == TriggerKind.CLOCK:
            return f"{changed}, and {step.label} goes by the clock"
        if step.delay_s > 0:
            return f"{changed}, and {step.label} waits {step.delay_s:g} s by the clock"
        if step.action == Action.CLOSE:
            return f"{changed}, and {step.label} is closed on the way"
    return _hands(facts, ratio, changed)


def _hands(facts: Facts, ratio: float, changed: str) -> str:
    """Whether the time that taps take in the crew's hands, which no resin changes, may be neglected.

    On the new resin's clock each of n actions comes sooner or later by action_s |1 - ratio|. Opening and clamping
    later never wets a cell sooner (comparison principle), so wet-out is off by no more than n of these, as long as
    there is a free hand for each: else two taps might change places in the queue, and be off by a whole action.
    """
    by_hand = [step for step in facts.steps if _takes_hands(facts, step)]
    shift_s = len(by_hand) * facts.action_s * abs(1.0 - ratio)
    soonest_s = ratio * min(facts.wet_out_s or 0.0, facts.spread_wet_out_s[0] or 0.0)
    if shift_s > LITTLE * soonest_s:
        return (
            f"{changed}, and {len(by_hand)} actions of {facts.action_s:g} s by hand may put wet-out off by "
            f"{shift_s:.1f} s, {shift_s / soonest_s:.1%} of it"
        )
    if by_hand and _queue(facts, by_hand, 2.0 * shift_s + LITTLE * (facts.spread_wet_out_s[1] or 0.0)):
        return f"{changed}, and more taps than hands may be called for at once, in an order that may change"
    return ""


def _takes_hands(facts: Facts, step: StepFact) -> bool:
    """Whether the step may be done before the part is wet, in any of the runs."""
    latest_wet_s = max(facts.wet_out_s or 0.0, facts.spread_wet_out_s[1] or 0.0)
    return step.trigger != TriggerKind.START and (step.earliest_s is None or step.earliest_s < latest_wet_s)


def _queue(facts: Facts, by_hand: list[StepFact], slack_s: float) -> bool:
    """Whether in some run more of these steps may be in hand at once than there are hands."""
    if len(by_hand) <= facts.hands:
        return False
    events: list[tuple[float, int]] = []
    for step in by_hand:
        if step.earliest_s is None or step.latest_s is None:
            return True
        events += [(step.earliest_s - facts.action_s - slack_s, 1), (step.latest_s + slack_s, -1)]
    busy = 0
    for _, change in sorted(events):
        busy += change
        if busy > facts.hands:
            return True
    return False


def _runs_end_otherwise(facts: Facts, found: Found, ratio: float) -> str:
    latest_s = ratio * max(facts.wet_out_s or 0.0, facts.spread_wet_out_s[1] or 0.0)
    if latest_s < LONGEST_OVER_GEL * found.gel_time_s:
        return ""
    return f"a run is given up after {LONGEST_OVER_GEL:g} gel times, and one of these would take longer"


def _near_the_limit(found: Found) -> str:
    if abs(found.gel_limit_s - found.wet_out_s) > LITTLE * found.wet_out_s:
        return ""
    return f"wet-out, minute {minute(found.wet_out_s)}, is within 0.1 % of the gel limit"


def _moved(facts: Facts, now: ResinNow, ratio: float) -> tuple[str, ...]:
    moved = []
    last = facts.last_on_sheet_s
    if has_moved(last, ratio * last):
        moved.append(f"the front takes {ratio - 1:+.0%} of time")
    return (*moved, *changed_quantities(facts, now.density_kg_m3, now.initiator_percent))


def _first(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value
