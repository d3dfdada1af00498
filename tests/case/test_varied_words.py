"""What variations differ in and what failures go with, in words."""

from __future__ import annotations

import pytest

from optimiser.case.robustness_document import VariedQuantity
from optimiser.case.varied_words import failures_go_with, quantity_name, varied_parts
from optimiser.scatter.factors import Factor, FactorKind
from optimiser.scatter.law import Even


def name(kind: FactorKind) -> str:
    return quantity_name(Factor(kind=kind, name="edge", law=Even(low=0.0, high=1.0)))


def test_every_kind_of_quantity_is_named() -> None:
    """As it stands in a plan; both facts of a gap are of the gaps."""
    assert varied_parts(map(name, FactorKind), patchy_percent=0) == "laminate, resin, weather, vacuum, gaps and crew"
    assert varied_parts([name(FactorKind.GAP_THERE)], patchy_percent=0) == "gaps"
    assert varied_parts([], patchy_percent=12) == "laminate"
    assert varied_parts([], patchy_percent=0) == ""


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        (FactorKind.GAP_THERE, "whether the gap edge is there, 3 % where it is not and 40 % where it is"),
        (FactorKind.GAP_WIDTH, "width of the gap edge, 3 % where it is low and 40 % where it is high"),
    ],
)
def test_a_gap_is_there_or_not_and_neither_low_nor_high(kind: FactorKind, said: str) -> None:
    """It has two values; all else is low or high."""
    one = VariedQuantity(
        name=name(kind),
        spread="as stated",
        failed_when_low_percent=3,
        failed_when_high_percent=40,
        by_chance_percent=1,
        wet_out_rank_correlation_percent=None,
    )
    assert failures_go_with(one) == said
