"""Steps closer together than hands: which of them goes first."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import plan_case
from optimiser.case.read_case import case_from_mapping
from optimiser.filling.tap_play import DueStep
from optimiser.part.sequence import Sequence
from optimiser.part.shot import Crew
from optimiser.plan.close_calls import close_calls, in_order
from optimiser.sequencing.triggers import clamp_when_reached, open_at_start, open_when_wet_up_to

ONE = Crew(hands=1, action_s=15.0)
SEQUENCE = Sequence(
    steps=(open_at_start("2"), open_when_wet_up_to("1"), open_when_wet_up_to("3"), clamp_when_reached("V"))
)


def called(*at_s: float) -> tuple[DueStep, ...]:
    """Steps of the sequence after the first, called for at these times and done one after the other."""
    return tuple(
        DueStep(index=k, step=SEQUENCE.steps[k], called_s=call_s, done_s=at_s[0] + 15.0 * k)
        for k, call_s in enumerate(at_s, start=1)
    )


def labels(sequence: Sequence | None) -> list[tuple[str, str | None]]:
    assert sequence is not None
    return [(step.label, step.trigger.place) for step in sequence.steps]


def test_a_chain_of_calls_is_one_group() -> None:
    """Each within 15 s of the one before; the start belongs to none, nor does what is called alone."""
    start = DueStep(index=0, step=SEQUENCE.steps[0], called_s=0.0, done_s=0.0)
    first, second, third = called(100.0, 110.0, 124.0)
    assert close_calls((start, first, second, third), ONE) == [[first, second, third]]
    assert close_calls((start, *called(100.0, 110.0, 126.0)), ONE) == [[*called(100.0, 110.0)]]


def test_who_walks_is_not_there_for_the_next_call() -> None:
    """Sixty seconds after the first call its person is still on a way of 240 s; after 255 s the tap is turned."""
    first, second = called(100.0, 160.0)
    assert close_calls((first, second), ONE) == []
    walking = replace(first, walk_s=240.0)
    assert close_calls((walking, second), ONE) == [[walking, second]]
    assert close_calls((walking, replace(second, called_s=355.0)), ONE) == []


def test_a_step_that_calls_too_early_waits_for_the_other_call() -> None:
    """3 first: tap 1, called for 6 s before it, goes by the call for 3, after it."""
    first, second = called(100.0, 106.0)
    assert labels(in_order(SEQUENCE, [second, first])) == [("2", None), ("3", "3"), ("1", "3"), ("V", "V")]


def test_calls_of_one_moment_are_only_listed_anew() -> None:
    """Nobody can tell half a second apart."""
    first, second = called(100.0, 100.5)
    assert labels(in_order(SEQUENCE, [second, first])) == [("2", None), ("3", "3"), ("1", "1"), ("V", "V")]


def test_a_vent_is_never_clamped_by_another_call() -> None:
    """It would be clamped before resin reaches it, on a day when that other call comes early."""
    clamp = DueStep(index=3, step=SEQUENCE.steps[3], called_s=100.0, done_s=115.0)
    (later,) = [one for one in called(90.0, 106.0) if one.index == 2]
    assert in_order(SEQUENCE, [later, clamp]) is None


BLED = {
    "kind": "metering_machine",
    "pressure_cap_mbar_abs": 1000,
    "flow_cap_kg_per_min": 20,
    "manifold_volume_litres": 0.2,
    "bled_before_each_tap": True,
}


def planned(
    panels: Any,
    smallest_lock_cm2: float,
    *,
    third_mm: float = 660,
    walk_s: float = 0,
    supply: dict[str, Any] | None = None,
) -> PlanDocument:
    """From line 2 resin comes to line 1 some six seconds before line 3, which has nearly twice as far to feed.

    walk_s: from tap 2 to the others; 0: no manifolds are named.
    """
    data = panels.data(
        lines_y_mm=(250, 450, third_mm),
        width_mm=1100,
        length_mm=300,
        cell_mm=50,
        coarse_cell_mm=50,
        rounds=1,
        mistakes=None,
        supply=supply,
        rules={"start": ["2"]},
        process={"smallest_lock_cm2": smallest_lock_cm2},
    )
    data["crew"] = {"hands": 1, "seconds_per_action": 15}
    if walk_s:
        data["crew"]["manifolds"] = [{"name": "A", "labels": ["2"]}, {"name": "B", "labels": ["1", "3"]}]
        data["crew"]["walks"] = [{"between": ["A", "B"], "walk_s": walk_s}]
    return plan_case(case_from_mapping(data))


def test_the_tap_that_harms_most_if_late_goes_first(panels: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no lock matters, which no case may say, a late tap costs time only, and line 3 the most."""
    monkeypatch.setattr("optimiser.case.check_cells._LARGEST_SHARE_PASSED", 1.0)
    plan = planned(panels, 3000)
    assert [step.label for step in plan.steps][:3] == ["2", "3", "1"]
    assert plan.steps[2].trigger.place == "3"
    assert plan.mistakes is not None
    (group,) = plan.mistakes.close
    assert group.must_not_wait == "3"
    assert group.most_harmful_first
    assert "As planned step 2 (TAP 3) first: late, it does the most harm." in group.says
    tried = {one.name: one for one in plan.candidates}
    mine = next(one for name, one in tried.items() if name.endswith("most harmful first"))
    assert mine.admissible
    assert plan.wet_out_s == mine.wet_out_s


@pytest.fixture(scope="module")
def far_apart(panels: Any) -> PlanDocument:
    """The one person has a minute to walk from tap 2 to the others."""
    return planned(panels, 50, third_mm=690, walk_s=60)


def test_the_order_stays_where_the_other_does_more_harm(far_apart: PlanDocument) -> None:
    """Where locks matter the last of the two may be mixed up with the clamp after it, and line 1, fed last, then locks
    more than line 3 does: checked by playing the other order with its mistakes. They call further apart than a turn
    takes, and the one person is still on the way to the first."""
    plan = far_apart
    assert [step.label for step in plan.steps][:3] == ["2", "1", "3"]
    assert plan.mistakes is not None
    (group,) = plan.mistakes.close
    assert 15 < group.within_s < 60 + 15
    assert not group.most_harmful_first
    assert "that was played, and more goes wrong then" in group.says
    assert "there is one of you, up to 1 min away" in group.says


def test_bleeding_between_steps_that_are_due_together_is_told(panels: Any, far_apart: PlanDocument) -> None:
    """No minute of the plan counts it; where nothing is bled nothing is said of it."""
    plan = planned(panels, 50, third_mm=690, walk_s=60, supply=BLED)
    assert plan.mistakes is not None
    bled = {step.order for step in plan.steps if step.bled_before_litres is not None}
    assert bled == {2, 3}
    (group,) = plan.mistakes.close
    assert group.steps == [2, 3]
    assert group.says.endswith(
        " Bleeding comes on top of that time: begin it when the tap table says."
    )
    assert far_apart.mistakes is not None
    assert "Bleeding" not in far_apart.mistakes.close[0].says
