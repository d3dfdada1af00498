"""What a mistake would do, in words for somebody who is tired."""

from __future__ import annotations

import math

from optimiser.case.shown_label import shown_label
from optimiser.filling.fill_run import Lock
from optimiser.part.sequence import Action, Step
from optimiser.plan.draws_on import DrawsOn
from optimiser.plan.harm import Harm, Severity
from optimiser.plan.mistakes import LATE_BY_S, MistakeKind
from optimiser.units import litres_from_m3, min_from_s

_WORTH_A_WORD_KG = 1.0
"""More resin than this into the vents."""
TO_FIRST_TAP_S = 600.0
"""To mix, fill hoses and be at the taps in. Common practice, no source."""
_NO_TIME_S = 3.0
"""Printed as no time lost."""
_MINUTE_S = 60.0
_DONE = {Action.OPEN: "opened", Action.CLOSE: "closed", Action.CLAMP: "clamped"}


def happens(kind: MistakeKind, action: Action, step: str, other: str | None) -> str:
    """'step 7 (2-MID) is forgotten'; the steps as `named_step` names them."""
    match kind:
        case MistakeKind.SKIPPED:
            return f"{step} is forgotten"
        case MistakeKind.LATE:
            return f"{step} is {_DONE[action]} {min_from_s(LATE_BY_S):.0f} min late"
        case MistakeKind.SWAPPED:
            return f"{step} is mixed up with {other or 'the next'}"


def named_step(order: int, step: Step) -> str:
    """By its number and by its tap or vent: 'step 3 (TAP 1)'."""
    return f"step {order} ({shown_step(step)})"


def shown_step(step: Step) -> str:
    """What it turns, as people read it."""
    return shown_label(step.label, "vent" if step.action is Action.CLAMP else "line")


def does(
    kind: MistakeKind,
    step: Step,
    harm: Harm,
    locks: list[Lock],
    *,
    margin_s: float,
    limit_s: float,
    vents_draw_more_kg: float,
    runs_out: bool,
    on: DrawsOn | None = None,
    density_kg_m3: float = 0.0,
    gel: str = "gel",
    stop: str | None = None,
    beside: tuple[str, str] | None = None,
) -> str:
    """'AIR CLOSES IN between lines 3-MID and 2-AFT, 4 litres'. Worst first; locks: the largest first.

    runs_out: the run, which never lacks resin, drew more than is bought for the shot. on: what the vent draws after
    wet-out, and of which density. gel: when that is, as `moment_of_gel` says it.
    stop: what `past_stop_time` says of it. beside: line and vent that the largest lock lies between, if it does.
    """
    if harm.severity is Severity.NOTHING_FLOWS:
        return "no resin flows until it is opened"
    found = []
    more = vents_draw_more_kg >= _WORTH_A_WORD_KG
    if more and runs_out and not locks:
        found.append("the vents draw until the RESIN RUNS OUT")
    if locks:
        places = f" in {len(locks)} places" if len(locks) > 1 else ""
        found.append(f"AIR CLOSES IN {_between(locks[0].closed_by, beside)}, {_litres(harm.locked_m3)}{places}")
    if not math.isfinite(harm.later_s):
        found.append(f"{harm.dry_m2:.1f} m² stay DRY" if harm.dry_m2 >= 0.05 else "not all of it gets WET")
    elif not locks and margin_s < 0:
        found.append(f"wet only at min {math.ceil(min_from_s(limit_s - margin_s))}, AFTER THE GEL LIMIT")
    elif not locks:
        found.append(_costs(harm.later_s) + ("" if stop is None else f": {stop}"))
    if more and runs_out and locks:
        found.append("the vents draw until the RESIN RUNS OUT")
    elif more and not runs_out:
        found.append(f"{math.ceil(vents_draw_more_kg - 0.05)} kg more run into the vents")
    if step.action is Action.CLAMP and kind is not MistakeKind.SWAPPED:
        found.append(_runs_on(kind, on, density_kg_m3, gel))
    return "; ".join(found)


def past_stop_time(later_s: float, *, slow_s: float, limit_s: float, age_counted: bool) -> str | None:
    """What a wet-out in time as planned may cost in the slow case; None: nothing, or no time is lost.

    slow_s: wet-out without the mistake in the slow case, as the sheet has it; the mistake costs as much there.
    Where the age at the first tap is not counted, what is spent by then comes off the limit too.
    """
    left_s = limit_s - slow_s - later_s
    if later_s < _NO_TIME_S or left_s >= (0.0 if age_counted else TO_FIRST_TAP_S):
        return None
    if age_counted or left_s < _MINUTE_S:
        return "PAST STOP TIME in the slow case"
    return (
        f"PAST STOP TIME in the slow case if the first tap comes more than {math.floor(min_from_s(left_s))} min after "
        "initiator in"
    )


def moment_of_gel(gel_time_s: float, age_at_first_tap_s: float | None) -> str:
    """On the clock of the sheet, minute 0 the first tap; None: the age then is not counted, so by the resin's own."""
    if age_at_first_tap_s is None:
        return f"gel, {math.floor(min_from_s(gel_time_s))} min after initiator in"
    return f"gel, min {math.floor(min_from_s(gel_time_s - age_at_first_tap_s))}"


def _runs_on(kind: MistakeKind, on: DrawsOn | None, density_kg_m3: float, gel: str) -> str:
    """Kilograms rounded up, the minute of an empty supply down: less is not to be hoped for."""
    if on is None:
        return "resin runs on into its pot until it is clamped"
    each, drawn = _mass(60 * on.flow_m3_s * density_kg_m3), _mass(on.drawn_m3 * density_kg_m3)
    going = f"after ALL WET up to {each} a minute run on into its pot until it is clamped"
    if on.runs_out_s is not None:
        return f"{going}: the RESIN RUNS OUT at min {math.floor(min_from_s(on.runs_out_s))}"
    return f"{going}, {drawn} in all" if kind is MistakeKind.LATE else f"{going}, {drawn} by {gel}"


def _mass(mass_kg: float) -> str:
    """Tenths of a kilogram, grams below one; rounded up."""
    if mass_kg < 0.1:
        return f"{math.ceil(round(1e3 * mass_kg, 6))} g"
    return f"{math.ceil(round(10 * mass_kg, 6)) / 10:.1f} kg"


def _costs(later_s: float) -> str:
    minutes = math.ceil(min_from_s(later_s) - 0.05)
    return "no air closes in, no time lost" if minutes <= 0 else f"no air closes in, wet {minutes} min later"


def _between(closed_by: tuple[str, ...], beside: tuple[str, str] | None) -> str:
    if beside is not None:
        return f"between line {beside[0]} and vent {beside[1]}"
    if not closed_by:
        return "away from the lines"
    if len(closed_by) == 1:
        return f"beside line {closed_by[0]}"
    return f"between lines {closed_by[0]} and {closed_by[1]}"


def _litres(volume_m3: float) -> str:
    """Rounded up: less is not to be hoped for."""
    litres = litres_from_m3(volume_m3)
    if litres > 1:
        return _whole_litres(litres)
    digits = 10 if litres >= 0.1 else 100
    rounded = max(1, math.ceil(litres * digits - 1e-6)) / digits
    return f"{rounded:g} litre{'' if rounded == 1 else 's'}"


def _whole_litres(litres: float) -> str:
    whole = math.ceil(litres - 0.05)
    return f"{whole} litre{'' if whole == 1 else 's'}"
