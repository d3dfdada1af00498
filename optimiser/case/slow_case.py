"""Between which times a thing is to be expected: in the runs with changed permeability, and in 90 of 100 played
variations of the day where a plan has them; the wider of the two.

Variations are played on coarser cells than those that the order is verified on, and there the same order may be wet
sooner or later. Their times are taken in the ratio of the two wet-outs as planned, to the side that can do no harm:
late ones never shorter for it, early ones never longer.
"""

from __future__ import annotations

from optimiser.case.robustness_document import RobustnessResult

Range = tuple[float | None, float | None]


def fine_over_coarse(found: RobustnessResult | None, *, coarse_s: float | None, wet_out_s: float | None) -> float:
    """Wet-out as planned on the network that the order is verified on, over that where variations are played.

    coarse_s: where the variations do not say it themselves. 1 where nothing is known.
    """
    said_s = None if found is None else found.as_planned_wet_out_s
    on_coarse_s = coarse_s if said_s is None else said_s
    return wet_out_s / on_coarse_s if on_coarse_s and wet_out_s else 1.0


def wet_out_between(own: Range, found: RobustnessResult | None, ratio: float) -> Range:
    """Of wet-out; own: without variations. None: not known, or never."""
    return own if found is None else with_variations(own, (found.wet_out_p05_s, found.wet_out_p95_s), ratio)


def with_variations(own: Range, varied: Range, ratio: float) -> Range:
    """The wider of both. A range that is not known at one end says nothing of it."""
    (low, high), (varied_low, varied_high) = own, varied
    if low is None or high is None or varied_low is None or varied_high is None:
        return own
    return min(low, varied_low * min(1.0, ratio)), max(high, varied_high * max(1.0, ratio))
