"""The chance of a clean shot as the scenarios show it, with what their number leaves open."""

from __future__ import annotations

from dataclasses import dataclass

CONFIDENCE = 0.95
INTERVAL = "Clopper-Pearson"
_DIGITS = 6


@dataclass(frozen=True, kw_only=True)
class ChanceFound:
    share: float
    low: float
    high: float
    """Ends of the interval at `CONFIDENCE`, to a millionth: further digits depend on the processor."""


def chance_of(clean: int, count: int) -> ChanceFound:
    """Share of clean shots and the exact interval of Clopper and Pearson, Biometrika 26(4):404-413, 1934 (from memory).

    It covers the true share at least as often as stated, never less, whatever that share is. It knows the number of
    scenarios alone: not whether the spreads of the case are right, nor what the network leaves out. clean from 0 to
    count, count of 1 or more, else ValueError.
    """
    from scipy.stats import binomtest  # most of a second to load, and only variations need it

    interval = binomtest(clean, count).proportion_ci(confidence_level=CONFIDENCE, method="exact")
    low, high = (round(float(end), _DIGITS) for end in (interval.low, interval.high))
    return ChanceFound(share=clean / count, low=low, high=high)
