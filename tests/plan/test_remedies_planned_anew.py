"""Rules left out are planned anew where no sequence by hand makes up for them: some of them, and nothing else."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.case.remedies import find as find_file
from optimiser.case.remedies import try_proposal as try_file
from optimiser.case.remedies.find import find_remedies
from optimiser.case.remedies.proposal import Effort, Proposal
from optimiser.case.remedies.try_proposal import Outcome, try_shot
from optimiser.case.remedies_document import Remedies

FAILS = Outcome(fails="each of 4 sequences tried with it locks air, or leaves a place dry", network_runs=20)
HOLDS = Outcome(fails="", network_runs=27, sequence="outward", wet_out_s=600.0, limit_s=900.0)
PLANNED = Outcome(fails="", network_runs=20, sequence="zone graph, turn 1", wet_out_s=500.0, limit_s=900.0)


@pytest.fixture
def tried(monkeypatch: pytest.MonkeyPatch) -> Any:
    """What becomes of a change by what sequences by hand make of it, and how often it was planned anew."""

    def tried(by_hand: Outcome, *, searched: bool) -> tuple[Outcome, int]:
        plans: list[Any] = []

        def plan(shot: Any, **_: Any) -> Any:
            plans.append(shot)
            return SimpleNamespace(effort=SimpleNamespace(network_runs=70))

        monkeypatch.setattr(try_file, "_by_hand", lambda *_: by_hand)
        monkeypatch.setattr(try_file, "plan_shot", plan)
        monkeypatch.setattr(try_file, "_without_extras", lambda shot: shot)
        monkeypatch.setattr(try_file, "_judged", lambda *_, **__: PLANNED)
        shot: Any = SimpleNamespace()
        failing: Any = SimpleNamespace()
        return try_shot(failing, shot, searched=searched, workers=1, carrier=None), len(plans)

    return tried


def test_a_plan_of_its_own_where_hand_fails_and_it_is_asked_for(tried: Any) -> None:
    """Its runs are counted apart."""
    outcome, plans = tried(FAILS, searched=True)
    assert (outcome.sequence, outcome.network_runs, outcome.searched_runs) == ("zone graph, turn 1", 20, 70)
    assert plans == 1


def test_no_plan_where_hand_will_do_or_it_is_not_asked_for(tried: Any) -> None:
    """A plan costs ten times as much."""
    assert tried(HOLDS, searched=True) == (HOLDS, 0)
    assert tried(FAILS, searched=False) == (FAILS, 0)


@pytest.fixture
def looked_for(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Remedies from proposals of these efforts, none of which holds by hand; which of them might be planned anew."""

    def looked_for(*efforts: Effort) -> tuple[Remedies, list[bool]]:
        asked: list[bool] = []

        def tried(_: Any, __: Any, *, searched: bool, **___: Any) -> Outcome:
            asked.append(searched)
            return Outcome(fails="late", network_runs=20, searched_runs=70) if searched else FAILS

        changes = [Proposal(effort=one, change=f"change {k}", edits=()) for k, one in enumerate(efforts)]
        monkeypatch.setattr(find_file, "_proposals", lambda _: iter(changes))
        monkeypatch.setattr(find_file, "edits_of", lambda *_: [])
        monkeypatch.setattr(find_file, "changed", lambda *_: SimpleNamespace(shot=None))
        monkeypatch.setattr(find_file, "try_shot", tried)
        case: Any = None
        result: Any = None
        return find_remedies(case, result, tell=lambda *_: None, workers=1), asked

    return looked_for


def test_the_first_two_rules_left_out_may_be_planned_anew(looked_for: Any) -> None:
    """Neither the third, nor a change of another kind; their runs do not shorten the search by hand."""
    remedies, asked = looked_for(Effort.RULE, Effort.RULE, Effort.RULE, Effort.VENT)
    assert asked == [True, True, False, False]
    assert remedies.network_runs == 4 * 20 + 2 * 70
    assert "each with a few sequences written by hand, 2 of them planned anew; 0 verified" in remedies.statement
    assert "all changes that the program knows" in remedies.statement


def test_what_was_not_planned_anew_is_not_said_to_be(looked_for: Any) -> None:
    """Nor does the statement speak of plans where no rule was left out."""
    remedies, asked = looked_for(Effort.VENT)
    assert asked == [False]
    assert "anew" not in remedies.statement
