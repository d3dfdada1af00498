"""Which steps differ: added, gone, moved, called for by something else, or turned elsewhere or by somebody else."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.comparison.comparison_document import StepDifference, StepSide, StepTime
from optimiser.run_sheet.ranges import step_range

Key = tuple[str, str, int]
"""Action, label, and the how manieth of its kind."""


def step_differences(a: PlanDocument, b: PlanDocument) -> list[StepDifference]:
    """In the order of plan B, then what only plan A has."""
    in_a, in_b = steps_by_key(a), steps_by_key(b)
    moved = set(in_b) & set(in_a) - set(_in_same_order([k for k in in_a if k in in_b], [k for k in in_b if k in in_a]))
    keys = [*in_b, *(key for key in in_a if key not in in_b)]
    before = [_before(steps) for steps in (in_a, in_b)]
    found = (_difference(key, in_a.get(key), in_b.get(key), key in moved, before) for key in keys)
    return [one for one in found if one is not None]


def _before(steps: dict[Key, PlannedStep]) -> dict[Key, str]:
    """Of each but the first, the step that stands before it."""
    return {key: f"{action} {label}" for (action, label, _), key in pairwise(steps)}


def step_times(a: PlanDocument, b: PlanDocument) -> list[StepTime]:
    """Of every step that both have, in the order of plan B."""
    in_a = steps_by_key(a)
    return [
        StepTime(
            label=step.label,
            action=step.action,
            a_s=in_a[key].expected_at_s,
            b_s=step.expected_at_s,
            a_range_s=step_range(a, in_a[key]),
            b_range_s=step_range(b, step),
        )
        for key, step in steps_by_key(b).items()
        if key in in_a
    ]


def steps_by_key(plan: PlanDocument) -> dict[Key, PlannedStep]:
    """In their order. A step of one plan is that of the other with the same key."""
    seen: Counter[tuple[str, str]] = Counter()
    found: dict[Key, PlannedStep] = {}
    for step in sorted(plan.steps, key=lambda step: step.order):
        found[(step.action, step.label, seen[step.action, step.label])] = step
        seen[step.action, step.label] += 1
    return found


def _in_same_order(a: list[Key], b: list[Key]) -> list[Key]:
    """A longest row of keys that stand in both in the same order (the longest increasing subsequence)."""
    place = {key: k for k, key in enumerate(a)}
    best: list[list[Key]] = []
    for key in b:
        before = [row for row in best if place[row[-1]] < place[key]]
        best.append([*max(before, key=len, default=[]), key])
    return max(best, key=len, default=[])


def _difference(
    key: Key, a: PlannedStep | None, b: PlannedStep | None, moved: bool, before: list[dict[Key, str]]
) -> StepDifference | None:
    changes = []
    if a is None:
        changes.append("added")
    elif b is None:
        changes.append("gone")
    else:
        changes += ["moved"] if moved else []
        changes += ["other_trigger"] if _call(a) != _call(b) else []
        changes += ["other_backup"] if a.trigger.backup != b.trigger.backup else []
        changes += ["other_manifold"] if a.turned_at != b.turned_at else []
        changes += ["other_person"] if a.person != b.person else []
    if not changes:
        return None
    action, label, _ = key
    sides = [_side(step, names.get(key)) for step, names in zip((a, b), before, strict=True)]
    return StepDifference.model_validate(
        {"label": label, "action": action, "changes": changes, "a": sides[0], "b": sides[1]}
    )


def _call(step: PlannedStep) -> tuple[object, ...]:
    trigger = step.trigger
    return trigger.kind, trigger.place, trigger.share, trigger.at_s, trigger.delay_s


def _side(step: PlannedStep | None, after: str | None) -> StepSide | None:
    if step is None:
        return None
    return StepSide(
        order=step.order,
        trigger=step.trigger.says,
        expected_at_s=step.expected_at_s,
        backup=step.trigger.backup,
        after=after,
        turned_at=step.turned_at,
        person=step.person,
    )
