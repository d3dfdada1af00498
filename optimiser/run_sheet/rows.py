"""What the rows of the tap table say."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby

from optimiser.case.plan_document import PlanDocument, PlannedStep
from optimiser.case.shown_label import shown_label
from optimiser.run_sheet.along_vent import fills_along
from optimiser.run_sheet.bleeding import Bleeding, bled_kg, bleedings
from optimiser.run_sheet.container_mix import poured_before
from optimiser.run_sheet.gaps_beside import gaps_beside, lies_at_an_edge
from optimiser.run_sheet.last_vent import WHICHEVER_IS_LAST, before_last_vent, shuts_feeds_first
from optimiser.run_sheet.ranges import step_range
from optimiser.run_sheet.tool_side_wait import ToolSideWait
from optimiser.run_sheet.typeface import NO_BREAK
from optimiser.run_sheet.wording import (
    CLOCK_BLANK,
    SHORT_BLANK,
    in_one_sense,
    is_short,
    kilograms,
    listed,
    sentence,
    step_minutes,
)


@dataclass(frozen=True, kw_only=True)
class StepRow:
    """One turn of one tap."""

    order: int
    label: str
    action: str
    """OPEN, CLOSE or CLAMP."""
    what: str
    """What is turned, in words: 'tap, line 3'."""
    first: tuple[Bleeding | ToolSideWait, ...]
    """What is done, or waited for, after the step before it, each with a box of its own to tick."""
    fills: bool
    """True: the step lets resin in."""
    minute: str
    """'min 24', or 'not expected' where the calculated run never came to it."""
    spread: str
    """'19–31', or why it is not expected; may be empty."""
    amount: str
    """Resin drawn by then, may be empty."""
    flow: str
    """The flow right after it, through all taps that are open: something to look at, not to set; may be empty."""
    own_trigger: str
    """Its own sentence, where the steps of one trigger are worded differently; else empty."""
    own_backup: str
    beware: str
    """At a vent; empty: nothing."""


@dataclass(frozen=True, kw_only=True)
class StepGroup:
    """Steps that one trigger calls for, done in this order."""

    call: str
    """START, WAIT or CLOCK."""
    says: str
    """The trigger sentence; empty where each row has its own."""
    backup: str
    rows: tuple[StepRow, ...]
    ahead: tuple[Bleeding | ToolSideWait, ...]
    """What is done before the trigger comes, each with a box of its own to tick."""
    hands: int
    if_together: str = ""
    """Which of several steps comes first where they are due at once; empty: as they come."""
    along: str = ""
    """Which part of a vent fills first, which last; empty: not known, or no vent."""

    @property
    def count(self) -> str:
        """All of them on the one sign, also where the place by another tap looks dry yet."""
        actions = len(self.rows)
        if actions == 1:
            return "1 action"
        sign = " on this one sign" if self.call == "WAIT" else ""
        if self.hands == 1:
            return f"{actions} actions{sign}, one after the other"
        at_once = "at once" if self.hands >= actions else f"{self.hands} at a time, in this order"
        return f"{actions} actions{sign}, {at_once}"


_CALLS = {"start": "START", "reached": "WAIT", "wet_up_to": "WAIT", "clock": "CLOCK"}
_WEIGHT = re.compile(r"After (\d+(?:\.\d+)?) kg")
_IF_TOGETHER = re.compile(r"If they (?:come due|call) [^.]*")
"""As the plan says it; earlier plans said 'call'."""
NEVER_BY_KG = "Do NOT go by kg. CALL"
ALL_ABOVE_ON_TIME = ", only if all steps above are done, none late, none below done; else CALL"
"""A weight counts what every tap before it let in, and no other."""
NEVER_CLAMP_BLIND = "Do NOT clamp. CALL"
_FALLBACK_SAYS = {
    "start": "At the start",
    "reached": "When resin gets there",
    "wet_up_to": "When all is wet up to there",
    "clock": "By the clock",
}


def step_groups(plan: PlanDocument) -> list[StepGroup]:
    """The steps in order; neighbours with the same trigger together."""
    short = is_short(plan.wet_out_s)
    steps = sorted(plan.steps, key=lambda step: step.order)
    groups: list[StepGroup] = []
    for _, same in groupby(steps, key=_same_trigger):
        groups.append(_told_apart(_group(plan, list(same), short=short), groups))
    return groups


def _told_apart(group: StepGroup, before: list[StepGroup]) -> StepGroup:
    """Once the tap of an earlier step is open its weight is soon passed, so the same weight calls for nothing more."""
    by_weight = group.backup.startswith("After ")
    weight = group.backup.partition(",")[0]
    twins = by_weight and any(one.backup.partition(",")[0] == weight for one in before)
    return replace(group, backup=NEVER_BY_KG) if twins else group


def every_row(groups: list[StepGroup]) -> Iterator[StepRow]:
    for group in groups:
        yield from group.rows


def _same_trigger(step: PlannedStep) -> tuple[object, ...]:
    trigger = step.trigger
    return trigger.kind, trigger.place, trigger.share, trigger.at_s, trigger.delay_s


def _group(plan: PlanDocument, steps: list[PlannedStep], *, short: bool) -> StepGroup:
    triggers = [step.trigger for step in steps]
    says = _shared([_says(plan, step) for step in steps])
    backup = _shared([_backup(plan, step, steps[0].order) for step in steps])
    bled, call = bleedings(plan), _CALLS[triggers[0].kind]
    ahead = next((step for step in steps if step.order in bled), None)
    rows = [
        _row(plan, step, short=short, says=says, backup=backup, first=None if step is ahead else again, of=steps[0])
        for step, again in ((one, bled.get(one.order)) for one in steps)
    ]
    return StepGroup(
        call=call,
        says=says,
        backup=backup,
        rows=tuple(rows),
        ahead=(*_mix_before(plan, steps), *(() if ahead is None else (bled[ahead.order],))),
        hands=plan.conditions.hands,
        if_together=_if_together(plan, steps),
        along=fills_along(plan, steps[0]),
    )


def _mix_before(plan: PlanDocument, steps: list[PlannedStep]) -> tuple[ToolSideWait, ...]:
    """The second mix into the container, above the first steps that the first mix does not reach."""
    found = poured_before(plan)
    return (found[1],) if found and found[0] in {step.order for step in steps} else ()


def _if_together(plan: PlanDocument, steps: list[PlannedStep]) -> str:
    """Said where the first of them calls: nobody turns to another page with several taps due."""
    close = [] if plan.mistakes is None else plan.mistakes.close
    orders = {step.order for step in steps}
    found = [_IF_TOGETHER.search(one.says) for one in close if min(one.steps, default=0) in orders]
    return ". ".join(in_one_sense(one[0]) for one in found if one is not None)


def _what(plan: PlanDocument, step: PlannedStep) -> str:
    """Which tap, where the crew walks at which manifold, and by whom: the plan says it, or the crew writes it."""
    what = f"tap, {step.line}" if step.kind == "line" else "vent"
    where = [f"at {step.turned_at}"] if step.turned_at is not None else []
    if step.person is not None:
        who = [f"person {step.person}"]
    else:
        who = [f"who{NO_BREAK}{SHORT_BLANK}"] if plan.conditions.hands > 1 else []
    return ", ".join([what, *where, *who])


def _shared(texts: list[str]) -> str:
    return texts[0] if len(set(texts)) == 1 else ""


def _says(plan: PlanDocument, step: PlannedStep) -> str:
    """A clamp shuts for good, so its trigger is more than resin in the vent. Common practice, no source."""
    says = sentence(step.trigger.says.strip()) or _FALLBACK_SAYS[step.trigger.kind]
    if step.trigger.kind == "clock":
        called, by, then = says.partition(" by the clock")
        return f"{called}{by} (TODAY {_time_of_day(step)}){then}"
    if step.action != "clamp" or step.trigger.kind != "reached":
        return says
    gaps = gaps_beside(plan, step.label)
    first = f". The gap '{gaps[0]}' fills first: that is not the signal" if gaps else ""
    where = "between it and the edge" if lies_at_an_edge(plan, step.label) else "all round it"
    return f"{says.rstrip('.')} AND nothing dry to the eye before it or {where}{first}"


def _time_of_day(step: PlannedStep) -> str:
    """Room for what the clock on the wall will show, with seconds where the moment is no whole minute."""
    whole = math.ceil(round(step.trigger.at_s or 0.0, 3)) % 60 == 0
    return CLOCK_BLANK if whole else f"{CLOCK_BLANK}:____"


def _amount(plan: PlanDocument, step: PlannedStep) -> str:
    """What has gone in, and what the scale or counter reads where some of it is in the flush pot."""
    if step.drawn_kg is None:
        return ""
    bled = bled_kg(plan, step.order)
    said = f"{kilograms(step.drawn_kg)} in"
    if not bled:
        return said
    sum_kg = round(step.drawn_kg, 1) + round(bled, 1)  # as it is added up on paper
    return f"{said} = {kilograms(sum_kg).removesuffix(' kg')} DRAWN"


def _backup(plan: PlanDocument, step: PlannedStep, first: int) -> str:
    """Never a weight for a clamp: it shuts for good, and what is behind it stays dry. Nor one that is there before
    anybody is free of the steps above. first: the order of the first step on its trigger.
    """
    if step.action == "clamp":
        return NEVER_CLAMP_BLIND if step.trigger.kind in ("reached", "wet_up_to") else ""
    if step.trigger.backup is None and step.trigger.kind in ("reached", "wet_up_to"):
        return NEVER_BY_KG
    said = sentence((step.trigger.backup or "").strip().removeprefix("or ").rstrip("."))
    weight = _WEIGHT.fullmatch(said)
    if weight is None:
        return said
    bled = bled_kg(plan, step.order)
    drawn = f" = {math.ceil(round(10 * (float(weight[1]) + bled), 4)) / 10:.1f} DRAWN" if bled else ""
    above = ALL_ABOVE_ON_TIME.replace("all steps above", "BLEED and all steps above", 1) if bled else ALL_ABOVE_ON_TIME
    busy = [one.order for one in plan.steps if one.order < first and (one.drawn_kg or 0.0) > float(weight[1])]
    if len(busy) >= plan.conditions.hands:
        return NEVER_BY_KG
    if busy:
        which = f"step{'s' if len(busy) > 1 else ''} {listed([str(order) for order in sorted(busy)])}"
        by_a_mate = above.replace("done", f"done ({which}: your mate may still be at it)", 1)
        return f"{said} in{drawn}{by_a_mate}"
    return f"{said} in{drawn}{above}"


def _flow(step: PlannedStep) -> str:
    """Nothing is to be looked at beside a vent that shuts."""
    if step.flow_kg_per_min is None or step.action == "clamp":
        return ""
    return f"first seconds: {step.flow_kg_per_min:.1f} kg/min"


def _when(plan: PlanDocument, step: PlannedStep, *, short: bool) -> tuple[str, str]:
    """Minute and range, or that the run never came to it: a tap, where all is wet before its trigger."""
    if step.expected_at_s is None:
        idle = step.action == "open" and plan.wet_out_s is not None
        return ("not expected", "all wet before") if idle else ("no time", "")
    minute, spread = step_minutes(step.expected_at_s, *step_range(plan, step), short=short)
    return f"min {minute}", spread


def _row(
    plan: PlanDocument,
    step: PlannedStep,
    *,
    short: bool,
    says: str,
    backup: str,
    first: Bleeding | None,
    of: PlannedStep,
) -> StepRow:
    """says, backup: what its group says. first: what is bled for it, unless that stands before the trigger. of: the
    first step of the group.
    """
    last = before_last_vent(plan, step)
    minute, spread = _when(plan, step, short=short)
    return StepRow(
        order=step.order,
        label=shown_label(step.label, step.kind),
        action=step.action.upper(),
        what=_what(plan, step),
        first=last or (() if first is None else (first,)),
        fills=step.action == "open",
        minute=minute,
        spread=spread,
        amount=_amount(plan, step),
        flow=_flow(step),
        own_trigger="" if says else _says(plan, step),
        own_backup="" if backup else _backup(plan, step, of.order),
        beware=WHICHEVER_IS_LAST if step.action == "clamp" and not shuts_feeds_first(plan, step) else "",
    )
