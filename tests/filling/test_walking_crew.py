"""Who turns which tap and when, where the crew walks between manifolds: sums of seconds."""

from __future__ import annotations

from typing import Any

import pytest

from optimiser.filling.fill_run import FillRun
from optimiser.filling.tap_play import standing_at_start
from optimiser.part.sequence import Action, Sequence
from optimiser.part.shot import Crew, TapPlace

PLACES = (TapPlace(name="AFT", labels=("0", "1")), TapPlace(name="FWD", labels=("2", "V")))
WALK_S = ((0.0, 40.0), (40.0, 0.0))


def crew(hands: int, **where: Any) -> Crew:
    return Crew(hands=hands, action_s=10.0, **({"places": PLACES, "walk_s": WALK_S} | where))


def played(mould: Any, who: Crew) -> FillRun:
    """A strip fed by '0' from the start; '1' and '2' are called for at second 100 by the clock, 'V' at 130."""
    part = mould.strip(1.0, 10, mould.laminate(), lines_at_m=(0.0, 0.4, 0.7))
    calls = ((Action.OPEN, "1", 100), (Action.OPEN, "2", 100), (Action.CLAMP, "V", 130))
    steps = (*mould.open_at_start("0"), *(mould.at_clock(*call) for call in calls))
    return mould.fill(part, 0.1, *steps, crew=who, smallest_lock_m2=1.0).run


def done(run: FillRun) -> dict[str, float]:
    return {one.step.label: one.done_s for one in run.steps}


def test_one_person_walks_to_the_other_manifold_after_the_first_tap(mould: Any) -> None:
    """At AFT from the start: '1' after 10 s; then 40 s to FWD and 10 s for '2'; then, being there, 10 s for 'V'."""
    assert done(played(mould, crew(1))) == pytest.approx({"0": 0, "1": 110, "2": 160, "V": 170})


def test_two_people_stand_one_at_each(mould: Any) -> None:
    """Person 2 stands at FWD, turns '2' at once and clamps 'V' when called; person 1 stays at AFT."""
    run = played(mould, crew(2))
    assert done(run) == pytest.approx({"0": 0, "1": 110, "2": 110, "V": 140})
    assert {one.step.label: one.person for one in run.steps} == {"0": None, "1": 0, "2": 1, "V": 1}


def test_a_tap_of_no_place_costs_no_walk(mould: Any) -> None:
    """With '2' at no manifold only 'V' is walked to."""
    places = (PLACES[0], TapPlace(name="FWD", labels=("V",)))
    assert done(played(mould, crew(1, places=places))) == pytest.approx({"0": 0, "1": 110, "2": 120, "V": 180})


def test_people_stand_where_taps_of_the_start_are_first(mould: Any) -> None:
    """A start at FWD puts the first person there; the third of three stands where the first does."""
    start = Sequence(steps=mould.open_at_start("2"))
    assert standing_at_start(crew(3), start) == [1, 0, 1]
    assert standing_at_start(crew(2, places=(), walk_s=()), start) == [None, None]


def test_hands_and_walks_say_how_far_apart_a_group_may_open() -> None:
    """Two taps and one person: one action more, and the way; with two people only the way."""
    assert crew(1).within_s(("1", "2")) == 50
    assert crew(2).within_s(("1", "2")) == 40
    assert crew(1).within_s(("0", "1")) == 10
