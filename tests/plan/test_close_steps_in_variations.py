"""Close steps of the most robust sequence are taken in another order only where it stays clean as often."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.plan import say_more as file
from optimiser.plan.least_harm import Ordered
from optimiser.plan.patience import Patience
from optimiser.plan.play_mistakes import PlayedMistakes
from optimiser.plan.play_scatter import Played, ShotOutcome
from optimiser.plan.result import Compared, Robustness, Verified
from optimiser.plan.say_more import Said, say_more

NOTHING: Any = None
MISTAKES = PlayedMistakes(base=NOTHING, played=())


def named(name: str) -> Verified:
    run: Any = SimpleNamespace(wet_out_s=900.0, clean=True)
    sequence: Any = (name,)
    return Verified(name=name, sequence=sequence, run=run, spread_runs=(), broken="")


def compared(one: Verified, clean: int) -> Compared:
    outcomes = [ShotOutcome.CLEAN if k < clean else ShotOutcome.LATE for k in range(20)]
    played = tuple(Played(outcome=each, wet_out_s=1, gel_limit_s=1, done_s=(), locked=()) for each in outcomes)
    return Compared(sequence=one, played=played, given_up=False)


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch) -> Any:
    """What is said where the most robust stays clean in 18 of 20, and in so many with its close steps turned round."""
    fastest, robust, turned = named("fastest"), named("robust"), named("turned round")
    both = (compared(robust, 18), compared(fastest, 17))
    found = Robustness(variations=NOTHING, compared=both, compared_in=20, fastest_s=900.0)

    def said(clean_turned_round: int) -> Said:
        again = replace(found, compared=(compared(turned, clean_turned_round), *found.compared[1:]))
        monkeypatch.setattr(file, "most_robust", lambda *_, **__: found)
        monkeypatch.setattr(file, "in_all", lambda _, decided, __: decided)
        monkeypatch.setattr(file, "replayed", lambda *_: again)
        orders = {id(robust): Ordered(sequence=turned)}
        monkeypatch.setattr(file, "least_harm_first", lambda _, one, *__: orders.get(id(one), Ordered(sequence=one)))
        monkeypatch.setattr(file, "admissible", lambda *_: True)
        for left_out in ("usual_rules", "_open_run", "layout_findings"):
            monkeypatch.setattr(file, left_out, lambda *_: None)
        chooser: Any = SimpleNamespace(patience=Patience(), shot=None, best=lambda: None)
        return say_more(chooser, fastest, [], lambda *_: None, lambda *_: MISTAKES)

    return said


@pytest.mark.parametrize("clean", [18, 20])
def test_an_order_that_stays_clean_as_often_is_taken(said: Any, clean: int) -> None:
    """It harms less if a step is late, and the variations are told of it."""
    found = said(clean)
    assert found.chosen.name == "turned round"
    assert found.robustness.chosen.clean == clean
    assert not found.mistakes.order_refused


def test_an_order_that_stays_clean_less_often_is_refused(said: Any) -> None:
    """Else 'none stayed clean more often' would be untrue; the sheet then does not ask for that order."""
    found = said(17)
    assert found.chosen.name == found.robustness.chosen.sequence.name == "robust"
    assert found.robustness.chosen.clean == 18
    assert found.mistakes.order_refused
