"""What was varied, in words."""

from __future__ import annotations

from optimiser.scatter.factors import Factor, FactorKind
from optimiser.scatter.law import Chance, Even, Lognormal
from optimiser.units import mbar_from_pa

_NAMES = {
    FactorKind.PERMEABILITY: "permeability of {}",
    FactorKind.TEMPERATURE: "temperature of mould and resin",
    FactorKind.GEL_TIME: "gel time beside temperature",
    FactorKind.VACUUM: "pressure under the bag",
    FactorKind.LATE_CREW: "seconds the crew is late on each action",
    FactorKind.GAP_WIDTH: "width of the gap {}",
    FactorKind.GAP_THERE: "whether the gap {} is there",
}


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
