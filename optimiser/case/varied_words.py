"""What was varied, in words."""

from __future__ import annotations

from collections.abc import Iterable

from optimiser.case.robustness_document import RobustnessResult, VariedQuantity
from optimiser.scatter.factors import Factor, FactorKind
from optimiser.scatter.law import Chance, Even, Lognormal
from optimiser.units import mbar_from_pa

_OFTEN = 0.95
"""Share of clean variations; our choice, no source."""
_NAMES = {
    FactorKind.PERMEABILITY: "permeability of {}",
    FactorKind.TEMPERATURE: "temperature of mould and resin",
    FactorKind.GEL_TIME: "gel time beside temperature",
    FactorKind.VACUUM: "pressure under the bag",
    FactorKind.LATE_CREW: "seconds the crew is late on each action",
    FactorKind.GAP_WIDTH: "width of the gap {}",
    FactorKind.GAP_THERE: "whether the gap {} is there",
}
_OF = {
    FactorKind.PERMEABILITY: "laminate",
    FactorKind.GEL_TIME: "resin",
    FactorKind.TEMPERATURE: "weather",
    FactorKind.VACUUM: "vacuum",
    FactorKind.GAP_WIDTH: "gaps",
    FactorKind.GAP_THERE: "gaps",
    FactorKind.LATE_CREW: "crew",
}
"""In the order in which they are told."""


def stays_clean_often(found: RobustnessResult) -> bool:
    """Whether it fails in so few variations that nothing need be said of it."""
    return found.clean >= _OFTEN * found.variations


def quantity_name(factor: Factor) -> str:
    return _NAMES[factor.kind].format(factor.name)


def quantity_spread(factor: Factor) -> str:
    match factor.law:
        case Lognormal(variation=variation):
            return f"lognormal, coefficient of variation {100 * variation:g} %, mean as stated"
        case Even(low=low, high=high) if factor.kind is FactorKind.LATE_CREW:
            return f"evenly from {low:g} to {high:g} s"
        case Even(low=low, high=high) if factor.kind is FactorKind.VACUUM:
            return f"evenly from {mbar_from_pa(low):g} to {mbar_from_pa(high):+g} mbar"
        case Even(low=low, high=high):
            return f"evenly from {low:g} to {high:+g} degrees C"
        case Chance(of=share):
            return f"there in {100 * share:g} of 100 shots"


def what_varied(found: RobustnessResult) -> str:
    """'laminate, resin and crew'; empty: nothing, so that all variations are the same run."""
    return varied_parts([one.name for one in found.drivers], patchy_percent=found.patchy_percent)


def varied_parts(names: Iterable[str], *, patchy_percent: float) -> str:
    """From the names of quantities and the scatter from place to place: that of the laminate."""
    varied = {_kind(name) for name in names}
    if patchy_percent > 0:
        varied.add(FactorKind.PERMEABILITY)
    parts = list(dict.fromkeys(part for kind, part in _OF.items() if kind in varied))
    return " and ".join(part for part in (", ".join(parts[:-1]), *parts[-1:]) if part)


def failures_go_with(one: VariedQuantity) -> str:
    """'..., 3 % where it is low and 40 % where it is high'; of what may be there: where it is not, where it is."""
    low, high = ("not", "") if _kind(one.name) is FactorKind.GAP_THERE else ("low", "high")
    return (
        f"{one.name}, {one.failed_when_low_percent:.0f} % where it is {low} and "
        f"{one.failed_when_high_percent:.0f} % where it is {high}"
    ).rstrip()


def _kind(name: str) -> FactorKind | None:
    """Of a quantity in words, as it stands in a plan."""
    for kind, words in _NAMES.items():
        before, _, after = words.partition("{}")
        if name.startswith(before) and name.endswith(after):
            return kind
    return None
