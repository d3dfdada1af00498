"""A plan says what the crew's usual rules would have done instead."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.case.usual_rules_words import usual_rules_words
from optimiser.part.sequence import Sequence
from optimiser.plan.rules_of_taps import TapRule
from optimiser.sequencing.triggers import open_at_start


def lock(litres: float, *, fails: bool = True, x_m: float = 2.4, on_tool_side: bool = False) -> Any:
    where = {"x_m": x_m, "y_m": 0.3, "on_tool_side": on_tool_side}
    return SimpleNamespace(**where, pore_m3=litres / 1e3, at_s=912.0, closed_by=("1", "2"), fails=fails)


def played(*locks: Any, wet_out_s: float = 1200.0) -> Any:
    return SimpleNamespace(wet_out_s=wet_out_s, locks=locks)


def rule(
    run: Any, *, label: str = "2", spread_runs: tuple[Any, ...] = (), finer_run: Any = None, broken: str = ""
) -> Any:
    return SimpleNamespace(
        name="outward on reach from 2",
        sequence=Sequence(steps=(open_at_start(label),)),
        run=run,
        spread_runs=spread_runs,
        finer_run=finer_run,
        broken=broken,
    )


CHOSEN = rule(played(), label="1")

CASES = [
    (rule(played(wet_out_s=253.0)), "Outward on reach from 2 locks nothing and is wet at minute 4.3."),
    (rule(played(), label="1"), "Outward on reach from 2: that is this plan."),
    (rule(played(lock(9)), broken=TapRule.ORDER), "Outward on reach from 2 opens taps against the given order."),
    (
        rule(played(lock(0.5), lock(0.1, fails=False))),
        "Outward on reach from 2 would lock 0.5 litres at x 2.40 m, y 0.30 m, closed by 1 and 2 at minute 15.2.",
    ),
    (
        rule(played(lock(0.5), lock(1.5, x_m=3.0))),
        "Outward on reach from 2 would lock 2 litres in 2 places, the largest at x 3.00 m, y 0.30 m, "
        "closed by 1 and 2 at minute 15.2.",
    ),
    (
        rule(played(lock(0.5, on_tool_side=True))),
        "Outward on reach from 2 would lock 0.5 litres at x 2.40 m, y 0.30 m, on the tool side, "
        "closed by 1 and 2 at minute 15.2.",
    ),
    (
        rule(played(), finer_run=played(lock(0.2))),
        "Outward on reach from 2 is wet at minute 20.0, but on cells of half the size it locks "
        "0.2 litres at x 2.40 m, y 0.30 m, closed by 1 and 2 at minute 15.2.",
    ),
    (rule(played(wet_out_s=math.inf)), "Outward on reach from 2 would not wet all of the part."),
    (
        rule(played(), spread_runs=(played(), played(lock(0.2)))),
        "Outward on reach from 2 is wet at minute 20.0, but with the stated spread of permeability it may lock "
        "0.2 litres at x 2.40 m, y 0.30 m, closed by 1 and 2 at minute 15.2.",
    ),
    (rule(played()), "Outward on reach from 2 locks nothing and is wet at minute 20.0."),
]


@pytest.mark.parametrize(("usual", "expected"), CASES)
def test_each_fate_of_a_rule_has_its_sentence(usual: Any, expected: str) -> None:
    """The worst thing that it would do is what is said."""
    result: Any = SimpleNamespace(usual_rules=(usual,), chosen=CHOSEN)
    assert usual_rules_words(result) == [expected]
