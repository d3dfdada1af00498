"""Rules of taps, judged on what was played: the order, pairs, groups, latest times, and taps that must open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from math import inf

from optimiser.filling.fill_run import FillRun
from optimiser.part.sequence import Action, Sequence
from optimiser.part.shot import Shot
from optimiser.plan.shop_rules import against_order, required_left_shut

_SAME_MOMENT_S = 1.0
"""Nobody at the taps can tell less."""


class TapRule(StrEnum):
    """As a lead says that it is broken, after the name of a sequence."""

    ORDER = "opens taps against the given order"
    AT_ONCE = "has two taps open at once that must not be"
    TOGETHER = "does not open together what opens together"
    LATEST = "opens a tap after its latest time"
    REQUIRED = "leaves a required tap shut"


@dataclass(frozen=True, kw_only=True)
class Broken:
    rule: TapRule
    labels: tuple[str, ...]
    """Of AT_ONCE the one that should be shut, then the other."""
    by_s: float
    """AT_ONCE: how long both are open; TOGETHER: between first and last, infinity where one stays shut; LATEST: how
    much too late, infinity where it stays shut; REQUIRED: infinity."""
    allowed_s: float = 0.0


def broken_rule(shot: Shot, sequence: Sequence, run: FillRun) -> str:
    """The first rule that was not kept in this run of the sequence, in words; empty: all were."""
    if against_order(shot, run) is not None:
        return TapRule.ORDER.value
    return next((one.rule.value for one in broken_rules(shot, sequence, run)), "")


def broken_in_any(shot: Shot, sequence: Sequence, runs: Iterable[FillRun]) -> str:
    """The first rule but the order that was not kept in one of these runs, in words; empty: all were."""
    return next((one.rule.value for run in runs for one in broken_rules(shot, sequence, run)), "")


def broken_rules(shot: Shot, sequence: Sequence, run: FillRun) -> Iterator[Broken]:
    """All but the order, for which `against_order` speaks.

    What counts is what was done: a tap whose turn the run never came to has stayed shut, whatever the sequence says of
    it; and a rule about it is kept only where the sequence leaves it out too.
    """
    spans = open_spans(run)
    shut = required_left_shut(shot, spans)
    if shut:
        yield Broken(rule=TapRule.REQUIRED, labels=shut, by_s=inf)
    wanted = {*sequence.opened_labels(), *shut}
    for pair in shot.rules.never_at_once:
        both_s, first, second = max((_both_open_s(spans, a, b), a, b) for a, b in (pair, pair[::-1]))
        if both_s > _SAME_MOMENT_S:
            yield Broken(rule=TapRule.AT_ONCE, labels=(first, second), by_s=both_s)
    for group in shot.rules.together:
        opened = [spans[label][0][0] for label in group if label in spans]
        if wanted.isdisjoint(group):
            continue
        within = max(opened) - min(opened) if len(opened) == len(group) else inf
        allowed = shot.crew.within_s(group)
        if within > allowed + _SAME_MOMENT_S:
            yield Broken(rule=TapRule.TOGETHER, labels=group, by_s=within, allowed_s=allowed)
    for label, latest_s in shot.rules.latest_s:
        opened_s = spans[label][0][0] if label in spans else inf
        late_s = opened_s - latest_s if label in wanted else 0.0
        if late_s > _SAME_MOMENT_S:
            yield Broken(rule=TapRule.LATEST, labels=(label,), by_s=late_s, allowed_s=latest_s)


def called_apart(shot: Shot, sequence: Sequence) -> str:
    """The rule of groups, where not all of one is called for by one trigger: together by chance is not kept."""
    for group in shot.rules.together:
        calls = [step for step in sequence.steps if step.action is Action.OPEN and step.label in group]
        if calls and (len(calls) < len(group) or len({step.trigger for step in calls}) > 1):
            return TapRule.TOGETHER.value
    return ""


def open_spans(run: FillRun) -> dict[str, list[tuple[float, float]]]:
    """From when to when each tap was open; one that was not shut again, to the end of the run."""
    spans: dict[str, list[tuple[float, float]]] = {}
    for one in run.steps:
        label, now_s = one.step.label, one.done_s
        if one.step.action is Action.OPEN:
            spans.setdefault(label, []).append((now_s, run.end_s))
        elif one.step.action is Action.CLOSE and label in spans:
            spans[label][-1] = (spans[label][-1][0], now_s)
    return spans


def _both_open_s(spans: dict[str, list[tuple[float, float]]], first: str, second: str) -> float:
    """The longest time that the second, opened no sooner than the first, is open while the first still is."""
    return max(
        (
            min(first_end, end) - begin
            for first_begin, first_end in spans.get(first, [])
            for begin, end in spans.get(second, [])
            if begin >= first_begin
        ),
        default=0.0,
    )
