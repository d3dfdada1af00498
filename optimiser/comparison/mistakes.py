"""What single mistakes would do, and which steps come close together: what the crew is told otherwise."""

from __future__ import annotations

import re

from optimiser.case.mistakes_document import CloseSteps, MistakeResult
from optimiser.case.plan_document import PlanDocument
from optimiser.comparison.comparison_document import MistakeDifference, MistakeSide, Words
from optimiser.comparison.steps import Key, steps_by_key


def mistake_differences(a: PlanDocument, b: PlanDocument) -> list[MistakeDifference]:
    """Of each step of plan B the worst mistake, in their order; none where they were not played for both."""
    if a.mistakes is None or b.mistakes is None:
        return []
    in_a, in_b = _worst(a), _worst(b)
    return [
        MistakeDifference.model_validate({"action": key[0], "label": key[1], "a": in_a.get(key), "b": one})
        for key, one in in_b.items()
        if in_a.get(key) != one
    ]


def due_together(a: PlanDocument, b: PlanDocument) -> list[Words]:
    """Groups of close steps that only one plan has, in another order, or with another word of which must not wait."""
    if a.mistakes is None or b.mistakes is None:
        return []
    in_a, in_b = _groups(a), _groups(b)
    found = []
    for steps in dict.fromkeys([*in_b, *in_a]):
        x, y = in_a.get(steps), in_b.get(steps)
        if x is None or y is None or _told(x) != _told(y):
            what = ", ".join(sorted(f"{action} {label}" for action, label, _ in steps))
            found.append(Words(what=what, a=None if x is None else x.says, b=None if y is None else y.says))
    return found


def _worst(plan: PlanDocument) -> dict[Key, MistakeSide]:
    results = [] if plan.mistakes is None else plan.mistakes.results
    worst = {one.step: one for one in results if one.worst_of_step}
    return {key: _side(worst[step.order]) for key, step in steps_by_key(plan).items() if step.order in worst}


def _side(one: MistakeResult) -> MistakeSide:
    spoils = not one.nothing_flows and not (one.clean and one.in_time and not one.may_pass_stop_time)
    return MistakeSide(mistake=one.mistake, other_label=one.other_label, does=one.does, spoils=spoils)


def _groups(plan: PlanDocument) -> dict[frozenset[Key], CloseSteps]:
    keys = {step.order: key for key, step in steps_by_key(plan).items()}
    close = [] if plan.mistakes is None else plan.mistakes.close
    return {frozenset(keys[step] for step in one.steps if step in keys): one for one in close}


def _told(one: CloseSteps) -> tuple[object, ...]:
    """Without the numbers of the steps and the seconds between them, which alone change nothing."""
    return one.labels, one.must_not_wait, re.sub(r"\d+", "", one.says)
