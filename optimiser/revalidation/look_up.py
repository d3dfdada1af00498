"""Judge a stored plan by look-up in its fluidity time, and only where that is what its runs would find.

With viscosity mu the same all over the part, the front's path depends on theta = integral dt / mu alone, so at a
constant viscosity every time of it goes with mu (put theta for time in Darcy's law). That breaks where something goes
by another clock: a flow cap, a trigger by the clock or with a delay, the hands of the crew; or where gravity, which
goes with density, shifts against the driving pressure.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from optimiser.case.change_document import ChangeDocument
from optimiser.case.printed_minutes import wet_out_min
from optimiser.part.sequence import TriggerKind
from optimiser.plan.scenes import LONGEST_OVER_GEL
from optimiser.revalidation.answer import Answer, CannotJudge, CannotLookUp, Found, Way, answer_of, has_moved
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
        moved=(*changed_conditions(facts, change), *_moved(facts, now, ratio)),
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
    return _hands(facts, ratio, changed)


def _hands(facts: Facts, ratio: float, changed: str) -> str:
    """Whether any tap is turned while the part fills: hands take as long with any resin.

    A bound would be no help: n actions put wet-out off by no more than n action_s |1 - ratio|, but two taps may change
    places in the queue, and the runs themselves read triggers off to half a per cent or so on coarse cells.
    """
    by_hand = [step.label for step in facts.steps if _may_count(facts, step, ratio)]
    if not by_hand:
        return ""
    return f"{changed}, and hands take {facts.action_s:g} s a tap with any resin: {', '.join(by_hand[:_MOST_NAMED])}"


def _may_count(facts: Facts, step: StepFact, ratio: float) -> bool:
    """Whether, before or after the change, a run may have done the step before all is wet; the start costs no time."""
    if step.trigger == TriggerKind.START or step.earliest_s is None:
        return step.trigger != TriggerKind.START
    left_s = max(facts.wet_out_s or 0.0, facts.spread_wet_out_s[1] or 0.0) - (step.earliest_s - facts.action_s)
    return facts.action_s <= max(1.0, ratio) * left_s


def _runs_end_otherwise(facts: Facts, found: Found, ratio: float) -> str:
    latest_s = ratio * max(facts.wet_out_s or 0.0, facts.spread_wet_out_s[1] or 0.0)
    if latest_s < LONGEST_OVER_GEL * found.gel_time_s:
        return ""
    return f"a run is given up after {LONGEST_OVER_GEL:g} gel times, and one of these would take longer"


def _near_the_limit(found: Found) -> str:
    if abs(found.gel_limit_s - found.wet_out_s) > LITTLE * found.wet_out_s:
        return ""
    return f"wet-out, minute {wet_out_min(found.wet_out_s):.1f}, is within 0.1 % of the gel limit"


def _moved(facts: Facts, now: ResinNow, ratio: float) -> tuple[str, ...]:
    moves = ratio != 1.0 and any(has_moved(before_s, after_s) for before_s, after_s in _times(facts, ratio))
    front = [f"the front takes {ratio - 1:+.0%} of time"] if moves else []
    return (*front, *changed_quantities(facts, now.density_kg_m3, now.initiator_percent))


def _times(facts: Facts, ratio: float) -> Iterator[tuple[float, float]]:
    """Each time of the front on the sheet, before and after."""
    for wet_s in (facts.wet_out_s, *facts.spread_wet_out_s):
        yield wet_s or 0.0, ratio * (wet_s or 0.0)
    for step in facts.steps:
        hand_s = 0.0 if step.trigger == TriggerKind.START else facts.action_s
        for time_s in (step.expected_at_s, step.earliest_s, step.latest_s):
            if time_s is not None:
                yield time_s, ratio * (time_s - hand_s) + hand_s


def _first(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value
