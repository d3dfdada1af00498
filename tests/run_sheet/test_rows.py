"""What the tap table says."""

from __future__ import annotations

from typing import Any

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.rows import every_row, step_groups


def test_neighbours_with_one_trigger_read_as_one_group(plan: PlanDocument) -> None:
    """Five rows of three taps and two vents of their own make seven groups, each with one sentence."""
    groups = step_groups(plan)
    assert [len(group.rows) for group in groups] == [3, 3, 3, 3, 3, 1, 1]
    assert groups[1].says == "When resin reaches line 1 along its whole length"
    assert groups[1].backup == "After 48 kg have gone in"


def test_every_step_stands_once_and_in_order(fields: dict[str, Any]) -> None:
    """However the steps are listed, the crew reads them by their order."""
    fields["steps"].reverse()
    rows = list(every_row(step_groups(PlanDocument.model_validate(fields))))
    assert [row.order for row in rows] == list(range(1, 18))


def test_same_trigger_in_other_words_keeps_each_step_s_own_sentence(fields: dict[str, Any]) -> None:
    """Where the sentences name their own tap, none of them may get lost in the group."""
    for step in fields["steps"]:
        step["trigger"] = {**step["trigger"], "says": f"open {step['label']} now"}
    groups = step_groups(PlanDocument.model_validate(fields))
    assert [len(group.rows) for group in groups] == [3, 3, 3, 3, 3, 1, 1]
    assert groups[0].says == ""
    assert [row.own_trigger for row in groups[0].rows] == [
        f"Open {name} now" for name in ("1-MID", "1-AFT", "1-FWD")
    ]


def test_a_step_the_run_never_came_to_shows_no_minute(fields: dict[str, Any]) -> None:
    """A made-up minute would be worse than none."""
    fields["steps"][-1].update(expected_at_s=None, earliest_s=None, latest_s=None)
    *_, last = every_row(step_groups(PlanDocument.model_validate(fields)))
    assert (last.minute, last.spread) == ("no time", "")
