"""The contests as a page: how often ours is better and by how much, then every layout and rule."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from statistics import median

from benchmarks.by_hand.contest import Contest
from benchmarks.by_hand.outcome import NO_SLOWER_S, Outcome, Standing, is_faster_but_fails_in_spread, why_worse
from benchmarks.by_hand.rules import RULES
from benchmarks.page import table
from optimiser.case.printed_minutes import wet_out_min

_PAGE = """# By hand, and by choice

Written by `python -m benchmarks.by_hand --write --layouts {count} --seed {seed}`. {machine}

What a lead would do without any calculation, common practice, no source: **all at once**; **outward on reach** from
the middle line, each tap when resin stands along its line; **edge to edge**, the same from the first or the last line,
whichever comes out safer; the **clock of last time**, the minutes at which outward on reach opened its taps on a day
with resin and mould 5 K warmer (or as far as the resin's data go) and all permeability 15 % higher, replayed by the
clock today. Vents are clamped by sight. **Ours** is the plan. All are played on the same full network and, where clean
as planned, in the spread that the case states: permeability higher, lower, and patchy in three ways. Single mistakes,
variations and remedies were left out. Where a rule did better than ours, ours was made once more with that rule's
sequence as the shop's own (`rules.own_sequence` of a case).

Safety comes first, in this order: *locks* (air closed in as planned), *never wet*, *fails in spread* (clean as
planned, not in the spread), *too late* (clean in all, wet after the gel limit), *admissible*. Of two that stand alike
the one with fewer litres locked, or wet sooner by more than a second, is better.

The hull-like layouts (seed {seed}) are drawn by `benchmarks/by_hand/hull_like.py`, all invented: 3 to 7 lines in 1 to 3
sections, frames, pads, windows and transoms, on cells of 110 mm, searched on 150 mm with 80 zones and 2 turns of the
choice. Such cells are coarse for bays of half a metre: what is compared is sequences on one network, not boats.

{verdict}

## How often, and by how much

{standings}

Ours against each rule. A gain is what of the rule's wet-out is saved where both stand alike and lock nothing. Slower
for safety: the rule is sooner and clean as planned, and fails in the spread, which ours does not.

{duels}

## Demo cases

{demos}

## Hull-like layouts

{layouts}
"""


def page(machine: str, seed: int, demos: list[Contest], layouts: list[Contest]) -> str:
    every = [*demos, *layouts]
    return _PAGE.format(
        machine=machine,
        seed=seed,
        count=len(layouts),
        verdict=_verdict(every),
        standings=_standings(every),
        duels=_duels(every),
        demos=_lines(demos),
        layouts=_lines(layouts),
    )


def _verdict(every: list[Contest]) -> str:
    sentences = [sentence for contest in every for sentence in contest.violations]
    if not sentences:
        return f"Over {len(every)} layouts ours was nowhere worse than any of the rules."
    listed = "\n".join(f"- {sentence}" for sentence in sentences)
    return f"**OURS WAS WORSE {len(sentences)} TIMES** in {len(every)} layouts:\n\n{listed}"


def _standings(every: list[Contest]) -> str:
    heads = ("", *(one.words for one in Standing), "litres locked, median of those", "most")
    return table(
        heads,
        [
            _standing_row("ours", [contest.ours for contest in every]),
            *(_standing_row(rule, [contest.rules[rule] for contest in every]) for rule in RULES),
        ],
    )


def _standing_row(name: str, outcomes: list[Outcome]) -> tuple[object, ...]:
    counts = [sum(one.standing is standing for one in outcomes) for standing in Standing]
    locked = [one.locked_litres for one in outcomes if one.standing is Standing.LOCKS]
    return (name, *counts, *((f"{median(locked):.2f}", f"{max(locked):.2f}") if locked else ("-", "-")))


def _duels(every: list[Contest]) -> str:
    heads = (
        *("rule", "ours stands safer", "alike, ours better", "gain, median", "most"),
        *("as good as ours", "slower for safety", "OURS WORSE"),
    )
    return table(heads, [_duel_row(rule, [(contest.ours, contest.rules[rule]) for contest in every]) for rule in RULES])


def _duel_row(rule: str, pairs: list[tuple[Outcome, Outcome]]) -> tuple[object, ...]:
    def count(holds: Callable[[Outcome, Outcome], bool]) -> int:
        return sum(holds(ours, by_hand) for ours, by_hand in pairs)

    gains = [
        1 - ours.wet_out_s / by_hand.wet_out_s
        for ours, by_hand in pairs
        if ours.standing is by_hand.standing and ours.clean and ours.wet_out_s < by_hand.wet_out_s - NO_SLOWER_S
    ]
    return (
        rule,
        count(lambda ours, by_hand: ours.standing < by_hand.standing),
        count(lambda ours, by_hand: ours.standing is by_hand.standing and bool(why_worse(by_hand, ours))),
        *((f"{median(gains):.0%}", f"{max(gains):.0%}") if gains else ("-", "-")),
        count(lambda ours, by_hand: not why_worse(ours, by_hand) and not why_worse(by_hand, ours)),
        count(lambda ours, by_hand: is_faster_but_fails_in_spread(by_hand, ours)),
        count(lambda ours, by_hand: bool(why_worse(ours, by_hand))),
    )


def _lines(contests: list[Contest]) -> str:
    heads = (
        *("layout", "cells", "taps", "rule", "stands", "wet-out min"),
        *("locked litres", "gel margin min", "tap actions"),
    )
    return table(heads, (row for contest in contests for row in _rows(contest)))


def _rows(contest: Contest) -> Iterator[tuple[object, ...]]:
    whose = {f"ours: {contest.chosen}": contest.ours, **contest.rules}
    for rule, one in whose.items():
        yield (
            *(contest.layout, contest.cells, contest.taps, rule, one.standing.words),
            *(_minutes(wet_out_min(one.wet_out_s)), f"{one.locked_litres:.2f}"),
            *(_minutes(math.floor(one.margin_s / 6) / 10 if math.isfinite(one.margin_s) else None), one.tap_actions),
        )


def _minutes(value: float | None) -> str:
    return "-" if value is None or math.isinf(value) else f"{value:.1f}"
