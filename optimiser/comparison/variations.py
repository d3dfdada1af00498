"""How robust each plan is in played variations of the day."""

from __future__ import annotations

import math

from optimiser.case.plan_document import PlanDocument
from optimiser.case.robustness_document import RobustnessResult
from optimiser.case.varied_words import what_varied
from optimiser.comparison.comparison_document import Amount, Words
from optimiser.comparison.numbers import Number, amount, words
from optimiser.units import min_from_s

_FAILURES = {
    "locked": "air closed in",
    "late": "too late",
    "never_wet": "dry somewhere",
    "out_of_order": "against a rule of the taps",
}


def variations(a: PlanDocument, b: PlanDocument) -> list[Amount | Words]:
    """As counts; as shares where the two were played in unequal numbers. Failures only where both were played."""
    x, y = a.robustness, b.robustness
    shares = x is not None and y is not None and x.variations != y.variations
    unit, digits = ("percent", 1) if shares else ("", 0)
    found: list[Amount | Words] = [
        *amount("played", "", *(None if one is None else one.variations for one in (x, y)), digits=0),
        *amount("clean and in time", unit, _told(x, "clean", shares), _told(y, "clean", shares), digits=digits),
        *amount("chance of that, at least", "percent", _least_percent(x), _least_percent(y), digits=0),
        *amount("chance of that, at most", "percent", _most_percent(x), _most_percent(y), digits=0),
        *amount("given up for it", "min", _given_up_min(x), _given_up_min(y), digits=1),
    ]
    if x is None or y is None:
        return found
    for field, what in _FAILURES.items():
        found += amount(what, unit, _told(x, field, shares), _told(y, field, shares), digits=digits)
    varied_a, varied_b = ({one.name: one.spread for one in each.drivers} for each in (x, y))
    for name in sorted({*varied_a, *varied_b}):
        found += words(f"varied: {name}", varied_a.get(name), varied_b.get(name))
    return found


def _told(found: RobustnessResult | None, field: str, shares: bool) -> Number:
    if found is None:
        return None
    count = int(getattr(found, field))
    return 100 * count / found.variations if shares else count


def _least_percent(found: RobustnessResult | None) -> Number:
    """Rounded as in the plan's own words; None where nothing varied: equal runs have no chance."""
    return None if found is None or not what_varied(found) else math.floor(found.clean_low_percent)


def _most_percent(found: RobustnessResult | None) -> Number:
    return None if found is None or not what_varied(found) else math.ceil(found.clean_high_percent)


def _given_up_min(found: RobustnessResult | None) -> Number:
    return None if found is None else min_from_s(found.gave_up_s)
