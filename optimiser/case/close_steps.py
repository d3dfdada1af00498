"""Which steps are called for within the time that a pair of hands needs for one, and which must not be the late one."""

from __future__ import annotations

from optimiser.case.mistake_words import named_step, shown_step
from optimiser.case.mistakes_document import CloseSteps
from optimiser.case.trigger_words import span
from optimiser.filling.tap_play import DueStep
from optimiser.part.shot import Shot
from optimiser.plan.bled_before import bled_before
from optimiser.plan.close_calls import close_calls
from optimiser.plan.mistakes import MistakeKind
from optimiser.plan.play_mistakes import PlayedMistake, PlayedMistakes


def close_steps(
    shot: Shot, steps: tuple[DueStep, ...], mistakes: PlayedMistakes, order: dict[int, int]
) -> list[CloseSteps]:
    """steps: as they were done. order: their printed numbers, by their places in the sequence."""
    late = {one.mistake.step: one for one in mistakes.played if one.mistake.kind is MistakeKind.LATE}
    return [_close(shot, group, late, order, refused=mistakes.order_refused) for group in close_calls(steps, shot.crew)]


def _close(
    shot: Shot, group: list[DueStep], late: dict[int, PlayedMistake], order: dict[int, int], *, refused: bool
) -> CloseSteps:
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
        most_harmful_first=None if first is None else first is min(group, key=lambda one: one.done_s),
        says=_says(shot, order, group, first, within_s=within_s, refused=refused) + _bled(shot, group),
    )


def _says(
    shot: Shot,
    order: dict[int, int],
    group: list[DueStep],
    first: DueStep | None,
    *,
    within_s: float,
    refused: bool,
) -> str:
    numbers, names = [str(order[one.index]) for one in group], [shown_step(one.step) for one in group]
    due = f"Steps {_listed(numbers)} ({_listed(names)}) are due within {max(1, round(within_s))} s"
    must = "none does more harm than the others" if first is None else f"{_named(order, first)} does the most harm"
    if len(group) <= shot.crew.hands:
        return f"{due}: one of you at each. If one of them is late, {must}."
    hands = "there is one of you" if shot.crew.hands == 1 else f"there are {shot.crew.hands} of you"
    if walk_s := max(one.walk_s for one in group):
        hands += f", up to {span(walk_s)} away"
    if first is None:
        return f"{due} and {hands}. Act as their triggers come: late, {must}."
    if first is min(group, key=lambda one: one.done_s):
        return f"{due} and {hands}. As planned {_named(order, first)} first: late, it does the most harm."
    if refused:
        return (
            f"{due} and {hands}. If they come due together: in the order of their numbers, one straight after the "
            f"other, and not {_named(order, first)} first: that was played, and more goes wrong then."
        )
    return f"{due} and {hands}. If they come due at once, {_named(order, first)} first: late, it does the most harm."


def _bled(shot: Shot, group: list[DueStep]) -> str:
    """Nobody knows how long it takes, so it is in no time of these steps; what it is done for at once stands there."""
    if not any(bled_before(shot, one.step) for one in group):
        return ""
    return " Bleeding comes on top of that time: begin it when the tap table says."


def _named(order: dict[int, int], one: DueStep) -> str:
    return named_step(order[one.index], one.step)


def _listed(names: list[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}"
