"""How far the zone graph looks: where all that is fast locks air, as far as any order may go that is in time."""

from __future__ import annotations

from typing import Any

import numpy as np

from optimiser.case.plan_document import Verdict
from optimiser.filling.many_runs import Runner
from optimiser.plan.choose import Chooser
from optimiser.plan.line_arrivals import LineArrivals
from optimiser.plan.scenes import scenes_of

EDGE_TO_EDGE = {"length_mm": 450, "rounds": 4, "edge_to_edge": True}
"""Air has no way round the ends of the lines."""


def test_a_slow_order_is_found_where_all_that_is_fast_locks_air(panels: Any) -> None:
    """Line 1 is to open first of all by its latest time and last of all by the order, so the others stay shut: all at
    once takes a minute and locks, and 1 alone takes as long as 750 mm need, 25 times the 150 mm of all at once (Darcy's
    law: time goes with the square of the way)."""
    rules = {"order": ["3", "2", "1"], "latest": [{"label": "1", "latest_min": 0.5}, {"label": "2", "latest_min": 30}]}
    layout = {**EDGE_TO_EDGE, "rules": rules, "uses": {"1": "required"}}
    at_once, alone = (panels.check(panels.by_clock(dict.fromkeys(labels, 0)), **layout) for labels in ("123", "1"))
    assert alone.verdict is Verdict.VERIFIED
    assert at_once.verdict is Verdict.NOT_ADMISSIBLE
    assert alone.wet_out_s > 2 * at_once.wet_out_s
    plan = panels.plan(**layout)
    assert plan.verdict is Verdict.VERIFIED
    assert [step.label for step in plan.steps if step.action == "open"] == ["1"]


def test_lines_are_followed_as_far_as_the_horizon(panels: Any) -> None:
    """Left after a minute, no line alone has wet all; up to the horizon each has, and then none is played again."""
    shot = panels.case(**EDGE_TO_EDGE).shot
    scenes = scenes_of(shot)
    with Runner(scenes.all, workers=1) as runner:
        chooser = Chooser(shot=shot, scenes=scenes, runner=runner, report=lambda *_: None)
        runs = chooser.alone(("1", "2", "3"), (0.0, 0.0), longest_s=60.0)
        arrivals = LineArrivals.from_runs(scenes.coarse, runs, scenes.resin_clock.fluidity)
        assert np.isinf(arrivals.cell_s).any(axis=1).all()
        chooser.follow_up_to(3600.0, arrivals)
        assert np.isfinite(arrivals.cell_s).all()
        chooser.follow_up_to(7200.0, arrivals)
        assert runner.runs == 6
