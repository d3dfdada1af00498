"""Rules of the taps that ask for nothing, were not looked at, or are kept with nothing to spare."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.pointer import pointer
from optimiser.case.printed_minutes import limit_min
from optimiser.case.proof_words import only_checked
from optimiser.filling.fill_run import FillRun
from optimiser.part.sequence import Action, Sequence
from optimiser.part.shot import Shot
from optimiser.plan.keep_rules import may_be_played
from optimiser.plan.result import PlanResult
from optimiser.plan.rules_of_taps import open_spans
from optimiser.plan.shop_rules import required_left_shut, starts_as_given
from optimiser.units import min_from_s


def rule_warnings(shot: Shot, result: PlanResult, *, verified: bool) -> Iterator[str]:
    """Of a plan; what the case alone shows is told by `latest_after_gel`."""
    yield from latest_after_gel(shot, result.scenes.resin_clock.limit_s(shot.process.gel_fraction))
    yield from _turn_of_shut_lines(shot, result.chosen.run)
    yield from _closed_before_opened(result.chosen.sequence, result.chosen.run)
    if not only_checked(result):
        yield from _own_sequence_not_played(shot)
    if verified:
        yield from _no_time_to_spare(shot, result)


def latest_after_gel(shot: Shot, limit_s: float) -> Iterator[str]:
    """limit_s: the gel limit, in whose time all must be wet anyway."""
    for place, (label, latest_s) in enumerate(shot.rules.latest_s):
        if latest_s > limit_s:
            yield (
                f"{pointer('rules', 'latest', place, 'latest_min')}: minute {min_from_s(latest_s):g} for line {label} "
                f"is after the gel limit, minute {limit_min(limit_s):.1f}, and asks for nothing: is it in minutes from "
                "the first tap?"
            )


def _turn_of_shut_lines(shot: Shot, run: FillRun) -> Iterator[str]:
    opened = open_spans(run)
    shut = [label for label in shot.rules.order if label not in opened]
    if shut:
        several = len(shut) > 1
        yield (
            f"{pointer('rules', 'order')}: {', '.join(shut)} of {', '.join(shot.rules.order)} "
            f"stay{'' if several else 's'} shut here, so that {'their' if several else 'its'} turn asks for nothing; "
            f"make {'them' if several else 'it'} required where {'they' if several else 'it'} must open"
        )


def _closed_before_opened(sequence: Sequence, run: FillRun) -> Iterator[str]:
    """Of a written sequence: turned in another order than it is listed, as the resin or the crew came."""
    opened: set[str] = set()
    for one in run.steps:
        if one.step.action is Action.OPEN:
            opened.add(one.step.label)
        elif one.step.action is Action.CLOSE and one.step.label not in opened:
            later = " and is opened later and stays open" if one.step.label in sequence.opened_labels() else ""
            yield (
                f"close {one.step.label} is called for at minute {min_from_s(one.called_s):.1f}, when that tap is shut"
                f"{later}: let it wait for something that comes after the opening"
            )


def _own_sequence_not_played(shot: Shot) -> Iterator[str]:
    """What cannot be the plan whatever it does is not among those that were played."""
    own, path = shot.rules.own_sequence, pointer("rules", "own_sequence")
    if own is None or may_be_played(shot, own):
        return
    shut = required_left_shut(shot, own.opened_labels())
    if not starts_as_given(shot, own):
        asked = _names(shot.rules.start_labels)
        why = f"it opens {_names(own.start_labels())} at the start, and rules/start asks for {asked}"
    elif shut:
        why = f"it leaves {_names(shut)} shut, which {'are' if len(shut) > 1 else 'is'} required"
    else:
        why = "it opens two lines at the start that rules/never_at_once keeps apart"
    yield f"{path} was not played: {why}. `tapcall check` plays it as it stands"


def _no_time_to_spare(shot: Shot, result: PlanResult) -> Iterator[str]:
    """Less than one action of the crew, or than one tick of the choice, in any run that was verified."""
    chosen, least_s = result.chosen, max(shot.crew.action_s, shot.search.tick_s)
    opened = [open_spans(run) for run in chosen.runs]
    for place, (label, latest_s) in enumerate(shot.rules.latest_s):
        times_s = [spans[label][0][0] for spans in opened if label in spans]
        spare_s = max(0.0, latest_s - max(times_s)) if times_s else least_s
        if spare_s < least_s and label not in chosen.sequence.start_labels():
            yield (
                f"{pointer('rules', 'latest', place)}: line {label} has been opened {spare_s:.0f} s before minute "
                f"{min_from_s(latest_s):g}, at the latest in the spread; one action takes {shot.crew.action_s:g} s: "
                "who is late by more breaks the rule"
            )


def _names(labels: tuple[str, ...]) -> str:
    return ", ".join(labels) if labels else "no line"
