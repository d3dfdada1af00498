"""No answer is worse on the full network than what a person would have done, whatever coarse cells thought of it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from optimiser.filling.simulate import FillLimits
from optimiser.part.sequence import Action, Sequence, Step, Trigger, TriggerKind
from optimiser.plan import verify as file
from optimiser.plan.verify import verify

COARSE_M3 = {f"ours {k}": 1e-4 * (k + 1) for k in range(5)}
COARSE_M3 |= {f"outward on reach from {k}": 1e-3 * k for k in (1, 2, 3)}
"""Locked on the coarse network: the third by hand leads nowhere there."""
COARSE_S = {f"zone graph, turn {k}": 500.0 + k for k in range(6)} | {"outward on reach from 1": 800.0}
COARSE_S |= {"outward bay by bay from 1": 810.0, "outward on reach from 2": 820.0}
"""Wet-out on the coarse network: what is done by hand takes over a quarter longer than what leads there."""


def outcome(name: str, *, locked_m3: float = 0.0, wet_out_s: float = 1000.0, holds: bool = False) -> Any:
    step = Step(action=Action.OPEN, label=name, trigger=Trigger(kind=TriggerKind.START))
    clean = locked_m3 == 0
    run = SimpleNamespace(
        wet_out_s=wet_out_s, locked_pore_m3=locked_m3, clean=clean, vent_drawn_m3=np.zeros(1)
    )
    values = {"clean": clean, "holds": holds, "clean_in_spread": holds, "clean_on_finer": holds, "broken": ""}
    values |= {"locked_m3": locked_m3, "margin_s": 0.0}
    return SimpleNamespace(name=name, sequence=Sequence(steps=(step,)), run=run, spread_runs=(), **values)


@pytest.fixture
def answer(monkeypatch: pytest.MonkeyPatch) -> Any:
    """What is taken of candidates with these outcomes on the two networks, with what was verified and what was played;
    what is clean on the full network holds."""

    def answer(on_coarse: list[Any], in_full: dict[str, Any]) -> tuple[Any, list[Any], list[str]]:
        played: list[str] = []

        def on_full(_: Any, asked: list[Any], *__: Any) -> list[Any]:
            played.extend(one.name for one in asked)
            return [in_full[one.name] for one in asked]

        def with_spread(_: Any, one: Any, __: Any) -> Any:
            held = {"holds": one.clean, "clean_in_spread": one.clean, "clean_on_finer": one.clean}
            return SimpleNamespace(**{**vars(one), **held, "spread_runs": (one.run,)})

        monkeypatch.setattr(file, "on_full", on_full)
        monkeypatch.setattr(file, "with_spread", with_spread)
        chooser: Any = SimpleNamespace(
            candidates=on_coarse,
            patience=SimpleNamespace(search_is_over=False, is_over=False),
            limits=FillLimits(longest_s=1e6, smallest_lock_m2=0.005),
            shot=SimpleNamespace(scatter=None),
        )
        return *verify(chooser, lambda *_: None), played

    return answer


@pytest.mark.parametrize(("on_full_m3", "taken"), [(1e-5, "outward on reach from 3"), (1.0, "ours 0")])
def test_what_locks_less_on_the_full_network_is_taken(answer: Any, on_full_m3: float, taken: str) -> None:
    """Whatever the coarse network thought of it."""
    full_m3 = COARSE_M3 | {"outward on reach from 3": on_full_m3}
    on_coarse = [outcome(name, locked_m3=locked_m3) for name, locked_m3 in COARSE_M3.items()]
    in_full = {name: outcome(name, locked_m3=locked_m3) for name, locked_m3 in full_m3.items()}
    chosen, verified, played = answer(on_coarse, in_full)
    assert chosen.name == taken
    assert "outward on reach from 3" in played
    assert (taken == "ours 0") == all(one.name != "outward on reach from 3" for one in verified)


@pytest.mark.parametrize(
    ("on_full_s", "taken"), [(900.0, "outward on reach from 2"), (1300.0, "zone graph, turn 0")]
)
def test_an_order_by_hand_that_is_faster_on_the_full_network_is_taken(
    answer: Any, on_full_s: float, taken: str
) -> None:
    """What led on coarse cells takes twice as long on the full network."""
    full_s = {name: 2 * at_s for name, at_s in COARSE_S.items()} | {"outward on reach from 2": on_full_s}
    on_coarse = [outcome(name, wet_out_s=at_s) for name, at_s in COARSE_S.items()]
    in_full = {name: outcome(name, wet_out_s=at_s) for name, at_s in full_s.items()}
    chosen, _, _ = answer(on_coarse, in_full)
    assert chosen.name == taken
