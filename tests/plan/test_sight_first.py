"""A faster order by the clock is given up for one by sight where there is time in hand, and the plan says so."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.case.plan_document import PlanDocument
from optimiser.case.planning import plan_case
from optimiser.case.read_case import case_from_mapping
from optimiser.part.sequence import Action, Sequence, Step, Trigger
from optimiser.part.sequence import TriggerKind as Kind
from optimiser.plan import sight_first as file
from optimiser.plan.result import Candidate, Verified
from optimiser.plan.sight_first import by_sight_where_time_allows

CLOCK_S, LIMIT_S = 200.0, 2200.0
"""Wet-out of the order by the clock, and when the last place has to be wet: a tenth of what is left are 200 s."""


def run(wet_out_s: float, *, clean: bool = True) -> Any:
    return SimpleNamespace(
        wet_out_s=wet_out_s, clean=clean, vent_drawn_m3=SimpleNamespace(sum=lambda: 0.0), locked_pore_m3=0.0
    )


def order(label: str, kind: Kind) -> Sequence:
    later = Trigger(kind=kind, at_s=100.0 if kind is Kind.CLOCK else None, place=None if kind is Kind.CLOCK else label)
    start = Step(action=Action.OPEN, label="start", trigger=Trigger(kind=Kind.START))
    return Sequence(steps=(start, Step(action=Action.OPEN, label=label, trigger=later)))


def candidate(label: str, wet_out_s: float, kind: Kind = Kind.REACHED, *, clean: bool = True) -> Candidate:
    return Candidate(
        name=label, sequence=order(label, kind), run=run(wet_out_s, clean=clean), patchy_runs=(), broken=""
    )


def verified(label: str, wet_out_s: float, kind: Kind = Kind.CLOCK) -> Verified:
    spread: Any = (SimpleNamespace(clean=True),)
    return Verified(name=label, sequence=order(label, kind), run=run(wet_out_s), spread_runs=spread, broken="")


@pytest.fixture
def stand_in(monkeypatch: pytest.MonkeyPatch) -> Any:
    """The order taken instead of one by the clock: its label, and the labels played on the full network."""

    def stand_in(
        candidates: list[Candidate],
        *,
        chosen: Verified | None = None,
        limit_s: float = LIMIT_S,
        locks: str = "",
        own: Sequence | None = None,
    ) -> tuple[str, list[str]]:
        first = chosen or verified("clock", CLOCK_S)
        chooser: Any = SimpleNamespace(
            shot=SimpleNamespace(rules=SimpleNamespace(own_sequence=own)),
            scenes=SimpleNamespace(resin_clock=None, full=None),
            patience=SimpleNamespace(search_is_over=False),
            candidates=candidates,
            limits=None,
        )
        played: list[str] = []

        def on_full(_: Any, asked: list[Candidate], *__: Any) -> list[Verified]:
            (one,) = asked
            played.append(one.name)
            return [Verified(name=one.name, sequence=one.sequence, run=one.run, spread_runs=(), broken="")]

        def with_spread(_: Any, one: Verified, __: Any) -> Verified:
            spread: Any = (SimpleNamespace(clean=one.name != locks),)
            return Verified(name=one.name, sequence=one.sequence, run=one.run, spread_runs=spread, broken="")

        monkeypatch.setattr(file, "on_full", on_full)
        monkeypatch.setattr(file, "with_spread", with_spread)
        monkeypatch.setattr(file, "judge_gel", lambda *asked: SimpleNamespace(margin_s=limit_s - asked[3].wet_out_s))
        found = by_sight_where_time_allows(chooser, first, [first], lambda *_: None, 0.9)
        return found.name, played

    return stand_in


def test_the_fastest_by_sight_within_a_tenth_of_the_time_in_hand_is_taken(stand_in: Any) -> None:
    """399 s are, 401 s are not."""
    assert stand_in([candidate("a", 399.0), candidate("b", 350.0)]) == ("b", ["b"])
    assert stand_in([candidate("a", 401.0)]) == ("clock", [])


def test_without_time_in_hand_the_clock_stays(stand_in: Any) -> None:
    """Wet when it has to be wet, or after it."""
    near = [candidate("a", CLOCK_S + 5)]
    assert stand_in(near, limit_s=CLOCK_S)[0] == "clock"
    assert stand_in(near, limit_s=CLOCK_S - 50)[0] == "clock"


def test_one_that_locks_in_the_spread_does_not_stand_in(stand_in: Any) -> None:
    """The next is tried; what locks as planned, or goes by the clock itself, is not."""
    assert stand_in([candidate("a", 250.0), candidate("b", 300.0)], locks="a") == ("b", ["a", "b"])
    assert stand_in([candidate("a", 250.0, clean=False), candidate("b", 250.0, Kind.CLOCK)]) == ("clock", [])


def test_what_goes_by_sight_already_is_left(stand_in: Any) -> None:
    """Nothing is played for it."""
    seen = verified("seen", CLOCK_S, Kind.REACHED)
    assert stand_in([candidate("a", 250.0)], chosen=seen) == ("seen", [])


def test_nothing_slower_than_the_shops_own_order_stands_in(stand_in: Any) -> None:
    """Where that was chosen itself, nor anything else that is slower."""
    own = verified("own", CLOCK_S)
    assert stand_in([candidate("a", 250.0)], chosen=own, own=own.sequence) == ("own", [])
    assert stand_in([candidate("a", 250.0)], chosen=own) == ("a", ["a"])


@pytest.fixture(scope="module")
def outer_two_together(panels: Any) -> PlanDocument:
    """Lines 1 and 3 to be opened together, with an hour until gel: fastest by the clock, at once after the start."""
    return plan_case(case_from_mapping(panels.data(rules={"together": [["1", "3"]]})))


def test_a_plan_with_an_hour_in_hand_goes_by_sight_and_says_what_it_gave_up(outer_two_together: PlanDocument) -> None:
    """The statement names both minutes; no step goes by the clock."""
    plan = outer_two_together
    assert all(step.trigger.kind is not Kind.CLOCK.value for step in plan.steps)
    assert "turns taps by the clock is wet at minute" in plan.proof.statement
    faster = [one for one in plan.candidates if one.admissible and one.wet_out_s and one.wet_out_s < plan.wet_out_s]
    assert faster, "the one that was given up is listed"
