"""Which steps are called for within the time that a pair of hands needs for one, and which must not be the late one.

Common practice, no source: what is called for together is done one after the other, and the one left for last is late.
"""

from __future__ import annotations

from itertools import pairwise

from optimiser.case.mistake_words import named_step
from optimiser.case.mistakes_document import CloseSteps
from optimiser.filling.tap_play import DueStep
from optimiser.part.sequence import TriggerKind
from optimiser.part.shot import Shot
from optimiser.plan.mistakes import MistakeKind
from optimiser.plan.play_mistakes import PlayedMistake


def close_steps(
    shot: Shot, steps: tuple[DueStep, ...], played: tuple[PlayedMistake, ...], order: dict[int, int]
) -> list[CloseSteps]:
    """Groups of two and more, in the order of the calls; steps of the start are done before it and are no matter.

    steps: as they were done. order: their printed numbers, by their places in the sequence.
    """
    late = {one.mistake.step: one for one in played if one.mistake.kind is MistakeKind.LATE}
    return [_close(shot, group, late, order) for group in _groups(shot, steps) if len(group) > 1]


def _groups(shot: Shot, steps: tuple[DueStep, ...]) -> list[list[DueStep]]:
    called = sorted(
        (one for one in steps if one.step.trigger.kind is not TriggerKind.START),
        key=lambda one: (one.called_s, one.index),
    )
    groups = [[one] for one in called[:1]]
    for before, one in pairwise(called):
        if one.called_s - before.called_s < shot.crew.action_s:
            groups[-1].append(one)
        else:
            groups.append([one])
    return groups


def _close(shot: Shot, group: list[DueStep], late: dict[int, PlayedMistake], order: dict[int, int]) -> CloseSteps:
    within_s = group[-1].called_s - group[0].called_s
    ranked = sorted(group, key=lambda one: late[one.index].harm.rank, reverse=True)
    clear = late[ranked[0].index].harm.rank > late[ranked[1].index].harm.rank
    first = ranked[0] if clear else None
    return CloseSteps(
        steps=[order[one.index] for one in group],
        labels=[one.step.label for one in group],
        within_s=within_s,
        hands_suffice=len(group) <= shot.crew.hands,
        must_not_wait=first.step.label if first is not None else None,
        says=_says(shot, order, group, first, within_s=within_s),
    )


def _says(
    shot: Shot, order: dict[int, int], group: list[DueStep], first: DueStep | None, *, within_s: float
) -> str:
    numbers, names = [str(order[one.index]) for one in group], [one.step.label for one in group]
    due = f"Steps {_listed(numbers)} ({_listed(names)}) are due within {max(1, round(within_s))} s"
    must = "none does more harm than the others" if first is None else f"{_named(order, first)} does the most harm"
    if len(group) <= shot.crew.hands:
        return f"{due}: one of you at each. If one of them is late, {must}."
    hands = "there is one of you" if shot.crew.hands == 1 else f"there are {shot.crew.hands} of you"
    if first is None:
        return f"{due} and {hands}. Act as they call: late, {must}."
    return f"{due} and {hands}. If they call at once, {_named(order, first)} first: late, it does the most harm."


def _named(order: dict[int, int], one: DueStep) -> str:
    return named_step(order[one.index], one.step.label)


def _listed(names: list[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}"
