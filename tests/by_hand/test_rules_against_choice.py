"""The benchmark of rules by hand: its layouts, last time's clock, and that it notices where the choice is worse."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import Any

import pytest

import benchmarks.by_hand.__main__ as program
from benchmarks.by_hand.contest import Contest, contest_of
from benchmarks.by_hand.hull_like import hull_like
from benchmarks.by_hand.outcome import Outcome, Standing, why_worse
from benchmarks.by_hand.page import page
from benchmarks.by_hand.rules import FROM_MIDDLE, LAST_CLOCK, MORE_PERMEABLE, RULES, sequences_of
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.filling.many_runs import run_scene
from optimiser.part.sequence import Action, TriggerKind
from optimiser.plan.scenes import FULL, limits_of, scenes_of


def tiny(lines: int, **other: Any) -> Case:
    """A small layout of undivided lines on cells far too coarse for a real part."""
    data = hull_like(1, 65)
    search = data["search"] | {"cell_mm": 250, "coarse_cell_mm": 250, "rounds": 1}
    return case_from_mapping(data | {"feed_lines": data["feed_lines"][:lines], "search": search} | other)


@pytest.fixture(scope="module")
def contests() -> list[Contest]:
    return [contest_of(f"{lines} lines", tiny(lines)) for lines in (2, 3)]


def outcome(standing: Standing, wet_out_s: float = 900.0, locked_litres: float = 0.0) -> Outcome:
    return Outcome(
        standing=standing, wet_out_s=wet_out_s, locked_litres=locked_litres, margin_s=60.0, tap_actions=5
    )


# ---- the layouts -------------------------------------------------------------------------------------------


def test_a_layout_follows_from_seed_and_number() -> None:
    """The same twice, another for another number or seed."""
    assert hull_like(3, 7) == hull_like(3, 7)
    assert hull_like(3, 7) != hull_like(3, 8)
    assert hull_like(3, 7) != hull_like(4, 7)


def test_layouts_are_read_as_cases_and_differ_in_what_matters() -> None:
    """Twenty are read without fault; among them are all counts of lines and sections, both supplies, slow and fast."""
    cases = [case_from_mapping(hull_like(1, number)).document for number in range(1, 21)]
    assert {len(case.feed_lines) for case in cases} == {3, 4, 5, 6, 7}
    assert {len(case.feed_lines[0].sections) for case in cases} == {1, 2, 3}
    assert {case.supply.kind for case in cases} == {"open_container", "metering_machine"}
    assert {1, 2, 3} == {case.crew.hands for case in cases}
    laid = {area.laminate for case in cases for area in case.areas}
    assert laid == {"sandwich", "deep grooves", "shallow grooves", "solid"}
    assert {len(case.sheet.outlines) for case in cases if hasattr(case.sheet, "outlines")} == {1, 2}


# ---- the clock of last time --------------------------------------------------------------------------------


def test_last_times_clock_is_ahead_by_viscosity_and_permeability() -> None:
    """The first tap goes by Darcy's law (1856): fill times go as viscosity over permeability, 200 / 250 over 1.15.

    Not quite, as pipes and hoses let no more through that day than this.
    """
    at_20_c = hull_like(1, 65)["process"] | {"mould_temperature_c": 20, "resin_temperature_c": 20}
    container = {"kind": "open_container", "surface_height_mm": 0, "manifold_volume_litres": 0.5}
    shot = tiny(3, process=at_20_c, supply=container).shot
    scenes = scenes_of(shot)
    sequences = sequences_of(shot, scenes)
    [outward], [clock] = sequences[FROM_MIDDLE], sequences[LAST_CLOCK]
    run = run_scene(scenes.all[FULL], outward, limits_of(shot, scenes.gel_time_s))
    today_s = min(one.called_s for one in run.steps if one.step.action is Action.OPEN and one.called_s > 0)
    by_clock = [step.trigger.at_s for step in clock.steps if step.trigger.kind is TriggerKind.CLOCK]
    assert len(by_clock) == 2
    assert min(at_s for at_s in by_clock if at_s is not None) / today_s == pytest.approx(
        200 / 250 / MORE_PERMEABLE, rel=0.02
    )


# ---- who is worse ------------------------------------------------------------------------------------------


def test_the_choice_is_no_worse_than_any_rule(contests: list[Contest]) -> None:
    """On two tiny layouts; all at once locks air there, so that there is something to be better than."""
    for contest in contests:
        assert contest.violations == []
        assert set(contest.rules) == set(RULES)
        assert contest.rules["all at once"].standing is Standing.LOCKS
        assert contest.ours.standing is Standing.ADMISSIBLE


@pytest.mark.parametrize(
    ("ours", "by_hand"),
    [
        (outcome(Standing.LOCKS, locked_litres=0.1), outcome(Standing.TOO_LATE)),
        (outcome(Standing.LOCKS, locked_litres=0.1), outcome(Standing.LOCKS, locked_litres=0.05)),
        (outcome(Standing.FAILS_IN_SPREAD), outcome(Standing.TOO_LATE, 2000.0)),
        (outcome(Standing.TOO_LATE), outcome(Standing.ADMISSIBLE)),
        (outcome(Standing.ADMISSIBLE, 902.0), outcome(Standing.ADMISSIBLE)),
    ],
)
def test_worse_is_less_safe_and_of_equals_later(ours: Outcome, by_hand: Outcome) -> None:
    """Locked before late, litres before minutes; never both ways."""
    assert why_worse(ours, by_hand)
    assert not why_worse(by_hand, ours)


def test_slower_for_safety_and_within_a_second_are_not_worse() -> None:
    """A rule that is sooner and fails in the spread is no better, nor is one that is sooner by a second."""
    assert not why_worse(outcome(Standing.ADMISSIBLE, 900.0), outcome(Standing.FAILS_IN_SPREAD, 600.0))
    assert not why_worse(outcome(Standing.ADMISSIBLE, 900.9), outcome(Standing.ADMISSIBLE, 900.0))


def test_a_worse_choice_is_told_loudly_and_ends_with_1(
    contests: list[Contest], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """As is, the program ends with 0; with a choice that locks half a litre it says so on the page and ends with 1."""

    def program_with(found: list[Contest]) -> tuple[int, str]:
        monkeypatch.setattr(program, "contests", lambda *_: iter(found))
        monkeypatch.setattr(program, "demo_case_names", lambda: [found[0].layout])
        monkeypatch.setattr(sys, "argv", ["by_hand"])
        return program.main(), capsys.readouterr().out

    code, text = program_with(contests)
    assert (code, "OURS WAS WORSE" in text) == (0, False)
    locks: dict[str, Any] = {"ours": outcome(Standing.LOCKS, locked_litres=9.5)}
    told = {rule: outcome(Standing.ADMISSIBLE) for rule in RULES}
    code, text = program_with([replace(contests[0], **locks, told=told), contests[1]])
    assert code == 1
    assert "**OURS WAS WORSE 4 TIMES** in 2 layouts" in text
    assert text.count("IS LESS SAFE than") + text.count("LOCKS MORE than") == 4


def test_the_page_counts_what_the_lines_say(contests: list[Contest]) -> None:
    """One line for each layout and rule and for ours, and counts that add up to the layouts."""
    lines = page("Some machine.", 1, contests[:1], contests[1:]).splitlines()
    for rule in RULES:
        [counted, duel, *each] = [line for line in lines if line.startswith(f"| {rule} |") or f"| {rule} |" in line]
        assert sum(int(cell) for cell in counted.split("|")[2:7]) == len(contests)
        cells = [cell.strip() for cell in duel.split("|")[2:-1]]
        assert sum(int(cells[k]) for k in (0, 1, 4, 6)) == len(contests)
        assert len(each) == len(contests)
