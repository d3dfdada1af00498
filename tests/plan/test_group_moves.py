"""Taps that open together are opened by the first of them that is called for, where that holds."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.case.plan_document import Verdict
from optimiser.case.read_case import case_from_mapping
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.plan.change_the_best import open_groups_sooner
from optimiser.plan.group_moves import groups_by_their_first
from optimiser.plan.result import Candidate

START, AT_2, AT_1 = (
    Trigger(kind=TriggerKind.START),
    Trigger(kind=TriggerKind.WET_UP_TO, place="2"),
    Trigger(kind=TriggerKind.WET_UP_TO, place="1"),
)
CLAMP = Step(action=Action.CLAMP, label="V", trigger=Trigger(kind=TriggerKind.REACHED, place="V"))
GROUP = (("1", "2"),)
UNEVEN = {"length_mm": 600, "width_mm": 1100, "lines_y_mm": (150, 300, 700), "rounds": 1}
"""From line 2 it is 150 mm to line 1 and 400 mm to line 3, 400 mm more to the far edge."""
OUTER_TWO = {"together": [["1", "3"]], "start": ["2"]}


def opens(label: str, trigger: Trigger) -> Step:
    return Step(action=Action.OPEN, label=label, trigger=trigger)


def candidate(*, broken: str = "does not open together", clean: bool = True, stops_s: float = 500.0) -> Candidate:
    """Outward from line 3: resin is at 2 after 100 s, at 1 after 300."""
    sequence = Sequence(steps=(opens("3", START), opens("1", AT_1), opens("2", AT_2), CLAMP))
    called_s = {"3": 0.0, "1": 300.0, "2": 100.0, "V": 400.0}
    done = [SimpleNamespace(step=one, called_s=called_s[one.label]) for one in sequence.steps]
    drawn_m3 = SimpleNamespace(sum=lambda: 0.0)
    run: Any = SimpleNamespace(
        steps=[one for one in done if one.called_s < stops_s], clean=clean, wet_out_s=400.0, vent_drawn_m3=drawn_m3
    )
    return Candidate(name="outward", sequence=sequence, run=run, patchy_runs=(), broken=broken)


def test_a_group_is_called_for_by_its_first_and_turned_as_resin_comes() -> None:
    """2 before 1, both by what calls for 2, in its place."""
    (move,) = groups_by_their_first(GROUP, [candidate()])
    assert move.sequence.steps == (opens("3", START), opens("2", AT_2), opens("1", AT_2), CLAMP)


def test_what_keeps_its_rules_or_locks_air_is_let_be() -> None:
    """Nothing is torn in the first; the second would lock the more with taps opened sooner; no rule asks for it in the
    third."""
    assert groups_by_their_first(GROUP, [candidate(broken="")]) == []
    assert groups_by_their_first(GROUP, [candidate(clean=False)]) == []
    assert groups_by_their_first((), [candidate()]) == []


def test_a_group_that_was_not_opened_whole_is_not_joined() -> None:
    """All is wet before resin is at 1: when it would be called for is not known."""
    torn = candidate(stops_s=200.0)
    (move,) = groups_by_their_first(GROUP, [torn])
    assert move.sequence == torn.sequence


@pytest.mark.parametrize(
    ("clean", "best_s", "scenarios", "kept"),
    [(True, 500.0, 20, 1), (True, 300.0, None, 0), (False, 500.0, None, 1), (False, 500.0, 20, 0)],
    ids=["faster", "slower", "locks on coarse cells", "locks where variations are counted"],
)
def test_what_gains_nothing_is_forgotten(
    panels: Any, clean: bool, best_s: float, scenarios: int | None, kept: int
) -> None:
    """All wet after 400 s. What locks on coarse cells may be clean on the full network, but variations are counted on
    the coarse one."""
    data = panels.data(rules={"together": [list(GROUP[0])]})
    data["search"]["scenarios"] = scenarios
    candidates = [candidate()]
    chooser: Any = SimpleNamespace(
        shot=case_from_mapping(data).shot,
        candidates=candidates,
        best_s_or_inf=lambda: best_s,
        play=lambda moves, *_, **__: candidates.extend(candidate(broken="", clean=clean) for _ in moves),
        tell_by_sight=lambda *_: None,
    )
    open_groups_sooner(chooser, "groups", 0.0)
    assert len(chooser.candidates) == 1 + kept


def test_a_plan_does_not_wait_for_the_last_of_a_group_where_the_first_will_do(panels: Any) -> None:
    """Known by reasoning, with u for the time that 150 mm take (Darcy's law: time goes with the square of the way).

    Resin from line 2 is at 1 after u and at 3 after 7 u (400/150 squared), and from 3 it takes 7 u more to the far
    edge: 14 u, if both wait for it. Opened at u, line 3 has the far bay wet by 8 u, and what is dry before it has a way
    out round its ends, 100 mm short of the edges. With all that hands take the plan is wet in two thirds of the time.
    """
    plan = panels.plan(**UNEVEN, rules=OUTER_TWO)
    first, second = (step for step in plan.steps if step.action == "open" and step.label != "2")
    waits = panels.outward(("1", "2", "3"), ("2",), on="wet_up_to")
    waits[1] = waits[1] | {"when": {"wet_up_to": "3"}}
    waiting = panels.check(waits, **UNEVEN, rules=OUTER_TWO)
    assert plan.verdict is waiting.verdict is Verdict.VERIFIED
    assert first.trigger.says == second.trigger.says
    assert first.trigger.place == "1"
    assert plan.wet_out_s < 2 / 3 * waiting.wet_out_s
